package export

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"holdbench/sequence"
)

// This file writes the parameters, with what each means.

// paramTable are the parameters that the sequence reads.
func (w *stWriter) paramTable() []declared {
	var list []declared
	for _, v := range w.program.About().Params {
		if !w.used[v.Name] {
			continue
		}
		list = append(list, w.param(&v))
	}
	return list
}

func (w *stWriter) param(v *sequence.ParamValue) declared {
	d := declared{name: w.params[v.Name], typ: "LREAL", initial: realText(v.Number), unit: unitText(v.Unit)}
	switch {
	case v.Kind == sequence.KindBoolean:
		d.typ, d.initial = "BOOL", boolText(v.Boolean)
	case w.counts[v.Name]:
		d.typ, d.initial = "DINT", strconv.FormatInt(int64(v.Number), 10)
	}
	d.note = w.paramNote(v)
	return d
}

// meaningOf is what a parameter is for: its note in the document, else the words of its role.
func meaningOf(p *sequence.Program, v *sequence.ParamValue) string {
	if v.Note != "" {
		return v.Note
	}
	for _, r := range sequence.RoleWords() {
		if p.About().Roles[r.Role] == v.Name {
			return strings.ReplaceAll(r.Role, "_", " ") + ": " + r.Note
		}
	}
	return ""
}

// paramNote is what a parameter is for, else what reads it, and how it follows from others.
func (w *stWriter) paramNote(v *sequence.ParamValue) string {
	note := cmp.Or(meaningOf(w.program, v), w.readersOf(v.Name))
	if !derived(v) {
		return note
	}
	if note != "" {
		note += "; "
	}
	return note + "= " + v.Written()
}

// mostReaders is how many readers of a parameter are named.
const mostReaders = 3

// readersOf says which states read a parameter, or else for which parameters it is needed.
func (w *stWriter) readersOf(name string) string {
	var list []string
	reads := func(e *sequence.Expr) bool { return e != nil && slices.Contains(namesIn(e), name) }
	add := func(found bool, reader string) {
		if found && !slices.Contains(list, reader) {
			list = append(list, reader)
		}
	}
	edges := func(edges []sequence.Edge, reader string) {
		for i := range edges {
			e := &edges[i]
			add(reads(e.When) || e.For.Text == name || e.After.Text == name || w.times(e) == name, reader)
		}
	}
	edges(w.program.Any(), "any state")
	for _, s := range w.program.States() {
		for _, k := range s.Keeps {
			add(reads(k.Expr), s.Name)
		}
		for _, a := range s.Sets {
			add(reads(a.Expr), s.Name)
		}
		edges(s.Edges, s.Name)
	}
	word := "read in "
	if list == nil {
		word = "for "
		for _, v := range w.program.About().Params {
			add(reads(v.Expr), v.Name)
		}
	}
	if list == nil {
		return ""
	}
	if len(list) > mostReaders+1 {
		list = append(list[:mostReaders], "others")
	}
	return word + strings.Join(list, ", ")
}
