package scenarios

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A file that is not there is one that cannot be read, whatever its kind, with the nearest name of those
// beside it that end alike. A program that is there and has no binding is told so.
func TestUnreadable(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	for _, name := range []string{"hoist.st", "hoist-two.st", "hoist.yaml", "notes.txt"} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte("x: 1\n"), 0o600))
	}
	require.NoError(t, os.Mkdir(filepath.Join(folder, "hoits.st"), 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "lone.st"), nil, 0o600))
	require.NoError(t, os.Symlink("nowhere", filepath.Join(folder, "dangling.yaml")))
	require.NoError(t, os.Symlink("nowhere", filepath.Join(folder, "dangling")))
	in := func(name string) string { return filepath.Join(folder, name) }
	const notThere = ": no such file or directory"
	for name, c := range map[string]struct {
		find func() error
		want string
	}{
		"Program":        {sequenceNamed(in("hoits2.st")), "cannot read sequence: open " + in("hoits2.st") + notThere + `; the nearest file there is "hoist.st"`},
		"Document":       {sequenceNamed(in("hoits.yml")), "cannot read sequence: open " + in("hoits.yml") + notThere + `; the nearest file there is "hoist.yaml"`},
		"NothingSimilar": {sequenceNamed(in("q.st")), "cannot read sequence: open " + in("q.st") + notThere},
		"NoFolder":       {sequenceNamed(in("no/hoist.st")), "cannot read sequence: open " + in("no/hoist.st") + notThere},
		"BuiltinProgram": {sequenceNamed("reference-case.st"), "cannot read sequence: open reference-case.st" + notThere + "; the built-in program is the sequence reference-case"},
		"NoBinding":      {sequenceNamed(in("lone.st")), in("lone.st") + " is a program and has no binding " + in("lone.yaml") + " beside it; holdbench new binding " + in("lone.st") + " writes a first one"},
		"Scenario": {func() error { _, _, err := LoadCase(in("hoisst.yaml"), Overrides{}); return err },
			"cannot read scenario: open " + in("hoisst.yaml") + notThere + `; the nearest file there is "hoist.yaml"`},
		"Draft": {func() error { _, _, err := DraftBinding(in("lane.st"), ""); return err },
			"cannot read program: open " + in("lane.st") + notThere + `; the nearest file there is "lone.st"`},
		"DanglingLink":      {sequenceNamed(in("dangling.yaml")), "cannot read sequence: open " + in("dangling.yaml") + ": it is a link to nowhere, which is not there"},
		"VetOfDanglingLink": {func() error { _, err := kindOfReference(in("dangling")); return err }, "cannot read document: open " + in("dangling") + ": it is a link to nowhere, which is not there"},
		"Folder":            {sequenceNamed("testdata"), "cannot read sequence: read testdata: is a directory"},
		"Vet": {func() error { _, err := kindOfReference(in("lane.st")); return err },
			"cannot read document: open " + in("lane.st") + notThere + `; the nearest file there is "lone.st"`},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			assert.EqualError(t, c.find(), c.want)
		})
	}
}

func sequenceNamed(reference string) func() error {
	return func() error { _, _, err := LoadLogic(reference, Below); return err }
}
