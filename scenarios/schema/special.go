package schema

import (
	"reflect"
	"slices"
	"strings"

	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sequence/binding"
	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/probe"
)

// specialKeys are the keys whose values follow another table than their type, by type and key.
func (b *builder) specialKeys() map[string]func() *Shape {
	var obligations, classes []string
	for _, o := range sim.Obligations() {
		obligations = append(obligations, o.Name)
	}
	for _, c := range sim.Classes() {
		classes = append(classes, string(c))
	}
	fixed := func(list []string) func() *Shape { return func() *Shape { return words(list) } }
	several := func(list []string) func() *Shape { return func() *Shape { return oneOrSeveral(words(list)) } }
	return map[string]func() *Shape{
		"plant.Rig.sequence": func() *Shape { return named(expression(), "PARAMETER") },

		"sim.Scenario.rig":            func() *Shape { return b.inPlace(Rig) },
		"sim.Scenario.sequence":       func() *Shape { return b.inPlace(Sequence, Binding) },
		"sim.Scenario.set":            scenarioSet,
		"sim.Action.set":              buttons,
		"sim.Fault.fault":             namedFault,
		"sim.Fault.set":               faultSet,
		"sim.Expect.end":              fixed(sim.EndWords()),
		"sim.Expect.verdict":          fixed(sim.VerdictWords()),
		"sim.Expect.class":            fixed(classes),
		"sim.Expect.operation":        fixed(sim.OperationWords()),
		"sim.Expect.path":             path,
		"sim.Expect.outputs":          expectedOutputs,
		"sim.BrokenObligation.broken": fixed(obligations),
		"sim.Scenario.lesson":         func() *Shape { return b.most(reflect.TypeFor[sim.Lesson](), sim.MostStops) },
		"sim.Stop.choices":            func() *Shape { return b.most(reflect.TypeFor[[]string](), sim.MostChoices) },
		"sim.EventMatch.kind":         fixed(sim.EventKinds()),

		"sequence.Transition.for":   span,
		"sequence.Transition.after": span,
		"sequence.Transition.times": times,
		"sequence.Transition.cause": text,

		"binding.Document.inputs":  func() *Shape { return b.links(sequence.InputSignals()) },
		"binding.Document.outputs": func() *Shape { return b.links(sequence.OutputSignals()) },
		"binding.State.ends":       func() *Shape { return named(words(sequence.EndWords()), "STATE") },

		"probe.Acceptance.fault":    several(catalogue.Names()),
		"probe.Acceptance.severity": several(probe.SeverityWords()),
		"probe.Acceptance.breaks":   several(probe.Breakable()),
	}
}

// requiredKeys are the keys without which a document is refused, besides those of a rig, whose table
// says it.
func requiredKeys() []string {
	return []string{
		"sequence.Document.start", "sequence.Document.states", "sequence.Transition.to",
		"sim.Scenario.scenario", "sim.Scenario.title", "sim.Scenario.rig", "sim.Scenario.sequence",
		"sim.Moment.state", "sim.BrokenObligation.broken", "sim.BrokenObligation.why", "sim.Stop.say", "sim.EventMatch.kind",
		"sim.NumberAsked.of", "sim.NumberAsked.unit", "sim.NumberAsked.right", "sim.NumberAsked.near",
		"binding.Document.program", "binding.Document.block", "binding.Document.state", "binding.StateOf.state",
		"probe.Acceptances.accept", "probe.Acceptances.entries",
		"probe.Acceptance.fault", "probe.Acceptance.state", "probe.Acceptance.breaks", "probe.Acceptance.reason",
		"scenarios.EquivalentsDocument.equivalents", "scenarios.Course.title", "scenarios.Course.chapters",
		"scenarios.Chapter.chapter", "scenarios.Chapter.learn", "scenarios.Chapter.lessons", "scenarios.CourseLesson.scenario", "scenarios.CourseLesson.title", "mutation.Argument.mutant", "mutation.Argument.because",
	}
}

