package riddlescmd

import (
	"os"
	"path/filepath"
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
		{Line: "holdbench riddles --number 2 --seed 101 --answers answers.txt", Prints: []string{`^Find the fault: rig pane-hoist`, `^  1  seed 101 +cause  ___`, `^  2  seed 102 +cause  ___`}},
		{Line: "holdbench riddles healthy-down --level mild --number 1", Prints: []string{`level mild$`, `^  1  seed 1 +cause  ___`}},
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
	got := program().Invoke(t.Context(), "riddles", "--number", "1", "--seed", "101", "--out", path)
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
		"--out " + same + " --answers " + same: `is the file of --answers, too; must be another one`,
	} {
		got := program().Invoke(t.Context(), append([]string{"riddles"}, strings.Fields(args)...)...)
		assert.Equal(t, command.ExitWrong, got.Code, args)
		assert.Contains(t, got.Stderr, wants, args)
	}
	assert.NoFileExists(t, same)
}
