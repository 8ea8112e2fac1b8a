package helpcmd

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
)

func TestMain(m *testing.M) { program().Main(m) }

// program is a holdbench that has the topics alone.
func program() clitest.Program {
	return func(a *command.App) *cobra.Command {
		root := &cobra.Command{Use: "holdbench"}
		root.AddCommand(Topics(a)...)
		return root
	}
}

// printed is what help prints of a topic.
func printed(t *testing.T, name string) string {
	t.Helper()
	got := program().Invoke(t.Context(), "help", name)
	require.Equal(t, command.ExitOK, got.Code, got.Stderr)
	return got.Stdout
}

// A guide is read as a whole; a reference is as long as its tables.
func TestTopicsKeepToThePage(t *testing.T) {
	const mostLines = 60
	references := []string{"rig", "sequence", "scenario", "binding", "expressions"}
	for _, topic := range topics() {
		got := printed(t, topic.name)
		clitest.KeepsToThePage(t, got, page.Narrow, false)
		if !slices.Contains(references, topic.name) {
			assert.LessOrEqual(t, strings.Count(got, "\n"), mostLines, topic.name)
		}
		assert.Equal(t, got, program().Invoke(t.Context(), topic.name).Stdout, "the name alone prints it too")
	}
}

// The tables of the program are in the topics, row by row.
func TestTopicsHaveTheTables(t *testing.T) {
	row := func(text, name string) {
		t.Helper()
		assert.Regexp(t, `(?m)^  `+regexp.QuoteMeta(name)+` +\S`, text)
	}
	text := printed(t, "classes")
	for _, c := range sim.Classes() {
		row(text, string(c))
	}
	text = printed(t, "obligations")
	for _, o := range sim.Obligations() {
		row(text, o.Name)
	}
	text = printed(t, "exit-codes")
	for _, e := range []string{"0", "1", "2", "3"} {
		row(text, e)
	}
}

// document is the part of a topic that begins with a key: the lines to the next one that is not
// indented.
func document(t *testing.T, topic, key string) []byte {
	t.Helper()
	text := printed(t, topic)
	at := strings.Index(text, "\n  "+key+":")
	require.GreaterOrEqual(t, at, 0, key)
	var lines []string
	for line := range strings.Lines(text[at+1:]) {
		if strings.HasPrefix(line, "  holdbench ") || strings.TrimSpace(line) != "" && !strings.HasPrefix(line, "  ") {
			break
		}
		lines = append(lines, strings.TrimPrefix(line, "  "))
	}
	return []byte(strings.Join(lines, ""))
}

// The documents of the topics are right, and the scenario ends as it expects.
func TestDocumentsOfTheTopics(t *testing.T) {
	rig, warnings, err := scenarios.ParseRig("rig.yaml", document(t, "documents", "rig"))
	require.NoError(t, err)
	assert.Empty(t, warnings)
	assert.Equal(t, "my-hoist", rig.Rig)
	ready, warnings, err := scenarios.ParseCase("scenario.yaml", document(t, "documents", "scenario"), scenarios.Overrides{})
	require.NoError(t, err)
	assert.Empty(t, warnings)
	r, err := sim.Run(ready, nil)
	require.NoError(t, err)
	assert.True(t, r.Met(), "%+v", r.Expectations)
	d, warnings, err := scenarios.ParseSequence("sequence.yaml", document(t, "sequence", "sequence"))
	require.NoError(t, err)
	assert.Empty(t, warnings)
	assert.Equal(t, "short", d.Sequence)
}

// Every form, function and unit of the topic is one of the language.
func TestExpressionsOfTheTopic(t *testing.T) {
	text := printed(t, "expressions")
	_, forms, _ := strings.Cut(text, "arithmetic")
	forms, _, _ = strings.Cut("arithmetic"+forms, "Comparisons are not chained")
	n := 0
	for line := range strings.Lines(forms) {
		for form := range strings.SplitSeq(strings.TrimSpace(regexp.MustCompile(`^ *(arithmetic|comparison|logic|choice|functions)`).ReplaceAllString(line, "")), "   ") {
			if form = strings.TrimSpace(form); form != "" {
				_, err := sequence.ParseExpr(form)
				require.NoError(t, err, form)
				n++
			}
		}
	}
	assert.Greater(t, n, 20)
	for _, ending := range regexp.MustCompile(`\b_[a-z0-9_]+`).FindAllString(text, -1) {
		assert.NotEqual(t, sequence.Unit{}, sequence.UnitOf("x"+ending), ending)
	}
	_, err := sequence.ParseExpr("nosuch(1)")
	require.Error(t, err)
	for _, name := range regexp.MustCompile(`[a-z]+`).FindAllString(strings.SplitN(err.Error(), ";", 2)[1], -1) {
		_, one := sequence.ParseExpr(name + "(1)")
		_, two := sequence.ParseExpr(name + "(1, 2)")
		if one == nil || two == nil {
			assert.Contains(t, forms, name+"(", "a function that the topic leaves out")
		}
	}
	_, examples, _ := strings.Cut(text, "Examples:")
	examples, _, _ = strings.Cut(examples, "OPERATORS")
	for line := range strings.Lines(examples) {
		if line = strings.TrimSpace(line); line != "" {
			_, err := sequence.ParseExpr(line)
			require.NoError(t, err, line)
		}
	}
}

// What the topic keeps and gives a role is right: its lines make a sequence.
func TestMemoryOfTheTopic(t *testing.T) {
	text := printed(t, "memory")
	state := regexp.MustCompile(`(?s)  measure_load:\n.*?\n\n`).FindString(text)
	roles := regexp.MustCompile(`  roles: .*\n`).FindString(text)
	require.NotEmpty(t, state)
	require.NotEmpty(t, roles)
	_, warnings, err := scenarios.ParseSequence("sequence.yaml", []byte("sequence: s\nstart: wait\nparams: {test_factor: 1.3, brake_test_nm: 3, surplus: 1.1}\n"+
		strings.TrimPrefix(roles, "  ")+"states:\n  wait: {set: {drive: hold}, go: [{to: measure_load, when: trigger}]}\n"+
		strings.TrimRight(state, "\n")+"\n    go: [{to: over, after: 1s}]\n  over: {}\nends: {over: stop}\n"))
	require.NoError(t, err)
	require.Empty(t, warnings)
}
