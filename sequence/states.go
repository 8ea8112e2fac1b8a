package sequence

import (
	"fmt"
	"slices"
	"strconv"
)

// nameStates sets the index of every state before transitions refer to them.
func (a *analysis) nameStates() {
	a.states = make([]DocumentState, 0, len(a.doc.States))
	for _, s := range a.doc.States {
		path := pathKey("$.states", s.Name)
		if _, twice := a.index[s.Name]; twice {
			a.fail(path, "the state %s is defined twice; remove or rename one", s.Name)
			continue
		}
		if why := StateNameFault(s.Name); why != "" {
			a.fail(path, "%s", why)
		}
		a.index[s.Name] = len(a.states)
		a.states = append(a.states, DocumentState{
			Name: s.Name, Note: s.Note, Index: len(a.states), OptOut: s.OptOut, SlipsBrake: s.SlipsBrake,
		})
	}
	a.start = a.target("$.start", "start", a.doc.Start)
	a.powerUp = a.start
	if a.doc.AfterPowerLoss != "" {
		a.powerUp = a.target("$.after_power_loss", "after_power_loss", a.doc.AfterPowerLoss)
	}
}

// StateNameFault says what is wrong with the name of a state; empty if nothing is.
func StateNameFault(name string) string {
	switch {
	case !isName(name):
		return fmt.Sprintf("%q is not a valid state name; must be lower-case letters, digits and underscores, beginning with a letter", name)
	case name == "any":
		return "any is reserved for transitions from every state; rename the state"
	}
	return ""
}

func (a *analysis) stateNames() []string {
	names := make([]string, len(a.states))
	for i := range a.states {
		names[i] = a.states[i].Name
	}
	return names
}

// target finds a state by name; -1 after reporting that there is none.
func (a *analysis) target(path, key, name string) int {
	if i, ok := a.index[name]; ok {
		return i
	}
	a.graphBroken = true
	if name == "" {
		a.fail(path, "%s is missing; name a state", key)
		return -1
	}
	a.fail(path, "there is no state %q; %s", name, Suggest(name, a.stateNames()))
	return -1
}

// readStates reads settings and transitions of every state.
func (a *analysis) readStates() {
	done := map[string]bool{}
	for _, s := range a.doc.States {
		if done[s.Name] {
			continue
		}
		done[s.Name] = true
		into := &a.states[a.index[s.Name]]
		path := pathKey("$.states", s.Name)
		into.Keeps = a.keeps(path+".keep", s.Keep)
		into.Sets = a.sets(path+".set", s.Set)
		into.Edges = slices.Grow(into.Edges, len(s.Go))
		for i, t := range s.Go {
			event := s.Name + "/" + strconv.Itoa(i)
			into.Edges = append(into.Edges, a.edge(pathIndex(path+".go", i), event, t))
		}
		a.checkOptOuts(path+".opt_out", s.OptOut)
	}
}

func (a *analysis) readAny() {
	for i, t := range a.doc.Any {
		edge := a.edge(pathIndex("$.any", i), "any/"+strconv.Itoa(i), t)
		edge.Any = true
		a.any = append(a.any, edge)
	}
}

// checkOptOuts requires targets of transitions under any.
func (a *analysis) checkOptOuts(path string, names []string) {
	targets := make([]string, 0, len(a.any))
	for _, edge := range a.any {
		targets = append(targets, edge.To)
	}
	for i, name := range names {
		switch {
		case indexOf(targets, name) < 0:
			a.fail(pathIndex(path, i), "no transition under any leads to %q; %s", name, Suggest(name, targets))
		case indexOf(names[:i], name) >= 0:
			a.fail(pathIndex(path, i), "%s is listed twice; remove one", name)
		}
	}
}

// readEnds marks the states that end a run.
func (a *analysis) readEnds() {
	if len(a.doc.Ends) == 0 {
		a.warn("$.ends", "there are no ends, so a run never ends; list at least one state")
	}
	seen := map[string]bool{}
	for _, e := range a.doc.Ends {
		path := pathKey("$.ends", e.State)
		kind := indexOf(endWords(), string(e.Kind))
		if kind < 0 {
			a.fail(path, "%q is not a kind of end; must be %s", e.Kind, oneOf(endWords()))
		}
		if seen[e.State] {
			a.fail(path, "the end %s is listed twice; remove one", e.State)
		}
		seen[e.State] = true
		if i := a.target(path, "the end's state", e.State); i >= 0 {
			a.states[i].End = EndKind(max(kind, 0) + 1)
			a.checkEnd(i)
		}
	}
}

