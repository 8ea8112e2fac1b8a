package sequence

import (
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Written out and read again, a document is the same, in the same order.
func TestDocumentRoundTrip(t *testing.T) {
	t.Parallel()
	for _, text := range []string{string(Reference()), sound, poweredUp} {
		d := document(t, text)
		for i := range d.Params {
			d.Params[i].Note = "" // comments are not written
		}
		written, err := yaml.Marshal(d)
		require.NoError(t, err)
		assert.Equal(t, d, document(t, string(written)))
	}
	d := document(t, sound)
	assert.Equal(t, Params{{Name: "goal_mm", Value: "400"}, {Name: "near_mm", Value: "goal_mm / 1000"}, {Name: "limit_s", Value: "8"}, {Name: "tries", Value: "2"}}, d.Params)
	assert.Empty(t, d.AfterPowerLoss)
	assert.Equal(t, "back", document(t, poweredUp).AfterPowerLoss)
	assert.Equal(t, []string{"wait", "go_there", "there", "lost"},
		[]string{d.States[0].Name, d.States[1].Name, d.States[2].Name, d.States[3].Name})
}

// What stands behind a parameter is its note; what stands above or below it belongs to no one.
func TestNotesOfParameters(t *testing.T) {
	t.Parallel()
	d := document(t, "params:\n  # positions\n  a_mm: 4 #  where   it is\n  b: \"x # y\"   # quoted\n  c: true\n  # at the end\n  d: -1 * a_mm # computed\n")
	assert.Equal(t, Params{{"a_mm", "4", "where it is"}, {"b", "x # y", "quoted"}, {"c", "true", ""}, {"d", "-1 * a_mm", "computed"}}, d.Params)
}

// The package's readers are strict whatever the decoder's options are, and their
// errors know the place.
func TestDocumentStrict(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name, text   string
		line, column int
		says         string
	}{
		{"unknown key", "sequence: a\nstatr: b", 2, 1, `the nearest valid one is "start"`},
		{"unknown key near", "after_powerloss: b", 1, 1, `the nearest valid one is "after_power_loss"`},
		{"unknown key in a state", "states:\n  a:\n    sett: {}", 3, 5, `"set"`},
		{"unknown key in a transition", "states:\n  a:\n    go: [{to: b, wen: c}]", 3, 18, `"when"`},
		{"unknown key under any", "any: [{too: a}]", 1, 8, `"to"`},
		{"doubled key", "states:\n  a: {}\n  a: {}", 3, 3, "already defined"},
		{"not a number", "params: {a: .nan}", 1, 13, "finite"},
		{"not finite", "states: {a: {set: {target_mm: -.inf}}}", 1, 31, "finite"},
		{"no value", "params:\n  a:\n  b: 1", 2, 5, "missing"},
		{"list for a value", "params: {a: [1]}", 1, 13, "a single value"},
		{"value for a map", "states: {a: 3}", 1, 13, "keys with values"},
		{"value for a list", "states:\n  a:\n    go: 3", 3, 9, "sequence is expected"},
		{"list for a document", "- 1", 1, 1, "keys with values"},
		{"empty condition", "any: [{to: b, when: \"\"}]", 1, 21, "when is empty; must have a value, or be left out"},
		{"blank condition", "any: [{to: b, when: \"  \"}]", 1, 21, "when is empty"},
		{"condition left out", "states:\n  a:\n    go:\n      - to: b\n        when:", 5, 9, "when has no value; must have one, or be left out"},
		{"empty time", "any: [{to: b, when: proof, for: ''}]", 1, 33, "for is empty"},
		{"time left out", "any: [{to: b, after: , when: proof}]", 1, 15, "after has no value"},
		{"empty count", "any: [{to: b, when: proof, times: ''}]", 1, 35, "times is empty"},
		{"anchor", "params: {a: &x 1, b: *x}", 1, 13, "anchors"},
		{"merge key", "params:\n  <<: {a: 1}", 2, 3, "merge keys"},
		{"number for a flag", "states: {a: {slips_brake: 7}}", 1, 27, "bool"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			var d Document
			err := yaml.Unmarshal([]byte(test.text), &d)
			var at yaml.Error
			require.ErrorAs(t, err, &at)
			assert.Contains(t, err.Error(), test.says)
			position := at.GetToken().Position
			assert.Equal(t, [2]int{test.line, test.column}, [2]int{position.Line, position.Column})
		})
	}
}

func TestTextForms(t *testing.T) {
	t.Parallel()
	d := document(t, "params: {a: off, b: '5', c: 1_000, d: -0.50, e: true, f: \"\"}\nstates:\n  a:\n    set:\n      alarm: |\n        two\n        lines\n")
	assert.Equal(t, Params{{Name: "a", Value: "off"}, {Name: "b", Value: "5"}, {Name: "c", Value: "1_000"}, {Name: "d", Value: "-0.50"}, {Name: "e", Value: "true"}, {Name: "f", Value: ""}}, d.Params)
	assert.Equal(t, Text("two\nlines"), d.States[0].Set[0].Value)
}
