package scenarios

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
)

// A scenario names a rig and a sequence, and a rig holds values of one, whatever the order.
func TestKindOfADocument(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]Kind{
		"scenario: s\nrig: r\nsequence: q\n":      ScenarioKind,
		"rig: r\nsequence: q\nscenario: s\n":      ScenarioKind,
		"sequence: {load_torque_nm: 1}\nrig: r\n": RigKind,
		"# a note\n\nsequence: q\nstart: a\n":     SequenceKind,
		"title: t\nload:\n  rig: no\n":            "",

		"\ufeffscenario: s\nrig: r\n":                                ScenarioKind,
		"\"scenario\": s\nrig: r\n":                                  ScenarioKind,
		"scenario : s\nrig: r\n":                                     ScenarioKind,
		"  scenario: s\n  rig: r\n":                                  ScenarioKind,
		"{scenario: s, rig: r, sequence: q}\n":                       ScenarioKind,
		"{\"rig\": r, \"load\": {mass_kg: 1}}\n":                     RigKind,
		"scenaro: s\nrig: r\nsequence: q\nexpect: {class: missed}\n": ScenarioKind,
		"Scenario: s\nrig: r\n":                                      ScenarioKind,
		"rig: r\nsequence: q\nexpect: {class: missed}\n":             ScenarioKind,
		"rig: r\nseed: 1\nload: {mass_kg: 1}\nmotor: {}\n":           RigKind,
		"\xff\xfes\x00c\x00e\x00n\x00":                               ScenarioKind, // UTF-16
		"scenario: [\n":                                              ScenarioKind,
		"# scenario: s\n":                                            ScenarioKind, // empty
		"on: push\njobs: &a {b: c}\n":                                "",
		"kind: a\n---\nkind: b\n":                                    "",
	} {
		kind, ok := kindOf([]byte(text))
		assert.Equal(t, want, kind, text)
		assert.Equal(t, want != "", ok, text)
	}
}

// A document of another kind is refused once, with where it goes, and not key by key.
func TestDocumentOfAnotherKind(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	write := func(kind Kind, name string) string {
		_, text, err := Text(kind, name)
		require.NoError(t, err)
		file := filepath.Join(folder, string(kind)+".yaml")
		require.NoError(t, os.WriteFile(file, text, 0o600))
		return file
	}
	rig, sequence, scenario := write(RigKind, "pane-hoist"), write(SequenceKind, "reference"), write(ScenarioKind, "healthy-down")
	loadScenario := func(reference string) error { _, _, err := LoadCase(reference, Overrides{}); return err }
	loadRig := func(reference string) error { _, _, err := LoadRig(reference); return err }
	loadSequence := func(reference string) error { _, _, err := LoadSequence(reference); return err }
	for _, c := range []struct {
		load      func(string) error
		reference string
		says      string
	}{
		{loadScenario, sequence, "this is a sequence: use --sequence; must be a scenario here"},
		{loadScenario, rig, "this is a rig: use --rig; must be a scenario here"},
		{loadRig, sequence, "this is a sequence: use --sequence; must be a rig here"},
		{loadSequence, scenario, "this is a scenario; must be a sequence"},
		{loadScenario, "reference", "reference: this is a sequence: use --sequence; must be a scenario here"},
		{loadSequence, "pane-hoist", "pane-hoist: this is a rig: use --rig; must be a sequence here"},
		{loadRig, "healthy-down", "healthy-down: this is a scenario; must be a rig"},
	} {
		err := c.load(c.reference)
		require.ErrorContains(t, err, c.says)
		var found problem.List
		if errors.As(err, &found) {
			require.Len(t, found, 1, "once")
			assert.NotZero(t, found[0].Line)
		}
	}

	_, _, err := ParseCase(filepath.Join(folder, "s.yaml"), []byte("scenario: s\ntitle: t\nrig: sequence.yaml\nsequence: reference\nexpect: {obligations: all}\n"), Overrides{})
	var found problem.List
	require.ErrorAs(t, err, &found)
	require.Len(t, found, 1)
	assert.Equal(t, 3, found[0].Line, "where the scenario names it")
	assert.Equal(t, "sequence.yaml is a sequence; must be a rig", found[0].Message)
}

// Whatever a document in a folder is, it is in one of the lists, and one that cannot be read is not left out.
func TestContentsOfAFolder(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	write := func(name, text string) {
		file := filepath.Join(folder, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o700))
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
	}
	write("a.yaml", "scenario: s\n")
	write("below/B.YAML", "{scenario: s}\n")
	write("below/utf16.yml", "\xff\xfes\x00")
	write("rig.yaml", "rig: r\nload: {}\n")
	write("ci.yml", "on: push\n")
	write("notes.txt", "scenario: s\n")
	outside := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(outside, "c.yaml"), []byte("scenario: s\n"), 0o600))
	require.NoError(t, os.Symlink(outside, filepath.Join(folder, "linked")))
	require.NoError(t, os.Symlink(folder, filepath.Join(folder, "below", "circle")))
	require.NoError(t, os.Symlink("nowhere", filepath.Join(folder, "dangling.yaml")))

	list, folders, err := Expand(t.Context(), []string{folder}, Below)
	require.NoError(t, err)
	assert.NotContains(t, list, filepath.Join(folder, "linked/c.yaml"))
	require.Len(t, folders, 1)
	assert.Equal(t, []string{filepath.Join(folder, "linked")}, folders[0].Outside, "the link that leads out of the folder")

	list, folders, err = Expand(t.Context(), []string{folder}, Anywhere)
	require.NoError(t, err)
	in := func(name string) string { return filepath.Join(folder, name) }
	assert.Equal(t, []string{in("a.yaml"), in("below/B.YAML"), in("below/utf16.yml"), in("dangling.yaml"), in("linked/c.yaml")}, list)
	require.Len(t, folders, 1)
	assert.Equal(t, "folder "+folder+": 7 .yaml seen, 5 taken as scenarios, 2 left out: 1 rig (rig.yaml), 1 not of holdbench (ci.yml)", folders[0].String())
}