func (a *analysis) checkEnd(i int) {
	s := &a.states[i]
	if i == a.start {
		a.fail("$.start", "%s is an end; a run cannot start there", s.Name)
	}
	if i == a.powerUp && i != a.start {
		a.fail("$.after_power_loss", "%s is an end; a run cannot start there after a loss of power", s.Name)
	}
}

// applyAny determines which transitions under any apply in which state, and reports
// states that set nothing and have no transition.
func (a *analysis) applyAny() {
	for i := range a.states {
		s := &a.states[i]
		s.Any = make([]bool, len(a.any))
		left := len(s.Edges)
		for k, edge := range a.any {
			s.Any[k] = (s.End == EndNone || len(s.Edges) > 0) && indexOf(s.OptOut, edge.To) < 0
			if s.Any[k] {
				left++
			}
		}
		if s.End == EndNone && left == 0 && len(s.Sets) == 0 {
			a.fail(pathKey("$.states", s.Name), "the state %s is empty; add a setting or a transition, or list it under ends", s.Name)
		}
	}
}

// sets reads the settings of one state.
func (a *analysis) sets(path string, settings Settings) []Assign {
	signals, names := outputTable(), outputNames()
	seen := map[string]bool{}
	assigns := slices.Grow([]Assign(nil), len(settings))
	for _, s := range settings {
		at := pathKey(path, s.Output)
		i := indexOf(names, s.Output)
		switch {
		case i < 0:
			a.fail(at, "there is no output %q; %s", s.Output, Suggest(s.Output, names))
		case seen[s.Output]:
			a.fail(at, "%s is set twice; remove one", s.Output)
		default:
			if assign, ok := a.assign(at, signals[i], s.Value); ok {
				assigns = append(assigns, assign)
			}
		}
		seen[s.Output] = true
	}
	return assigns
}

// assign compiles one setting.
func (a *analysis) assign(path string, signal Signal, value Text) (Assign, bool) {
	if signal.Kind == KindWord {
		return a.assignWord(path, signal, string(value))
	}
	e := a.expr(path, value, signal.Kind)
	if e == nil {
		return Assign{}, false
	}
	code := a.scope.compile(e.Node)
	if signal.Kind == KindBoolean {
		to, from := signal.out.boolean, code.boolean
		return Assign{Signal: signal, Expr: e, apply: func(in *Inputs, out *Outputs) { *to(out) = from(in) }}, true
	}
	if problem := unitFits(signal.Name, signal.Unit, a.scope, e); problem != nil {
		a.failExpr(path, problem)
		return Assign{}, false
	}
	to, from := signal.out.number, code.number
	return Assign{Signal: signal, Expr: e, apply: func(in *Inputs, out *Outputs) { *to(out) = from(in) }}, true
}

// formerAsk adds what to write for an ask of earlier documents, which was true or false.
func formerAsk(output, word string) string {
	switch {
	case output != "ask":
		return ""
	case word == textTrue:
		return ": an ask names the direction of the press; write down where press_torque_nm is negative, up where it is positive"
	case word == textFalse:
		return ": an ask names the direction of the press; write none"
	}
	return ""
}

func (a *analysis) assignWord(path string, signal Signal, word string) (Assign, bool) {
	assign := Assign{Signal: signal, Word: word}
	if to := signal.out.text; to != nil {
		assign.apply = func(_ *Inputs, out *Outputs) { *to(out) = word }
		return assign, true
	}
	i := indexOf(signal.Words, word)
	if i < 0 {
		a.fail(path, "%s is %q; must be %s", signal.Name, word, oneOf(signal.Words)+formerAsk(signal.Name, word))
		return assign, false
	}
	to := signal.out.set
	assign.apply = func(_ *Inputs, out *Outputs) { to(out, i) }
	return assign, true
}
