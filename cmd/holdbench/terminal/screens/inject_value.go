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
	words     picker // to choose from; none for a plain number
}

// valueRow makes the row of a target.
func (p *injectScreen) valueRow(target, text string) valueRow {
	row := valueRow{key: target, field: newTextField(text, "")}
	for _, t := range p.targets {
		if t.Name != target {
			continue
		}
		row.unit = typedUnit(t.Unit)
		row.about = []passage{{page.Plain, 0, t.Note}, {page.Faint, 0, t.Range + "; now " + p.present(target)}}
		row.words = newPicker(wordsOf(t.Name, t.Range))
	}
	row.settle()
	return row
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
