package clitest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
)

// Example is an example of a help text, with what must come of it.
type Example struct {
	Line   string   // as the help has it
	Short  string   // flags that come on top, so that the test takes a second and not a minute
	Long   bool     // left out with -short
	Code   int      // exit code
	Prints []string // regular expressions that standard output, line by line, must match
	Says   string   // one that standard error must match; empty for no matter
	Data   bool     // what is printed is for programs and may be as wide as it likes
}

// Examples runs every example in the help of a command, in their order and in one folder: they
// are those of the list, so that a new one without an assertion fails.
func (p Program) Examples(t *testing.T, name string, examples []Example) {
	t.Helper()
	p.ExamplesWith(t, name, nil, examples)
}

// ExamplesWith is Examples in a folder with some files, by their names.
func (p Program) ExamplesWith(t *testing.T, name string, files map[string]string, examples []Example) {
	t.Helper()
	c, _, err := p(&command.App{}).Find(strings.Fields(name))
	require.NoError(t, err)
	var help, list []string
	for line := range strings.Lines(c.Example) {
		help = append(help, strings.TrimSpace(line))
	}
	for _, e := range examples {
		list = append(list, e.Line)
	}
	require.Equal(t, help, list, "the examples in the help of %s", c.CommandPath())
	t.Chdir(t.TempDir())
	for file, text := range files {
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o700))
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
	}
	for _, e := range examples {
		if e.Long && testing.Short() {
			continue
		}
		p.example(t, &e)
	}
}

func (p Program) example(t *testing.T, e *Example) {
	t.Helper()
	args := words(e.Line + " " + e.Short)
	require.Equal(t, "holdbench", args[0], e.Line)
	got := p.Invoke(t.Context(), args[1:]...)
	assert.Equal(t, e.Code, got.Code, "%s: %s", e.Line, got.Stderr)
	assert.NotEmpty(t, e.Prints, e.Line)
	for _, want := range e.Prints {
		assert.Regexp(t, "(?m)"+want, got.Stdout, e.Line)
	}
	assert.Regexp(t, "(?m)"+e.Says, got.Stderr, e.Line)
	if !e.Data {
		KeepsToThePage(t, got.Stdout, page.Narrow, false)
	}
}

// words takes an example apart: without what a shell does with the output, and without quotes,
// which stand around single words alone.
func words(line string) []string {
	line, _, _ = strings.Cut(line, " > ")
	line, _, _ = strings.Cut(line, " | ")
	if inside, ok := strings.CutPrefix(line, "source <("); ok {
		line = strings.Replace(inside, ")", "", 1)
	}
	return strings.Fields(strings.ReplaceAll(line, "'", ""))
}

// KeepsToThePage requires lines that are not too wide and do not end in blanks, and ASCII where the
// screen has nothing else.
func KeepsToThePage(t *testing.T, text string, width int, ascii bool) {
	t.Helper()
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		assert.LessOrEqual(t, page.Cells(line), width, line)
		assert.Equal(t, strings.TrimRight(line, " "), line)
	}
	if ascii {
		assert.NotRegexp(t, `[^\x20-\x7e\n]`, text)
	}
}

// Pages requires the output of commands to keep to the page.
func (p Program) Pages(t *testing.T, commands ...string) {
	t.Helper()
	for _, line := range commands {
		t.Run(line, func(t *testing.T) {
			t.Parallel()
			got := p.Invoke(t.Context(), strings.Fields(line)...)
			assert.Less(t, got.Code, command.ExitWrong, got.Stderr)
			assert.NotEmpty(t, got.Stdout)
			KeepsToThePage(t, got.Stdout, page.Narrow, false)
		})
	}
}
