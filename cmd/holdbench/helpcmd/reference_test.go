package helpcmd

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/scenarios/schema"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// hasKey requires a row for a key: its name alone, or behind the path to it.
func hasKey(t *testing.T, text, name string) {
	t.Helper()
	assert.Regexp(t, `(?m)^(  (\S*\.)?|Section )`+regexp.QuoteMeta(name)+`(\s|,|:)`, text, "a key that the help leaves out")
}

// hasKeys requires the keys of a value and of all within it. Names of a table, such as targets, have
// their list.
func hasKeys(t *testing.T, text string, s *schema.Shape) {
	t.Helper()
	if s == nil || s.Table {
		return
	}
	if s.Each == nil {
		for i := range s.Keys {
			hasKey(t, text, s.Keys[i].Name)
			hasKeys(t, text, s.Keys[i].Shape)
		}
	}
	for _, inner := range []*schema.Shape{s.Values, s.Items, s.Each} {
		hasKeys(t, text, inner)
	}
}

// Every key that the reader accepts is in the reference of its document: the shapes are made of the keys
// that the reader takes.
func TestReferencesHaveEveryKey(t *testing.T) {
	for _, kind := range []string{schema.Rig, schema.Sequence, schema.Scenario, schema.Binding} {
		hasKeys(t, printed(t, kind), schema.Of(kind))
	}
}

// The vocabulary is there too, row by row.
func TestReferencesHaveTheVocabulary(t *testing.T) {
	text := printed(t, "sequence")
	for _, signals := range [][]sequence.Signal{sequence.InputSignals(), sequence.OutputSignals()} {
		for _, s := range signals {
			hasKey(t, text, s.Name)
			for _, word := range s.Words {
				assert.Regexp(t, `\b`+word+`\b`, text, s.Name)
			}
		}
	}
	for _, r := range sequence.RoleWords() {
		hasKey(t, text, r.Role)
	}
	text = printed(t, "expressions")
	for _, f := range sequence.Functions() {
		assert.Regexp(t, `(?m)^  `+f.Name+`\(.* `+regexp.QuoteMeta(f.Note[:10]), text)
	}
	for _, o := range sequence.Operators() {
		assert.Regexp(t, `(?m)^  (a )?`+regexp.QuoteMeta(o.Operator)+` [ab] `, text)
	}
	for _, e := range sequence.UnitEndings() {
		assert.Regexp(t, `(?m)^  `+e.Ending+` +`+regexp.QuoteMeta(e.Unit.String())+`$`, text)
	}
	for _, word := range sequence.ReservedWords() {
		assert.Regexp(t, `\b`+word+`\b`, text)
	}
	text = printed(t, "scenario")
	for _, f := range catalogue.Entries() {
		assert.Regexp(t, `(?m)^  `+f.Name+`(=NUMBER)?\s`, text)
	}
	for _, o := range sim.Obligations() {
		hasKey(t, text, o.Name)
	}
	for _, words := range [][]string{sim.EndWords(), sim.VerdictWords(), sim.OperationWords(), sim.EventKinds(), sim.Buttons()} {
		for _, word := range words {
			assert.Regexp(t, `\b`+word+`\b`, text)
		}
	}
}

// Type, range and default of a value are those of its entry in the table.
func TestRowsOfARig(t *testing.T) {
	text := printed(t, "rig")
	assert.Regexp(t, `(?m)^  increments_per_turn +increments per turn of the motor: a number, 4 to`, text)
	assert.Regexp(t, `(?s)  stop_time +SS1: .*?0s to 1m; default 1s\n`, text)
	assert.Regexp(t, `(?s)  static_nm +.*?; required\n`, text)
	assert.Contains(t, text, "\nSection brake, required: the holding brake.\n")
}
