package mutation

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"holdbench/sequence"
)

// site is one transition of the document, where mutants are made of.
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

// placeOf names a transition by its state and its target, then by its cause, and by its
// number only where that is not enough: an ID should outlive other changes.
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
		s.times()
		s.cause()
		s.target(list)
		s.remove()
	}
	m.reorder(state, list)
}

// mutant makes one of the site; key is what is wrong in it, empty for the whole.
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
		return // there is none; the document compiles
	}
	for _, x := range edits(e.Node, s.program) {
		now := x.now
		if now == "" && s.t.For != "" {
			now = "true" // for wants a condition
		}
		s.mutant(x.operator, "when", string(s.t.When), string(now), x.what,
			func(_ *sequence.Document, t *sequence.Transition) { t.When = now })
	}
}

// spans drops, halves and doubles for and after.
func (s *site) spans() {
	edge := s.edge()
	at := func(t *sequence.Transition, key string) *sequence.Text {
		if key == "for" {
			return &t.For
		}
		return &t.After
	}
	for _, key := range []string{"for", "after"} {
		was := *at(&s.t, key)
		if was == "" {
			continue
		}
		if s.t.When != "" { // without a condition it would fire at once; see remove
			s.mutant(Time, key, string(was), "", "drop "+key,
				func(_ *sequence.Document, t *sequence.Transition) { *at(t, key) = "" })
		}
		span := edge.After
		if key == "for" {
			span = edge.For
		}
		for _, f := range factors() {
			now, param := s.scaled(was, span.Time, f)
			s.mutant(Time, key, string(was), f.phrase+" "+string(was), f.verb+" "+key, func(d *sequence.Document, t *sequence.Transition) {
				*at(t, key) = now
				d.Params = append(d.Params, param...)
			})
		}
	}
}

// edge is the transition as the program has it.
func (s *site) edge() *sequence.Edge {
	if s.state == "" {
		return &s.program.Any()[s.index]
	}
	i, _ := s.program.StateIndex(s.state)
	return &s.program.States()[i].Edges[s.index]
}

// factor is how far a time or a limit is off.
type factor struct {
	verb, word, phrase string
	value              float64
	num, den           time.Duration
}

func factors() []factor {
	return []factor{{"halve", "half", "half of", 0.5, 1, 2}, {"double", "twice", "twice", 2, 2, 1}}
}

// scaled is a duration a factor off. One that is named by a parameter needs a parameter
// of its own, which follows what a scenario sets.
func (s *site) scaled(was sequence.Text, is time.Duration, f factor) (sequence.Text, []sequence.Param) {
	if _, named := s.program.Param(string(was)); !named {
		return sequence.Text((is * f.num / f.den).String()), nil
	}
	name := s.free(f.word + "_" + string(was))
	value := strconv.FormatFloat(f.value, 'g', -1, 64) + " * " + string(was)
	return sequence.Text(name), []sequence.Param{{Name: name, Value: sequence.Text(value)}}
}

// free is a name that no parameter has yet.
func (s *site) free(name string) string {
	for {
		if _, taken := s.program.Param(name); !taken {
			return name
		}
		name = "a_" + name
	}
}

// times drops the limit of how often, and lets it be once more.
func (s *site) times() {
	was := string(s.t.Times)
	if was == "" {
		return
	}
	s.mutant(Times, "times", was, "", "drop times", func(_ *sequence.Document, t *sequence.Transition) { t.Times = "" })
	now, param := sequence.Text(strconv.Itoa(s.edge().Times+1)), []sequence.Param(nil)
	if _, named := s.program.Param(was); named {
		now = sequence.Text(s.free("one_more_" + was))
		param = []sequence.Param{{Name: string(now), Value: sequence.Text(was + " + 1")}}
	}
	s.mutant(Times, "times", was, was+" + 1", "once more", func(d *sequence.Document, t *sequence.Transition) {
		t.Times = now
		d.Params = append(d.Params, param...)
	})
}

func (s *site) cause() {
	if s.t.Cause != "" {
		s.mutant(Cause, "cause", string(s.t.Cause), "", "drop cause", func(_ *sequence.Document, t *sequence.Transition) { t.Cause = "" })
	}
}

// target leads to where the next transition of the state leads, or to the next state.
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

// remove takes a state's transition away; see removeAny for the others.
func (s *site) remove() {
	if s.state == "" {
		return
	}
	s.mutant(Remove, "", words(&s.t), "", "remove", func(d *sequence.Document, _ *sequence.Transition) {
		list := transitionsOf(d, s.state)
		*list = slices.Delete(*list, s.index, s.index+1)
	})
}

// reorder exchanges the first two transitions.
func (m *maker) reorder(state string, list []sequence.Transition) {
	if len(list) < 2 {
		return
	}
	path := "$.any"
	if state != "" {
		path = "$.states." + state + ".go"
	}
	m.add(Mutant{
		Operator: Reorder, State: state, Path: path, Was: list[0].To + " before " + list[1].To, Now: list[1].To + " before " + list[0].To,
	}, cmp.Or(state, anyPlace), "exchange the first two", func(d *sequence.Document) {
		list := *transitionsOf(d, state)
		list[0], list[1] = list[1], list[0]
	})
}

// words is a transition on one line.
func words(t *sequence.Transition) string {
	return strings.Join(append([]string{"to " + t.To}, conditions(t)...), ", ")
}

// conditions is what a transition waits for.
func conditions(t *sequence.Transition) []string {
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
