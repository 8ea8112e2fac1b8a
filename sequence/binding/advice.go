package binding

import (
	"fmt"
	"slices"
	"strings"

	"holdbench/sequence"
	"holdbench/sequence/st"
)

// AdviseState says how the binding gives one of its states a name that it has not, with the state that
// is most alike to it.
func (l *Logic) AdviseState(name string) string {
	key, list := "state.values", l.doc.State.Values
	if l.doc.State.Variable == "" {
		key, list = "state.flags", l.doc.State.Flags
	}
	own, now := "", ""
	if best := l.nearestState(name, list); best >= 0 {
		own, now = list[best].Key, list[best].State
	}
	if len(list) == 0 && l.state.flags == nil {
		own, now = l.nearestValue(name)
	}
	if own == "" {
		return fmt.Sprintf("if it has one for this, %s names it under %s: \"VALUE: %s\"", l.where(), key, name)
	}
	return fmt.Sprintf("if it is %s, %s names it under %s: \"%s: %s\"", now, l.where(), key, own, name)
}

// nearestState is the place of the state whose key or name is most alike to a name, -1 if none is. One with
// a name of the reference is what that name says.
func (l *Logic) nearestState(name string, list States) int {
	known := referenceNames().StateNames()
	best, score := -1, alike
	for i := range list {
		if slices.Contains(known, list[i].State) {
			continue
		}
		if s := max(similarity(name, list[i].Key), nameSimilarity(name, list[i].State)); s >= score {
			best, score = i, s
		}
	}
	return best
}

// nearestValue is the value of the state's variable that is most alike to a name, and its state, where
// the binding gives no names to the values.
func (l *Logic) nearestValue(name string) (own, now string) {
	values := l.state.handle.Type().Values()
	names := stateNames(values)
	score := alike
	for i := range values {
		if s := similarity(name, names[i]); s >= score {
			own, now, score = values[i].Name, names[i], s
		}
	}
	return own, now
}

// AdviseParam says how the binding gets a parameter that it has not, with the variable that is most alike
// to it; of a name that is misspelt it says the right one.
func (l *Logic) AdviseParam(name string) string {
	const misspelt = 0.85
	for _, own := range l.about.ParamNames() {
		if spelling(own, name) >= misspelt && sequence.UnitOf(own) == sequence.UnitOf(name) || withoutItsUnit(own, name) {
			return fmt.Sprintf("the nearest valid one is %q", own)
		}
	}
	if variable := l.nearestVariable(name); variable != "" {
		return fmt.Sprintf("if it is the variable %s, write in %s under params: \"%s: %s\"", variable, l.where(), name, variable)
	}
	value := "NUMBER"
	if l.isChoice(name) {
		value = "false"
	}
	return fmt.Sprintf("if a variable of the program has it, write in %s under params: \"%s: VARIABLE\"; if none has, \"%s: {value: %s}\"",
		l.where(), name, name, value)
}

// withoutItsUnit is whether a name is that of a parameter without the unit at its end.
func withoutItsUnit(own, name string) bool {
	rest, unit := withoutUnit(words(own))
	return len(unit) > 0 && slices.Equal(rest, words(name))
}

// isChoice is whether the reference has a parameter of this name that is true or false.
func (l *Logic) isChoice(name string) bool {
	p, ok := referenceNames().Param(name)
	return ok && p.Kind == sequence.KindBoolean
}

// nearestVariable is the variable of the block, not yet bound, that is most alike to a parameter; empty if
// none is.
func (l *Logic) nearestVariable(name string) string {
	d := &draft{program: l.program, block: l.block, known: referenceNames()}
	for _, v := range l.block.Variables {
		if !v.Constant && v.Section != st.Output && v.Section != st.Temp {
			d.collect(v.Name, v, v.Type, 0)
		}
	}
	p, ok := d.known.Param(name)
	if !ok {
		p = sequence.ParamValue{Name: name, Kind: sequence.KindNumber, Unit: sequence.UnitOf(name)}
	}
	best, score := "", 0.0
	for i := range d.all {
		c := &d.all[i]
		if s := d.paramLikeness(&p, c); s >= alike && s > score && !l.boundTo(c.path) {
			best, score = c.path, s
		}
	}
	return best
}

// boundTo is whether a signal, a parameter or the state has a variable.
func (l *Logic) boundTo(path string) bool {
	for _, list := range [][]link{l.inputs, l.outputs} {
		for i := range list {
			if slices.ContainsFunc(list[i].paths(), func(own string) bool { return strings.EqualFold(own, path) }) {
				return true
			}
		}
	}
	for i := range l.params {
		if strings.EqualFold(l.params[i].link.handle.Path(), path) {
			return true
		}
	}
	return false
}

// where is the file of the binding in a message.
func (l *Logic) where() string {
	if l.doc.File == "" {
		return "the binding"
	}
	return l.doc.File
}
