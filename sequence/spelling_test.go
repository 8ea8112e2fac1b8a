package sequence

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The spelling of structured text (IEC 61131-3, 3.3.1, from memory) means the same as the parser's.
func TestSpellingOfTheTrade(t *testing.T) {
	t.Parallel()
	in := Inputs{Trigger: true, PositionMM: 3, JudgeCause: CauseMoved}
	for text, want := range map[string]any{
		"trigger AND NOT cancel":                true,
		"trigger And Not cancel":                true,
		"cancel OR trigger":                     true,
		"trigger = TRUE":                        true,
		"cancel <> FALSE":                       false,
		"position_mm = 3 AND position_mm <> 4":  true,
		"position_mm=3":                         true,
		"position_mm == 3 and position_mm != 4": true,
		"position_mm >= 3 AND position_mm <= 3": true,
		`judge_cause = "moved"`:                 true,
		`judge_cause <> 'moved' OR cancel`:      false,
		"(position_mm = 3 ? 1 : 2) = 1":         true,
		"NOT (cancel = trigger)":                true,
	} {
		got, err := evaluate(text, &in)
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
}

// What the language does not have is answered with what to write, and a mistake behind a sign of
// the trade is still found at its column.
func TestSpellingExplained(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text   string
		column int
		says   string
	}{
		{"trigger XOR cancel", 9, "XOR is not part of the language; write a != b for two conditions of which exactly one is met"},
		{"trigger & cancel", 9, "& is not part of the language; write and"},
		{"7 MOD 2", 3, "MOD is not part of the language"},
		{"position_mm := 3", 13, ":= is not part of the language; write = to compare; a state sets outputs under set"},
		{"position_mm =< 3", 13, "=< is not part of the language; write <="},
		{"position_mm => 3", 13, "=> is not part of the language; write >="},
		{"position_mm = 3 AND", 19, "ends too early"},
		{"trigger = cancel s", 18, `unexpected token Identifier("s")`},
		{"trigger = true AND position_mm = triger", 34, `the nearest valid one is "trigger"`},
		{"position_mm = 3 AND absolute(1) = 2", 21, `the nearest valid one is "abs"`},
		{`judge_cause = "a = b AND c"`, 15, `judge_cause is never "a = b AND c"`},
	} {
		_, err := evaluate(c.text, &Inputs{})
		var at *ExprError
		require.ErrorAs(t, err, &at, c.text)
		assert.Contains(t, at.Message, c.says)
		assert.Equal(t, c.column, at.Column, "%s: %s", c.text, at.Message)
	}
}

// A condition is shown in one spelling, whatever it was written in.
func TestSpellingOfTerms(t *testing.T) {
	t.Parallel()
	b := newBench(t, `sequence: s
start: a
states:
  a: {go: [{to: b, when: NOT (trigger = cancel OR position_mm <> 3) AND "moved" = judge_cause}]}
  b: {}
ends: {b: stop}
`)
	b.scan()
	var shown [][]string
	for _, term := range b.m.Waiting()[0].Terms {
		shown = append(shown, []string{term.Text, term.Left, term.Op, term.Right, term.Group})
	}
	assert.Equal(t, [][]string{
		{"not (trigger == cancel)", "false", "!=", "false", ""},
		{"not (position_mm != 3)", "0 mm", "==", "3 mm", ""},
		{`"moved" == judge_cause`, `""`, "==", "moved", ""},
	}, shown)
	assert.Equal(t, `NOT (trigger = cancel OR position_mm <> 3) AND "moved" = judge_cause`, b.m.Waiting()[0].Text, "as written")
}