// rulesOf are the rules between the keys of a struct, nil if there are none.
func rulesOf(t reflect.Type) Object {
	switch t {
	case reflect.TypeFor[sim.Fault]():
		return Object{"allOf": []Object{oneOfKeys("when", "at"), oneOfKeys("set", "fault")}}
	case reflect.TypeFor[sim.Stop]():
		o := oneOfKeys("at", "when", "event")
		o["dependentRequired"] = Object{
			"ask": []string{"because"}, "answer": []string{"ask", "choices"}, "choices": []string{"ask", "answer"},
			"because": []string{"ask"}, "number": []string{"ask"},
		}
		o["if"], o["then"] = has("ask"), oneOfKeys("choices", "number")
		return o
	case reflect.TypeFor[sim.DurationBounds]():
		return Object{"anyOf": []Object{has("at_least"), has("at_most")}}
	case reflect.TypeFor[binding.State]():
		return oneOfKeys("variable", "flags")
	case reflect.TypeFor[binding.Link]():
		return Object{"if": Object{"type": "object"}, "then": oneOfKeys("variable", "flags")}
	case reflect.TypeFor[binding.Param]():
		return Object{"anyOf": []Object{has("variable"), has("value")}}
	case reflect.TypeFor[sequence.Transition]():
		return Object{"dependentRequired": Object{"for": []string{"when"}}}
	}
	return nil
}

// wholeRules are the rules between keys of different sections of a document.
func wholeRules(kind string) Object {
	if kind != Rig {
		return nil
	}
	given := func(section, key string) Object {
		return Object{"required": []string{section}, "properties": Object{section: Object{
			"type": "object", "required": []string{key}, "properties": Object{key: Object{"exclusiveMinimum": 0}},
		}}}
	}
	return Object{"anyOf": []Object{given("transmission", "feed_constant_mm_per_turn"), given("load", "arm_mm")}}
}

// roles are the words for parameters of a sequence.
func roles() *Shape {
	var keys []Key
	for _, r := range sequence.RoleWords() {
		k := Key{Name: r.Role, Note: r.Note, Shape: &Shape{Rules: Object{"type": "string", "pattern": sequence.NamePattern}, Says: "a parameter"}}
		if unit := r.Unit.String(); unit != "" {
			k.hover = " (a parameter in " + unit + ")"
		}
		keys = append(keys, k)
	}
	s := keyed(keys)
	s.Table, s.Says = true, "roles, each with the name of a parameter"
	return s
}

// settings are outputs with what a state sets them to.
func settings() *Shape { return outputs(setting) }

func outputs(of func(*sequence.Signal) *Shape) *Shape {
	var keys []Key
	for _, s := range sequence.OutputSignals() {
		keys = append(keys, Key{Name: s.Name, Note: s.Note, hover: signalUnit(&s), Shape: of(&s)})
	}
	return keyed(keys)
}

// signalUnit is the unit of a signal, for its description.
func signalUnit(s *sequence.Signal) string {
	if unit := s.Unit.String(); unit != "" {
		return " (" + unit + ")"
	}
	return ""
}

// setting is what an output can be set to.
func setting(s *sequence.Signal) *Shape {
	switch {
	case len(s.Words) > 0:
		return words(s.Words)
	case s.Kind == sequence.KindWord:
		return text()
	}
	return expression()
}

// expectedOutputs are outputs by state.
func expectedOutputs() *Shape {
	s := byName(outputs(func(s *sequence.Signal) *Shape {
		if len(s.Words) > 0 {
			return words(s.Words)
		}
		return text()
	}))
	s.Own = "STATE"
	return s
}

// most is a list with a limit.
func (b *builder) most(t reflect.Type, n int) *Shape {
	s := b.value(t, "")
	s.Rules["maxItems"] = n
	return s
}

// path is a list of states, with ... for any number of them.
func path() *Shape {
	s := list(text())
	s.Rules["minItems"] = 1
	return s
}

