package helpcmd

import (
	"slices"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios/schema"
	"holdbench/sequence"
	"holdbench/sequence/binding"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// This file has the reference of the documents. It is made from the tables that the readers use.

// chapter is a heading with a table.
func chapter(v *page.Sheet, title string, rows [][2]string) {
	v.Line()
	v.Prose(title)
	table(v, rows)
}

// keyText is what a key takes, and what it means.
func keyText(r *schema.Row) string {
	text := r.Note + ": " + r.Says
	if r.As != "" {
		text += " as of " + r.As
	}
	switch {
	case r.Required:
		text += "; required"
	case r.Default != "":
		text += "; default " + r.Default
	}
	return text
}

// keys is the table of all keys of a kind of document.
func keys(kind string) [][2]string {
	var list [][2]string
	for _, r := range schema.Rows(kind) {
		list = append(list, [2]string{r.Path, keyText(&r)})
	}
	return list
}

const howKeysAreWritten = "NAME, STATE and SIGNAL stand for names, [] for each item of a list. Texts, numbers and expressions are written as in YAML, durations as 250us, 8ms, 1.5s or 8h."

// rigTopic has a table for each section of a rig.
func rigTopic(v *page.Sheet) {
	v.Prose("A rig is one axis in machine terms, with the engineering data of its test. Keys end in their unit. What is not required has the default that is given here. holdbench list settings has the same values by the keys of a scenario's set, holdbench show RIG --derived what follows from them, holdbench schema rig the form for editors, and holdbench help documents an example.")
	var rows [][2]string
	title, section := "The document:", ""
	for _, r := range schema.Rows(schema.Rig) {
		top, _, inner := strings.Cut(r.Path, ".")
		if !inner && (r.Section || section != "") {
			chapter(v, title, rows)
			rows, section, title = nil, top, sectionTitle(&r)
			if !r.Section {
				rows = append(rows, [2]string{r.Path, keyText(&r)})
				title = "Beside these:"
			}
			if r.As == "" {
				continue
			}
		}
		if inner || section == "" {
			rows = append(rows, [2]string{strings.TrimPrefix(r.Path, section+"."), keyText(&r)})
		}
	}
	chapter(v, title, rows)
}

func sectionTitle(r *schema.Row) string {
	title := "Section " + r.Path
	if r.Required {
		title += ", required"
	}
	return title + ": " + r.Note + "."
}

// sequenceTopic is the guide, the keys, and what they take.
func sequenceTopic(v *page.Sheet) {
	written("sequence")(v)
	chapter(v, "KEYS. "+howKeysAreWritten, keys(schema.Sequence))
	for _, part := range []struct {
		title   string
		signals []sequence.Signal
	}{{"INPUTS, which expressions read.", sequence.InputSignals()}, {"OUTPUTS, which states set.", sequence.OutputSignals()}} {
		var rows [][2]string
		for _, s := range part.signals {
			rows = append(rows, [2]string{s.Name, signalText(&s)})
		}
		chapter(v, part.title, rows)
	}
	chapter(v, "ROLES of parameters.", roleRows())
}

func signalText(s *sequence.Signal) string {
	kind := s.Kind.String()
	switch unit := s.Unit.String(); {
	case unit != "":
		kind += " in " + unit
	case len(s.Words) > 0:
		var words []string
		for _, w := range s.Words {
			if w == "" {
				w = `""`
			}
			words = append(words, w)
		}
		kind = strings.Join(words, ", ")
	case s.Kind == sequence.KindWord:
		kind = "free text"
	}
	return s.Note + ": " + kind
}

func roleRows() [][2]string {
	var rows [][2]string
	for _, r := range sequence.RoleWords() {
		kind := r.Kind.String()
		if unit := r.Unit.String(); unit != "" {
			kind += " in " + unit
		}
		rows = append(rows, [2]string{r.Role, r.Note + ": " + kind})
	}
	return rows
}

// expressionsTopic is the guide, and the tables of the language.
func expressionsTopic(v *page.Sheet) {
	written("expressions")(v)
	var rows [][2]string
	for _, o := range sequence.Operators() {
		form := "a " + o.Operator + " b"
		if o.Unary {
			form = o.Operator + " a"
		}
		note := o.Note
		if o.Other != "" {
			note += "; also " + o.Other
		}
		rows = append(rows, [2]string{form, note})
	}
	chapter(v, "OPERATORS.", append(rows, [2]string{"c ? a : b", "a if c is true, else b"}))
	rows = nil
	for _, f := range sequence.Functions() {
		rows = append(rows, [2]string{f.Form(), f.Note})
	}
	chapter(v, "FUNCTIONS.", rows)
	rows = nil
	for _, e := range sequence.UnitEndings() {
		rows = append(rows, [2]string{e.Ending, e.Unit.String()})
	}
	chapter(v, "UNITS by the end of a name; the first that fits counts.", rows)
	v.Line()
	v.Prose("No names of parameters and kept values are those of functions and " + strings.Join(sequence.ReservedWords(), ", ") + ".")
}

// scenarioTopic has the keys, and what they take.
func scenarioTopic(v *page.Sheet) {
	v.Prose("A scenario combines a rig, a sequence and faults, and states what must come of the run. holdbench help documents has an example, holdbench schema scenario the form for editors.")
	chapter(v, "KEYS. "+howKeysAreWritten, keys(schema.Scenario))
	var rows [][2]string
	for _, f := range catalogue.Entries() {
		name := f.Name
		if f.Scale != nil {
			name += "=NUMBER"
		}
		rows = append(rows, [2]string{name, f.What})
	}
	chapter(v, "FAULTS of the catalogue, for fault; holdbench show fault NAME has the range of the NUMBER.", rows)
	rows = nil
	for _, o := range sim.Obligations() {
		rows = append(rows, [2]string{o.Name, o.Rule})
	}
	chapter(v, "OBLIGATIONS, which every run must keep.", rows)
}

// bindingTopic has the keys of a binding.
func bindingTopic(v *page.Sheet) {
	v.Prose("A binding says which variables of a program in Structured Text are the signals of the bench. holdbench help program has an example, holdbench new binding FILE.st writes a first one, holdbench schema binding has the form for editors, and holdbench help sequence the signals and roles.")
	chapter(v, "KEYS. A link, a state or a parameter that has no more than its first key is written as that value alone. "+howKeysAreWritten, keys(schema.Binding))
	chapter(v, "UNITS that unit takes, by the unit of the signal or the parameter.", unitRows())
}

// unitRows are the units of variables by that of a signal.
func unitRows() [][2]string {
	var rows [][2]string
	for _, e := range sequence.UnitEndings() {
		of := e.Unit.String()
		if list := binding.UnitWords(e.Unit); len(list) > 0 && !slices.ContainsFunc(rows, func(r [2]string) bool { return r[0] == of }) {
			rows = append(rows, [2]string{of, strings.Join(list, ", ")})
		}
	}
	return rows
}
