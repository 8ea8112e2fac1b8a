package sequence

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestExprValues(t *testing.T) {
	t.Parallel()
	in := Inputs{Trigger: true, PositionMM: 3, Speed: -2, TorqueNM: 0, JudgeCause: CauseMoved, CurrentRMSA: 2}
	tests := map[string]any{
		"1 + 2 * 3":                        7.0,
		"-(1 - 4) / 2":                     1.5,
		"2e-3":                             0.002,
		"position_mm * position_mm":        9.0,
		"abs(speed)":                       2.0,
		"min(position_mm, 2, 8)":           2.0,
		"max(1, position_mm)":              3.0,
		"sqrt(16)":                         4.0,
		"sign(speed)":                      -1.0,
		"sign(0)":                          0.0,
		"amplitude(current_rms_a)":         2 * math.Sqrt2,
		"rms(amplitude(current_rms_a))":    2.0,
		"cos_deg(0)":                       1.0,
		"cos_deg(180)":                     -1.0,
		"cos_deg(position_deg)":            1.0,
		"previous(position_mm)":            3.0, // the first scan has none before it
		"previous(trigger)":                true,
		`previous(judge_cause) == "moved"`: true,
		"trigger ? 1 : 2":                  1.0,
		"position_mm / torque_nm":          math.Inf(1),
		"torque_nm / torque_nm < 1":        false,
		"torque_nm / torque_nm >= 1":       false,
		"trigger and not cancel":           true,
		"!trigger || cancel && trigger":    false,
		"trigger == cancel":                false,
		"trigger != cancel":                true,
		`judge_cause == "moved"`:           true,
		`judge_cause != 'moved'`:           false,
		`"moved" == judge_cause`:           true,
		"position_mm == 3":                 true,
		"3 != position_mm":                 false,
		"position_mm >= 3 and speed < 0":   true,
		"(trigger ? cancel : true)":        false,
	}
	for text, want := range tests {
		t.Run(text, func(t *testing.T) {
			t.Parallel()
			got, err := evaluate(text, &in)
			require.NoError(t, err)
			assert.Equal(t, want, got)
		})
	}
}

// evaluate parses, checks, compiles and runs an expression.
func evaluate(text string, in *Inputs) (any, error) {
	e, err := ParseExpr(text)
	if err != nil {
		return nil, err
	}
	s := newScope()
	if problems := s.check(e, KindUnknown); len(problems) > 0 {
		return nil, problems[0]
	}
	switch c := s.compile(e.Node); {
	case c.number != nil:
		return c.number(in), nil
	case c.boolean != nil:
		return c.boolean(in), nil
	default:
		return c.word(in), nil
	}
}

func TestExprRefused(t *testing.T) {
	t.Parallel()
	tests := []struct {
		text   string
		column int
		says   string
	}{
		{"", 1, "ends too early"},
		{"1 +", 3, "ends too early"},
		{"position_mm > 3 s", 17, `unexpected name "s" after a number; units are not written`},
		{"position_mm speed", 13, `unexpected token Identifier("speed")`},
		{"2 ** 3", 3, `operator "**"`},
		{"7 % 2", 3, `operator "%"`},
		{"trigger in [1]", 9, `operator "in"`},
		{"position_mm.x", 13, "not part of the language"},
		{"position_mm[0]", 12, "not part of the language"},
		{"[1, 2]", 1, "not part of the language"},
		{"{a: 1}", 1, "not part of the language"},
		{"nil", 1, "not part of the language"},
		{"let x = 1; x", 5, "not part of the language"},
		{"1; 2", 1, "not part of the language"},
		{"+1", 1, `sign "+"`},
		{"speed | abs()", 9, "a pipe"},
		{"filter([1], # > 0)", 1, `no function "filter"`},
		{"if trigger { 1 } else { 2 }", 0, "if and else"},
		{"1 < position_mm < 3", 17, "cannot be chained"},
		{"1 < 2 < 3 < 4", 0, "cannot be chained"},
		{"trigger ?: cancel", 0, "a ?: b"},
		{"trigger ?? cancel", 9, `operator "??"`},
		{"abs(1, 2)", 1, "it takes 1"},
		{"min(1)", 1, "it takes 2 to 8"},
		{"absolute(1)", 1, `the nearest valid one is "abs"`},
		{"1e999", 5, "invalid float"},
		{"99999999999999999999", 20, "invalid integer"},
		{strings.Repeat("(", 900) + "1" + strings.Repeat(")", 900), -1, ""},
		{strings.Repeat("-", 150) + "1", 102, "nested more than"},
		{strings.Repeat("1+", 1001) + "1", 0, "at most 2000"},
		{"\xff", 0, "UTF-8"},
	}
	for _, test := range tests {
		t.Run(test.text[:min(len(test.text), 30)], func(t *testing.T) {
			t.Parallel()
			_, err := new(analysis).parse(test.text)
			if test.column < 0 {
				require.Nil(t, err, "brackets alone nest nothing")
				return
			}
			require.NotNil(t, err)
			assert.Contains(t, err.Error(), test.says)
			if test.column > 0 {
				assert.Equal(t, test.column, err.Column, err.Error())
			}
		})
	}
}

func TestExprKinds(t *testing.T) {
	t.Parallel()
	tests := []struct {
		text   string
		column int
		says   string
	}{
		{"trigger + 1", 1, "trigger is a boolean; + needs a number"},
		{"not position_mm", 5, "position_mm is a number; not needs a boolean"},
		{"position_mm and trigger", 1, "position_mm is a number; and needs a boolean"},
		{"trigger < 1", 1, "trigger is a boolean; < needs a number"},
		{"trigger == 1", 9, "needs the same kind"},
		{"position_mm ? 1 : 2", 1, "? needs a boolean"},
		{"trigger ? 1 : false", 19, "needs the same kind"},
		{"abs(trigger)", 5, "trigger is a boolean; abs needs a number"},
		{`judge_cause == "mvoed"`, 16, `the nearest valid one is "moved"`},
		{`judge_cause > 1`, 1, "judge_cause is a word"},
		{"positionn_mm > 1", 1, `the nearest valid one is "position_mm"`},
		{"drive == 1", 1, "there is no input or parameter"},
	}
	for _, test := range tests {
		t.Run(test.text, func(t *testing.T) {
			t.Parallel()
			problems := checkText(t, test.text)
			require.Len(t, problems, 1)
			assert.Contains(t, problems[0].Message, test.says)
			assert.Equal(t, test.column, problems[0].Column)
		})
	}
}