// scenarioSet are the values that a scenario can set before a run.
func scenarioSet() *Shape {
	var keys []Key
	seen := map[string]bool{}
	add := func(key string, f *plant.Field) {
		if !seen[key] {
			keys = append(keys, Key{Name: key, Note: f.Note, hover: unitAndRange(f), Shape: &Shape{Rules: set(f), Says: ranges(f)}})
		}
		seen[key] = true
	}
	for _, f := range plant.Fields() {
		add(f.Key, f)
		add("rig."+f.Path, f)
	}
	s := keyed(keys)
	s.Table, s.Says = true, "values of holdbench list settings, and sequence.PARAMETER"
	s.Rules["patternProperties"] = Object{`^sequence\.` + strings.TrimPrefix(sequence.NamePattern, "^"): expression().Rules}
	return s
}

// faultSet are the targets of a fault.
func faultSet() *Shape {
	var keys []Key
	for _, t := range sim.Targets() {
		keys = append(keys, Key{Name: t.Name, Note: t.Note, Shape: target(&t)})
	}
	s := keyed(keys)
	s.Table, s.Says = true, "targets of holdbench list targets"
	return s
}

// target is what a fault can set a target to.
func target(t *sim.Target) *Shape {
	f, ok := plant.FindField(t.Name)
	switch {
	case ok:
		return &Shape{Rules: set(f), Says: ranges(f)}
	case t.Unit == "s":
		return &Shape{Rules: durationText(), Says: t.Range}
	}
	return &Shape{Rules: flagText(), Says: t.Range}
}

// buttons are what the operator can set.
func buttons() *Shape {
	var keys []Key
	for _, t := range sim.Targets() {
		if name, ok := strings.CutPrefix(t.Name, "operator."); ok && slices.Contains(sim.Buttons(), name) {
			keys = append(keys, Key{Name: name, Note: t.Note, Shape: scalar(reflect.TypeFor[bool]())})
		}
	}
	return keyed(keys)
}

// namedFault is a fault of the catalogue, with its severity behind = where it has one.
func namedFault() *Shape {
	names := catalogue.Names()
	return &Shape{
		Rules: Object{"anyOf": []Object{{"enum": names}, {"type": "string", "pattern": "^(" + strings.Join(names, "|") + ")=[^@]+$"}}},
		Says:  "a fault of holdbench list faults, also with =NUMBER",
	}
}

// links are signals of a binding with the variable of each.
func (b *builder) links(signals []sequence.Signal) *Shape {
	var keys []Key
	for _, s := range signals {
		shape := b.value(reflect.TypeFor[binding.Link](), "")
		shape.Keys = slices.Clone(shape.Keys)
		for i := range shape.Keys {
			switch k := &shape.Keys[i]; {
			case k.Name == "unit" && s.Kind == sequence.KindNumber && s.Unit != sequence.Unit{}:
				k.Shape = words(binding.UnitWords(s.Unit))
			case k.Name == "words" && len(s.Words) > 0:
				k.Shape = linkWords(s.Words)
			case k.Name == "flags" && len(s.Words) > 0:
				k.Shape = flagWords(words(shownWords(s.Words)))
			case k.Name == "otherwise" && len(s.Words) > 0:
				k.Shape = words(shownWords(s.Words))
			}
		}
		keys = append(keys, Key{Name: s.Name, Note: s.Note, hover: signalUnit(&s), Shape: shape})
	}
	s := keyed(keys)
	s.Own, s.Each, s.Says = "SIGNAL", b.value(reflect.TypeFor[binding.Link](), ""), "signals of holdbench list signals"
	return s
}

// linkWords are the values of a variable by word of its signal.
func linkWords(list []string) *Shape {
	var keys []Key
	for _, w := range list {
		values := oneOrSeveral(text())
		delete(values.Rules, "minItems")
		keys = append(keys, Key{Name: binding.ShownWord(w), Shape: values})
	}
	return keyed(keys)
}

// flagWords are the words of an output by the variable of each.
func flagWords(of *Shape) *Shape {
	s := byName(of)
	s.Own = "VARIABLE"
	return s
}

func shownWords(list []string) []string {
	shown := make([]string, len(list))
	for i, w := range list {
		shown[i] = binding.ShownWord(w)
	}
	return shown
}
