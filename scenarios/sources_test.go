package scenarios

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim"
)

// A case knows what it was read from, and so does one that could not be read, as far as it came: who
// waits for a change has to know where.
func TestSources(t *testing.T) {
	folder := t.TempDir()
	in := func(name string) string { return filepath.Join(folder, name) }
	write := func(name, text string) {
		require.NoError(t, os.WriteFile(in(name), []byte(text), 0o600))
	}
	rig, err := os.ReadFile(filepath.Join("rigs", "pane-hoist.yaml"))
	require.NoError(t, err)
	binding, err := os.ReadFile(filepath.Join("sequences", "reference-case.yaml"))
	require.NoError(t, err)
	program, err := os.ReadFile(filepath.Join("sequences", "reference-case.st"))
	require.NoError(t, err)
	scenario := "scenario: mine\ntitle: t\nrig: axis.yaml\nsequence: reference-case.st\nexpect: {obligations: all}\n"
	read := func(o Overrides) (*sim.Case, []string, error) {
		c, list, _, err := LoadCaseFrom(in("mine.yaml"), o)
		var files []string
		for _, d := range list {
			if d.File != "" {
				assert.Equal(t, filepath.Base(d.File), d.Name)
			}
			files = append(files, d.Kind+" "+d.Name)
		}
		return c, files, err
	}
	_, files, err := read(Overrides{})
	require.Error(t, err)
	assert.Equal(t, []string{"scenario mine.yaml"}, files, "it is waited for")
	write("mine.yaml", scenario)
	_, files, err = read(Overrides{})
	require.Error(t, err)
	assert.Equal(t, []string{"scenario mine.yaml", "rig axis.yaml"}, files)
	write("axis.yaml", "password: 1\n")
	_, list, _, err := LoadCaseFrom(in("mine.yaml"), Overrides{})
	require.Error(t, err)
	require.Len(t, list, 2)
	assert.NotEmpty(t, list[1].SHA256, "a file that is no rig was read all the same, and is not read again until it changes")
	write("axis.yaml", string(rig))
	_, files, err = read(Overrides{})
	require.Error(t, err)
	assert.Equal(t, []string{"scenario mine.yaml", "rig axis.yaml", "sequence reference-case.yaml", "sequence reference-case.st"}, files)
	write("reference-case.yaml", string(binding))
	_, files, err = read(Overrides{})
	require.Error(t, err)
	assert.Equal(t, []string{"scenario mine.yaml", "rig axis.yaml", "sequence reference-case.yaml", "program reference-case.st"}, files)
	write("reference-case.st", "nonsense")
	_, files, err = read(Overrides{})
	require.Error(t, err)
	assert.Equal(t, "program reference-case.st", files[3])
	write("reference-case.st", string(program))
	c, files, err := read(Overrides{})
	require.NoError(t, err)
	require.Len(t, files, 4)
	assert.Equal(t, sim.NewDocument("program", in("reference-case.st"), program), c.Sources[3])
	c, _, err = read(Overrides{Rig: "kiln-gate", Sequence: "reference"})
	require.NoError(t, err)
	assert.Equal(t, []string{"mine.yaml", "kiln-gate", "reference"}, []string{c.Sources[0].Name, c.Sources[1].Name, c.Sources[2].Name})
	assert.Empty(t, c.Sources[1].File, "built in")
	made, _, err := c.With(c.Scenario)
	require.NoError(t, err)
	assert.Equal(t, c.Sources, made.Sources)
}
