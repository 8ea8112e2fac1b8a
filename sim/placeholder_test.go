package sim

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// listedNames are the names that a test knows.
type listedNames []string

func (l listedNames) known(name string) bool { return slices.Contains(l, name) }
func (l listedNames) names() []string        { return l }

// figureNamesForTest are names with values that are easy to work out by head.
func figureNamesForTest() (nameScope, func(string) float64) {
	values := map[string]float64{"torque_nm": -3.14159, "rig.load.mass_kg": 180, "none": math.NaN(), "noise": 3e-9}
	return listedNames(sortedKeys(values)), func(name string) float64 { return values[name] }
}

func TestFill(t *testing.T) {
	names, values := figureNamesForTest()
	for text, want := range map[string]string{
		"No figure.": "No figure.",
		"{torque_nm} N·m and {abs(torque_nm):2} N·m":         "-3.14 N·m and 3.1 N·m",
		"{rig.load.mass_kg} kg, {rig.load.mass_kg * 10:1} N": "180 kg, 1800 N",
		"{ (1 + 2) * -4 / 8 - .5 : 3 }":                      "-2",
		"{rig.load.mass_kg - 80 - 50}":                       "50",
		"{{literal}} {torque_nm:1}":                          "{literal} -3",
		"{noise} mm, {none} N·m, {1 / 0} s":                  "0 mm, no value N·m, infinite s",
		"{0.8 / 1000:2} m":                                   "0.0008 m",
	} {
		_, err := parseText(text, names)
		require.NoError(t, err, text)
		require.Equal(t, want, fill(text, names, values))
	}
}

func TestParseTextRefuses(t *testing.T) {
	names, _ := figureNamesForTest()
	for text, want := range map[string]string{
		"{torqe_nm} N·m":                       `figure {torqe_nm}: there is no value "torqe_nm"; the nearest valid one is "torque_nm"`,
		"{torque_nm":                           "a brace has no partner; a figure must be written {name}, a brace {{ or }}",
		"torque_nm} x":                         "a brace has no partner; a figure must be written {name}, a brace {{ or }}",
		"{torque_nm {none}}":                   "a brace has no partner; a figure must be written {name}, a brace {{ or }}",
		"{torque_nm:0}":                        `figure {torque_nm:0} has "0" digits; must be 1 to 9`,
		"{torque_nm:x}":                        `figure {torque_nm:x} has "x" digits; must be 1 to 9`,
		"{}":                                   `figure {}: formula has "" where a number or a name must stand`,
		"{torque_nm +}":                        `figure {torque_nm +}: formula has "" where a number or a name must stand`,
		"{torque_nm 2}":                        `figure {torque_nm 2}: formula "torque_nm 2" has "2" left over; must be numbers and names with + - * / between them`,
		"{abs torque_nm}":                      "figure {abs torque_nm}: abs stands without its bracket; must be abs(…)",
		"{(torque_nm}":                         `figure {(torque_nm}: formula lacks a closing bracket before ""`,
		"{1.2.3}":                              `figure {1.2.3}: "1.2.3" is no number`,
		"{" + deep(50) + "}":                   "figure {" + deep(50) + "}: formula is nested more than 20 deep; must be simpler",
		"{" + strings.Repeat("1+", 200) + "1}": "figure {" + strings.Repeat("1+", 200) + "1}: formula has 401 bytes; must have at most 400",
	} {
		_, err := parseText(text, names)
		require.EqualError(t, err, want, text)
	}
}

func deep(n int) string { return strings.Repeat("(", n) + "1" + strings.Repeat(")", n) }

// No text stops the program, and one without braces stays as it is.
func TestFillAnyText(t *testing.T) {
	names, values := figureNamesForTest()
	rapid.Check(t, func(rt *rapid.T) {
		text := rapid.StringMatching(`[ a-z{}():.+*/0-9-]{0,40}`).Draw(rt, "text")
		filled := fill(text, names, values)
		if !strings.ContainsAny(text, "{}") {
			require.Equal(rt, text, filled)
		}
	})
}

func TestFigureTextKeepsWholeDigits(t *testing.T) {
	for _, c := range []struct {
		x      float64
		digits int
		want   string
	}{
		{123456, 3, "123456"}, {0.123456, 3, "0.123"}, {9.996, 3, "10"}, {-0.0000001, 3, "0"}, {2.9, 1, "3"}, {150.4, 2, "150"},
	} {
		require.Equal(t, c.want, FigureText(c.x, c.digits))
	}
}

func TestCheckNumberAsked(t *testing.T) {
	good := NumberAsked{Of: "abs(torque_nm)", Unit: "N·m", Right: 0.2, Near: 1}
	names, _ := figureNamesForTest()
	require.Empty(t, good.check("number", names, true))
	for want, wrong := range map[string]NumberAsked{
		`number.of: there is no value "torque"; the nearest valid one is "torque_nm"`:            {Of: "torque", Unit: "N·m", Right: 1, Near: 2},
		"number.unit: unit is missing; must be that of the answer, such as N·m":                  {Of: "1", Unit: " ", Right: 1, Near: 2},
		"number.right: right is 0; must be above 0, the largest deviation of a right answer":     {Of: "1", Unit: "s", Near: 2},
		"number.near: near is 1; must be above right, 1":                                         {Of: "1", Unit: "s", Right: 1, Near: 1},
		"number.at_next: at_next is set, and no stop follows; must be left out at the last stop": {Of: "1", Unit: "s", Right: 1, Near: 2, AtNext: true},
	} {
		found := wrong.check("number", names, true)
		require.Len(t, found, 1)
		require.Equal(t, want, found[0].Path+": "+found[0].Message)
	}
}

func TestCompare(t *testing.T) {
	n := NumberAsked{Right: 0.1, Near: 1}
	for answer, want := range map[float64]Closeness{3: Right, 3.1: Right, 2.9: Right, 3.2: Near, 4: Near, 2: Near, 4.01: Off, -3: Off} {
		require.Equal(t, want, n.Compare(answer, 3), "answer %g", answer)
	}
	require.Equal(t, Off, n.Compare(3, math.NaN()))
	n.Amount = true
	for answer, want := range map[float64]Closeness{3: Right, -3: Right, -3.2: Near, -4.01: Off} {
		require.Equal(t, want, n.Compare(answer, 3), "amount of %g", answer)
		require.Equal(t, want, n.Compare(answer, -3), "amount of %g", answer)
	}
}
