package screens

import (
	"slices"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/plant"
)

// valueRow is one value of a form.
type valueRow struct {
	key, unit string
	about     []passage
	field     textField
	words     picker                   // to choose from; none for a plain number
	before    string                   // the present value with its unit
	read      func(text string) string // what a text means, with its unit; empty: it is no value
}

// valueRow makes the row of a target.
func (p *injectScreen) valueRow(target, text string) valueRow {
	row := valueRow{key: target, field: newValueField(text, "")}
	for _, t := range p.targets {
		if t.Name != target {
			continue
		}
		row.unit = typedUnit(t.Unit)
		row.about = []passage{{page.Plain, 0, t.Note}, {page.Faint, 0, t.Range}}
		row.before, row.read = withUnit(p.present(target), row.unit), p.reader(target)
		row.words = newPicker(wordsOf(t.Name, t.Range))
	}
	row.settle()
	return row
}

// reader gives what a text means for a target.
func (p *injectScreen) reader(target string) func(string) string {
	f, ok := plant.FindField(target)
	if !ok {
		return func(text string) string { return text }
	}
	return func(text string) string {
		rig := p.view.Rig
		if f.Set(&rig, text) != nil {
			return ""
		}
		return withUnit(f.Text(&rig), typedUnit(f.Unit))
	}
}

// change is the present value and what the text in the field makes of it, in words.
func (r *valueRow) change() string {
	text := strings.TrimSpace(r.field.text())
	switch now := r.read(text); {
	case text == "":
		return "now " + r.before
	case now == "":
		return "now " + r.before + "; this is no value yet"
	case now == r.before:
		return "as now: " + r.before
	default:
		return "now " + r.before + ", then " + now
	}
}

// wordsOf are the words that a value can be, nothing for a number.
func wordsOf(path, span string) []choice {
	words := []string{}
	if span == "true or false" {
		words = []string{"true", "false"}
	}
	if f, ok := plant.FindField(strings.TrimPrefix(path, "rig.")); ok && len(f.Words) > 0 {
		words = f.Words
	}
	var list []choice
	for _, w := range words {
		list = append(list, choice{name: w})
	}
	return list
}

// settle selects the word that is in the field.
func (r *valueRow) settle() {
	r.words.at = slices.IndexFunc(r.words.found, func(c choice) bool { return c.name == r.field.text() })
}

// step takes the next word, up or down.
func (r *valueRow) step(by int) {
	r.words.move(by, len(r.words.found))
	if c, ok := r.words.now(); ok {
		r.field.set(c.name)
	}
}
