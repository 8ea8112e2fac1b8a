package scenarios_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
	"holdbench/scenarios"
)

// secret stands in files that no message may show.
const secret = "hunter2"

// foreignFolder is a suite of scenarios beside files that are none of it. Its documents lead to these.
func foreignFolder(t *testing.T) (suite string) {
	t.Helper()
	root := t.TempDir()
	suite = filepath.Join(root, "suite")
	write := func(name, text string) {
		file := filepath.Join(root, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o700))
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
	}
	_, rig, err := scenarios.Text(scenarios.RigKind, "pane-hoist")
	require.NoError(t, err)
	_, sequence, err := scenarios.Text(scenarios.SequenceKind, "reference")
	require.NoError(t, err)
	write("rig.yaml", string(rig))
	write("sequence.yaml", string(sequence))
	write("passwords.yaml", "password: "+secret+"\n")
	write("passwords.st", secret+" := 1; END_IF\n")
	write("suite/passwords.yaml", "password: "+secret+"\n")
	write("suite/passwords", secret+":x:0:0\n")
	write("suite/passwords.st", "function "+secret+"() { return 1 }\n")
	write("suite/bound.yaml", "binding: bound\nprogram: passwords.st\n")
	write("suite/bound-outside.yaml", "binding: bound\nprogram: ../passwords.st\n")
	write("suite/rig.yaml", string(rig))
	write("suite/below/rig.yaml", string(rig))
	require.NoError(t, os.Symlink("../rig.yaml", filepath.Join(suite, "linked.yaml")))
	require.NoError(t, os.Symlink("..", filepath.Join(suite, "up")))
	require.NoError(t, os.Symlink("../nothing.yaml", filepath.Join(suite, "dangling.yaml")))
	require.NoError(t, os.Symlink("below", filepath.Join(suite, "down")))
	return suite
}

// loadIn loads a scenario of a folder with a rig and a sequence.
func loadIn(t *testing.T, folder, rig, sequence string, reach scenarios.Reach) error {
	t.Helper()
	file := filepath.Join(folder, "scenario.yaml")
	require.NoError(t, os.WriteFile(file, []byte("scenario: s\ntitle: S\nrig: "+rig+"\nsequence: "+sequence+"\n"), 0o600))
	_, _, err := scenarios.LoadCase(file, scenarios.Overrides{Reach: reach})
	return err
}

// A document may be written by others than who checks it. A message about what it names, and what is none of
// our documents, shows no line of that.
func TestForeignFilesAreNotShown(t *testing.T) {
	t.Parallel()
	suite := foreignFolder(t)
	for name, c := range map[string]struct {
		rig, sequence string
		line          int
		want          string
	}{
		"RigThatIsYAML":     {"passwords.yaml", "reference", 3, "passwords.yaml is not a document of holdbench; must be a rig, with the key rig"},
		"RigThatIsText":     {"passwords", "reference", 3, "passwords is not a document of holdbench; must be a rig, with the key rig"},
		"Sequence":          {"rig.yaml", "passwords.yaml", 4, "passwords.yaml is not a document of holdbench; must be a sequence, with the key sequence"},
		"SequenceIsARig":    {"rig.yaml", "rig.yaml", 4, "rig.yaml is a rig; must be a sequence"},
		"SequenceIsProgram": {"rig.yaml", "passwords.st", 4, "passwords.yaml is no binding of the program passwords.st; its first key must be binding"},
	} {
		t.Run(name, func(t *testing.T) {
			folder := foreignFolder(t)
			for _, reach := range []scenarios.Reach{scenarios.Below, scenarios.Anywhere} {
				found := problem.Of(loadIn(t, folder, c.rig, c.sequence, reach))
				require.Len(t, found, 1)
				assert.Equal(t, c.want, found[0].Message)
				assert.Equal(t, c.line, found[0].Line)
				assert.NotContains(t, found.Error(), secret)
			}
		})
	}
	t.Run("Program", func(t *testing.T) {
		for _, reach := range []scenarios.Reach{scenarios.Below, scenarios.Anywhere} {
			_, found, err := scenarios.Vet(filepath.Join(suite, "bound.yaml"), reach)
			require.NoError(t, err)
			require.Len(t, found, 1)
			assert.Equal(t, "passwords.st is not a program in Structured Text; must begin with PROGRAM, FUNCTION_BLOCK, FUNCTION or TYPE, and have its END_", found[0].Message)
			assert.NotContains(t, found.Error(), secret)
		}
	})
}

// References stay below the folder of the document and the current folder, unless it is allowed otherwise.
// Nothing is said of what is elsewhere, not even whether it is there.
func TestReferencesStayInside(t *testing.T) {
	t.Parallel()
	const outside = "it is outside the folder of the document and the current folder; must be below one of them, or --allow-outside be given"
	for name, c := range map[string]struct {
		rig, sequence    string
		inside, anywhere bool // whether it is read
	}{
		"BuiltIn":            {"pane-hoist", "reference", true, true},
		"Beside":             {"rig.yaml", "reference", true, true},
		"Below":              {"below/rig.yaml", "reference", true, true},
		"UpAndDown":          {"below/../rig.yaml", "reference", true, true},
		"LinkBelow":          {"down/rig.yaml", "reference", true, true},
		"InTheCurrentFolder": {"CURRENT/rigs/pane-hoist.yaml", "reference", true, true},
		"Up":                 {"../rig.yaml", "reference", false, true},
		"UpFromBelow":        {"below/../../rig.yaml", "reference", false, true},
		"WholePath":          {"SUITE/../rig.yaml", "reference", false, true},
		"WholePathInside":    {"SUITE/rig.yaml", "reference", true, true},
		"LinkOutside":        {"linked.yaml", "reference", false, true},
		"DanglingLink":       {"dangling.yaml", "reference", false, false},
		"FolderLinkOutside":  {"up/rig.yaml", "reference", false, true},
		"UpThroughALink":     {"SUITE/down/../../rig.yaml", "reference", false, true},
		"SequenceOutside":    {"rig.yaml", "../sequence.yaml", false, true},
		"NotThere":           {"../nothing.yaml", "reference", false, false},
		"ProgramNotThere":    {"rig.yaml", "../nothing.st", false, false},
		"System":             {"/etc/hostname", "reference", false, false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			suite := foreignFolder(t)
			current, err := os.Getwd()
			require.NoError(t, err)
			rig := strings.NewReplacer("SUITE", suite, "CURRENT", current).Replace(c.rig)
			err = loadIn(t, suite, rig, c.sequence, scenarios.Below)
			if c.inside {
				require.NoError(t, err)
			} else {
				require.ErrorContains(t, err, outside)
				assert.NotContains(t, err.Error(), "no such file")
				assert.NotContains(t, err.Error(), "nearest")
			}
			if err := loadIn(t, suite, rig, c.sequence, scenarios.Anywhere); c.anywhere {
				assert.NoError(t, err)
			} else {
				assert.Error(t, err)
				assert.NotContains(t, err.Error(), outside)
			}
		})
	}
	t.Run("Program", func(t *testing.T) {
		t.Parallel()
		_, found, err := scenarios.Vet(filepath.Join(foreignFolder(t), "bound-outside.yaml"), scenarios.Below)
		require.NoError(t, err)
		require.Len(t, found, 1)
		assert.Equal(t, "cannot read the program: "+outside, found[0].Message)
	})
}
