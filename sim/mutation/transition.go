package mutation

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"holdbench/sequence"
)

// site is one transition of the document, of which mutants are made.
type site struct {
	*maker
	state string // empty for one under any
	index int
	t     sequence.Transition
	place string
	path  string
}

// event is the name of a transition in a program.
func event(state string, i int) string { return fmt.Sprintf("%s/%d", cmp.Or(state, anyPlace), i) }

// placeOf names a transition by its state and its target, then by its cause, and by its number
// only where that is not unique: an ID should survive other changes.
func placeOf(state string, list []sequence.Transition, i int) string {
	place := cmp.Or(state, anyPlace) + "/" + list[i].To
	alike := func(same func(o *sequence.Transition) bool) (all, before int) {
		for k := range list {
			if list[k].To == list[i].To && same(&list[k]) {
				all++
				if k < i {
					before++
				}
			}
		}
		return all, before
	}
	if all, _ := alike(func(*sequence.Transition) bool { return true }); all == 1 {
		return place
	}
	if list[i].Cause != "" {
		place += " (" + string(list[i].Cause) + ")"
	}
	all, before := alike(func(o *sequence.Transition) bool { return o.Cause == list[i].Cause })
	if all > 1 {
		place += fmt.Sprintf("[%d]", before)
	}
	return place
}

func (m *maker) transitions(state string, list []sequence.Transition) {
	for i := range list {
		path := fmt.Sprintf("$.any[%d]", i)
		if state != "" {
			path = fmt.Sprintf("$.states.%s.go[%d]", state, i)
		}
		s := &site{maker: m, state: state, index: i, t: list[i], place: placeOf(state, list, i), path: path}
		s.condition()
		s.spans()
		s.cause()
		s.target(list)
		s.remove()
	}
}

// mutant makes one of the site; key is the key with the error, empty for the whole.
func (s *site) mutant(op Operator, key, was, now, what string, change func(d *sequence.Document, t *sequence.Transition)) {
	t := s.t
	m := Mutant{
		Operator: op, State: s.state, Path: s.path, Was: was, Now: now,
		event: event(s.state, s.index), transition: &t,
	}
	if key != "" {
		m.Path += "." + key
	}
	s.add(m, s.place, what, func(d *sequence.Document) {
		change(d, &(*transitionsOf(d, s.state))[s.index])
	})
}

// condition drops, negates and shifts parts of the condition.
func (s *site) condition() {
	e, err := sequence.ParseExpr(string(s.t.When))
	if err != nil {
		return // there is none, as the document compiles
	}
	for _, x := range edits(e.Node, s.program) {
		now := x.now
		if now == "" && s.t.For != "" {
			now = "true" // for needs a condition
		}
		s.mutant(x.operator, "when", string(s.t.When), string(now), x.what,
			func(_ *sequence.Document, t *sequence.Transition) { t.When = now })
	}
}

// spans drops for and after.
func (s *site) spans() {
	if s.t.When == "" { // it would fire at once; see remove
		return
	}
	if s.t.For != "" {
		s.mutant(Time, "for", string(s.t.For), "", "drop for", func(_ *sequence.Document, t *sequence.Transition) { t.For = "" })
	}
	if s.t.After != "" {
		s.mutant(Time, "after", string(s.t.After), "", "drop after", func(_ *sequence.Document, t *sequence.Transition) { t.After = "" })
	}
}

func (s *site) cause() {
	if s.t.Cause != "" {
		s.mutant(Cause, "cause", string(s.t.Cause), "", "drop cause", func(_ *sequence.Document, t *sequence.Transition) { t.Cause = "" })
	}
}

// target replaces the target by that of the next transition of the state, or by the next state.
func (s *site) target(list []sequence.Transition) {
	to := s.nextTarget(list)
	if to == "" {
		return
	}
	s.mutant(WrongTarget, "to", s.t.To, to, "lead to "+to, func(_ *sequence.Document, t *sequence.Transition) { t.To = to })
}

// nextTarget is empty where there is only one state.
func (s *site) nextTarget(list []sequence.Transition) string {
	for i := range list {
		if o := list[(s.index+i)%len(list)]; o.To != s.t.To {
			return o.To
		}
	}
	states := s.base.States
	at := slices.IndexFunc(states, func(o sequence.State) bool { return o.Name == s.state })
	for i := range states {
		if o := states[(at+1+i)%len(states)]; o.Name != s.t.To {
			return o.Name
		}
	}
	return ""
}

// remove removes a transition of a state; see removeAny for the others.
func (s *site) remove() {
	if s.state == "" {
		return
	}
	s.mutant(Remove, "", transitionText(&s.t), "", "remove", func(d *sequence.Document, _ *sequence.Transition) {
		list := transitionsOf(d, s.state)
		*list = slices.Delete(*list, s.index, s.index+1)
	})
}

// transitionText is a transition on one line.
func transitionText(t *sequence.Transition) string {
	return strings.Join(append([]string{"to " + t.To}, conditionTexts(t)...), ", ")
}

// conditionTexts are the conditions of a transition.
func conditionTexts(t *sequence.Transition) []string {
	var list []string
	for _, x := range []struct {
		before string
		value  sequence.Text
	}{{"when ", t.When}, {"for ", t.For}, {"after ", t.After}} {
		if x.value != "" {
			list = append(list, x.before+string(x.value))
		}
	}
	return list
}
