package riddlescmd

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/scenarios"
	"holdbench/sim/training"
)

// program is a holdbench of what this package has, and no more.
func program() clitest.Program { return clitest.With(New) }

func TestMain(m *testing.M) { program().Main(m) }

func TestExamples(t *testing.T) {
	program().Examples(t, "riddles", []clitest.Example{
		{Line: "holdbench riddles --number 2 --seed 101 --answers answers.txt", Prints: []string{`^Find the fault: rig pane-hoist`, `^Name: ___`, `^  1  seed 101$`, `^  2  seed 102$`, `^     cause +___`, `^     seen by +___`}},
		{Line: "holdbench riddles healthy-down --level mild --number 1", Prints: []string{`level mild$`, `^  1  seed \d{1,6}$`}},
	})
	text, err := os.ReadFile("answers.txt")
	require.NoError(t, err)
	c, _, err := scenarios.LoadCase(command.Demo, scenarios.Overrides{})
	require.NoError(t, err)
	r, err := training.Draw(t.Context(), c, training.One, 101)
	require.NoError(t, err)
	got := strings.Join(strings.Fields(string(text)), " ")
	assert.Contains(t, got, "1 seed 101: "+r.Truth.Name())
	assert.Contains(t, got, "Remedy: "+r.Truth.Remedy())
	assert.Contains(t, got, r.Visible.Text("in the nominal run", "in this run"))
	assert.Equal(t, 10, strings.Count(got, " Not "), "five wrong causes of each riddle")
}

// The page for print has a row for each riddle and nothing of the answers.
func TestPageForPrint(t *testing.T) {
	path := filepath.Join(t.TempDir(), "sheet.html")
	answers := filepath.Join(t.TempDir(), "answers.HTML")
	got := program().Invoke(t.Context(), "riddles", "--number", "1", "--seed", "101", "-o", path, "--answers", answers)
	require.Equal(t, command.ExitOK, got.Code, got.Stderr)
	assert.Empty(t, got.Stdout)
	html, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, 1, strings.Count(string(html), "<tr><td>101</td>"))
	assert.Contains(t, string(html), "level one")
	c, _, err := scenarios.LoadCase(command.Demo, scenarios.Overrides{})
	require.NoError(t, err)
	r, err := training.Draw(t.Context(), c, training.One, 101)
	require.NoError(t, err)
	assert.NotContains(t, string(html), r.Truth.Name())
	html, err = os.ReadFile(answers)
	require.NoError(t, err)
	assert.Contains(t, string(html), "<h2>1. Seed 101: "+r.Truth.Name()+"</h2>")
	assert.Equal(t, 5, strings.Count(string(html), "<p>Not "))
}

func TestPageIsKept(t *testing.T) { program().Pages(t, "riddles --help") }

func TestWrongUse(t *testing.T) {
	same := filepath.Join(t.TempDir(), "a.txt")
	for args, wants := range map[string]string{
		"--level hard":                         `--level: there is no level "hard"; must be one of one, mild`,
		"--number 0":                           `--number`,
		"--number 101":                         `--number`,
		"--seed -1":                            `--seed`,
		"a b":                                  `takes one scenario at most; found 2: a b`,
		"no-such":                              `no-such`,
		"--out a.pdf":                          `--out is "a.pdf"; must end in .html or .txt`,
		"--answers a":                          `--answers is "a"; must end in .html or .txt`,
		"--out " + same + " --answers " + same: `is the file of --answers, too; must be another one`,
	} {
		got := program().Invoke(t.Context(), append([]string{"riddles"}, strings.Fields(args)...)...)
		assert.Equal(t, command.ExitWrong, got.Code, args)
		assert.Contains(t, got.Stderr, wants, args)
	}
	assert.NoFileExists(t, same)
}

// A sheet of level two has room for both causes and both remedies, and its command keeps the results.
func TestSheetOfTwoFaults(t *testing.T) {
	s := &sheet{Reference: "healthy-down", Level: training.Two, Riddles: []*training.Riddle{{Seed: 7}}}
	var text strings.Builder
	require.NoError(t, s.write(&text, false))
	for _, cell := range []string{"cause 1", "cause 2", "remedy 1", "remedy 2", "seen by", "points"} {
		assert.Contains(t, text.String(), "     "+cell)
	}
	assert.Contains(t, strings.Join(strings.Fields(text.String()), " "), "holdbench --scenario healthy-down --player NAME --results FILE.jsonl")
	for line := range strings.Lines(text.String()) {
		assert.LessOrEqual(t, len(line), textWidth+1)
	}
	text.Reset()
	require.NoError(t, s.write(&text, true))
	assert.Contains(t, text.String(), "<th>seed</th><th>cause 1</th><th>cause 2</th><th>remedy 1</th><th>remedy 2</th><th>seen by</th><th>points</th>")
	assert.Contains(t, text.String(), "<td>7</td>"+strings.Repeat("<td></td>", 6)+"</tr>")
}

// Without a seed each sheet has riddles of its own.
func TestSheetsDifferWithoutASeed(t *testing.T) {
	t.Parallel()
	seeds := map[string]bool{}
	for range 2 {
		got := program().Invoke(t.Context(), "riddles", "healthy-down", "--number", "1")
		require.Zero(t, got.Code, got.Stderr)
		seeds[regexp.MustCompile(`seed \d+`).FindString(got.Stdout)] = true
	}
	require.Len(t, seeds, 2, "the chance of one seed twice is one in a million")
}
