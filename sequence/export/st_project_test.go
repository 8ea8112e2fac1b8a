package export_test

import (
	"regexp"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sequence/binding"
	"holdbench/sequence/export"
)

// What every project shares is there once: two sequences, or one under two prefixes, fit in one project.
func TestTwoExportsInOneProject(t *testing.T) {
	t.Parallel()
	reference := compiled(t, string(sequence.Reference()))
	for name, other := range map[string]struct {
		p *sequence.Program
		o export.STOptions
	}{"another sequence": {small(t), export.STOptions{}}, "another prefix": {reference, export.STOptions{Prefix: "Axis2"}}} {
		t.Run(name, func(t *testing.T) {
			first, bound, err := export.StructuredText(reference, "n.st", export.STOptions{})
			require.NoError(t, err)
			second, _, err := export.StructuredText(other.p, "n.st", other.o)
			require.NoError(t, err)
			var b binding.Document
			require.NoError(t, yaml.UnmarshalWithOptions([]byte(bound), &b, yaml.Strict()))
			_, _, err = binding.New(b, "n.st", []byte(first+second))
			require.NoError(t, err)
			seen := map[string]bool{}
			for _, n := range globals(first) {
				seen[n] = true
			}
			require.Contains(t, seen, "REFERENCE_S_READY")
			for _, n := range globals(second) {
				assert.False(t, seen[n], n)
			}
		})
	}
}

// globals are the names that a project shares, in upper case: types, values, functions and blocks.
func globals(program string) []string {
	text := regexp.MustCompile(`(?s)\(\*.*?\*\)`).ReplaceAllString(program, "")
	text = regexp.MustCompile(`(?s)\w+ : STRUCT.*?END_STRUCT`).ReplaceAllStringFunc(text, func(s string) string { return strings.Fields(s)[0] })
	types := text[strings.Index(text, "TYPE"):strings.Index(text, "END_TYPE")]
	list := regexp.MustCompile(`\w+`).FindAllString(types, -1)[1:]
	for _, m := range regexp.MustCompile(`(?m)^(?:FUNCTION|FUNCTION_BLOCK) (\w+)`).FindAllStringSubmatch(text, -1) {
		list = append(list, m[1])
	}
	for i := range list {
		list[i] = strings.ToUpper(list[i])
	}
	return list
}

// An engineer who sets a parameter on the machine reads beside it what it is for: every one has words.
func TestEveryParameterHasAMeaning(t *testing.T) {
	t.Parallel()
	program, _, err := export.StructuredText(compiled(t, string(sequence.Reference())), "n.st", export.STOptions{})
	require.NoError(t, err)
	_, rest, _ := strings.Cut(program, "\n  Parameters\n")
	table, _, _ := strings.Cut(rest, "\n\n")
	lines := strings.Split(table, "\n")
	require.Greater(t, len(lines), 50)
	for _, line := range lines {
		assert.Greater(t, len(line), 76, line)
	}
	for _, want := range []string{
		"support_position_mm                LREAL                      mm         just above the support of the load, or where it is safest",
		"press_rate_nm_s                    LREAL                      Nm/s       press rate: how fast a press builds up",
		"press_down_nm                      LREAL                      Nm         press down: torque of the press down, negative; = required_down_nm * press_margin",
		"run_in_strokes                     DINT                                  read in run_in_down",
	} {
		assert.Contains(t, table, want)
	}
}

// A counter is compared for equality, for which a controller wants a whole number. One that is computed
// with stays what it is on the bench, and so does all that is kept of it.
func TestCounters(t *testing.T) {
	t.Parallel()
	for name, test := range map[string]struct{ keep, when, input, kept string }{
		"compared":        {"test_count", "test_count != before", "test_count : DINT;", "before : DINT;"},
		"the scan before": {"previous(test_count)", "previous(test_count) < test_count", "test_count : DINT;", "before : DINT;"},
		"computed with":   {"test_count", "test_count > before + 1", "test_count : LREAL;", "before : LREAL;"},
		"kept otherwise":  {"test_count + 1", "test_count == before", "test_count : LREAL;", "before : LREAL;"},
		"with a number":   {"test_count", "test_count > 1 and before > 1", "test_count : LREAL;", "before : LREAL;"},
	} {
		t.Run(name, func(t *testing.T) {
			program, bound, err := export.StructuredText(compiled(t, `
sequence: counts
start: a
states:
  a: {set: {drive: hold, brake: open}, keep: {before: "`+test.keep+`"}, go: [{to: b, when: "`+test.when+`"}]}
  b: {set: {drive: off}, go: [{to: a, when: trigger}]}
ends: {b: pass}
`), "n.st", export.STOptions{})
			require.NoError(t, err)
			assert.Contains(t, program, "  "+test.input)
			assert.Contains(t, program, "  "+test.kept)
			ran(t, program, bound)
		})
	}
}

// Whoever connects the safety side reads to which value each of its answers belongs, as name and as number.
func TestAnswersOfTheSafetySide(t *testing.T) {
	t.Parallel()
	for _, integers := range []bool{false, true} {
		program, _, err := export.StructuredText(small(t), "n.st", export.STOptions{Integers: integers, Prefix: "P"})
		require.NoError(t, err)
		head, _, _ := strings.Cut(program, "*)")
		_, table, found := strings.Cut(head, "Answers of the safety side")
		require.True(t, found)
		for i, word := range sequence.JudgeCauses() {
			if word == "" {
				word = "none"
			}
			name := "CAUSE_" + strings.ToUpper(strings.ReplaceAll(word, "-", "_"))
			assert.Regexp(t, `(?m)^ +(P_)?`+name+` +`+string(rune('0'+i))+`  [a-z].{5,}$`, table)
		}
		for i, word := range sequence.TestedWords() {
			assert.Regexp(t, `(?m)^ +(P_)?TESTED_`+strings.ToUpper(word)+` +`+string(rune('0'+i))+`  [a-z].{5,}$`, table)
		}
	}
}

// What only the bench needs says so.
func TestTheStartOfTheBenchIsSaid(t *testing.T) {
	t.Parallel()
	program, _, err := export.StructuredText(small(t), "n.st", export.STOptions{})
	require.NoError(t, err)
	assert.Contains(t, program, "On a controller this is SMALL_S_POWER_UP. SMALL_S_READY is for the bench")
}
