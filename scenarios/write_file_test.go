package scenarios

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim"
)

func TestSaveNewFile(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	file := filepath.Join(folder, "new.yaml")
	require.NoError(t, Save(file, []byte("scenario: a\n"), false))
	requireOnly(t, folder, "new.yaml", "scenario: a\n")
	require.Equal(t, permissionsOfNew(t), permissions(t, file), "as any new file")
}

// An existing file is kept, unless it is to be overwritten.
func TestSaveExisting(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	file := filepath.Join(folder, "mine.yaml")
	require.NoError(t, os.WriteFile(file, []byte("mine"), 0o600))
	err := Save(file, []byte("yours"), false)
	require.ErrorIs(t, err, fs.ErrExist)
	require.ErrorContains(t, err, file+" exists already")
	requireOnly(t, folder, "mine.yaml", "mine")
	require.NoError(t, Save(file, []byte("yours"), true))
	requireOnly(t, folder, "mine.yaml", "yours")
	require.Equal(t, fs.FileMode(0o600), permissions(t, file), "who may read it stays")
}

func TestSaveThroughALink(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	file, link := filepath.Join(folder, "real.yaml"), filepath.Join(t.TempDir(), "link.yaml")
	require.NoError(t, os.WriteFile(file, []byte("old"), 0o600))
	require.NoError(t, os.Symlink(file, link))
	require.NoError(t, Save(link, []byte("new"), true))
	requireOnly(t, folder, "real.yaml", "new")
	info, err := os.Lstat(link)
	require.NoError(t, err)
	require.NotZero(t, info.Mode()&fs.ModeSymlink, "the link stays a link")
}

func TestSaveRefuses(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	in := func(name string) string { return filepath.Join(folder, name) }
	require.NoError(t, os.WriteFile(in("protected.yaml"), []byte("x"), 0o400))
	require.NoError(t, os.WriteFile(in("file"), []byte("x"), 0o600))
	require.NoError(t, os.Mkdir(in("folder.yaml"), 0o700))
	for _, c := range []struct {
		name, file, says string
		is               error
	}{
		{"NoName", "", "must name a file", nil},
		{"Slash", in("x") + "/", "must name a file", nil},
		{"FolderMissing", in("no/x.yaml"), "there is no folder " + in("no"), fs.ErrNotExist},
		{"Folder", in("folder.yaml"), "it is a folder", nil},
		{"BelowAFile", in("file/x.yaml"), "not a directory", nil},
		{"Device", os.DevNull, "it is a device", nil},
		{"Protected", in("protected.yaml"), "protected against writing", fs.ErrPermission},
		{"NameTooLong", in(strings.Repeat("x", 300)), "too long", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := Save(c.file, []byte("text"), true)
			require.ErrorContains(t, err, c.says)
			require.ErrorContains(t, err, c.file)
			require.NotContains(t, err.Error(), ".part")
			if c.is != nil {
				require.ErrorIs(t, err, c.is)
			}
		})
	}
	names, err := filepath.Glob(in(".*"))
	require.NoError(t, err)
	require.Empty(t, names, "nothing is left behind")
}

func TestSaveWithoutPermission(t *testing.T) {
	t.Parallel()
	if os.Geteuid() == 0 {
		t.Skip("everything is permitted to root")
	}
	folder := t.TempDir()
	require.NoError(t, os.Chmod(folder, 0o500))
	t.Cleanup(func() { _ = os.Chmod(folder, 0o700) })
	file := filepath.Join(folder, "x.yaml")
	err := Save(file, []byte("text"), false)
	require.ErrorIs(t, err, fs.ErrPermission)
	require.EqualError(t, err, "cannot save "+file+": permission denied")
}

func requireOnly(t *testing.T, folder, name, text string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	require.Len(t, entries, 1)
	require.Equal(t, name, entries[0].Name())
	got, err := os.ReadFile(filepath.Join(folder, name))
	require.NoError(t, err)
	require.Equal(t, text, string(got))
}

func permissions(t *testing.T, file string) fs.FileMode {
	t.Helper()
	info, err := os.Stat(file)
	require.NoError(t, err)
	return info.Mode().Perm()
}

// permissionsOfNew are 0644 less the mask that the test runs with.
func permissionsOfNew(t *testing.T) fs.FileMode {
	t.Helper()
	file := filepath.Join(t.TempDir(), "x")
	require.NoError(t, os.WriteFile(file, nil, 0o644))
	return permissions(t, file)
}

func TestRebase(t *testing.T) {
	t.Parallel()
	here, err := os.Getwd()
	require.NoError(t, err)
	for _, c := range []struct{ name, rig, from, to, want string }{
		{"BuiltIn", "pane-hoist", "/a", "/b", "pane-hoist"},
		{"Whole", "/c/r.yaml", "/a", "/b", "/c/r.yaml"},
		{"None", "", "/a", "/b", ""},
		{"SameFolder", "../rigs/r.yaml", "/a/b", "/a/b", "../rigs/r.yaml"},
		{"SameFolderWrittenOtherwise", "../rigs/r.yaml", "/a/b", "/a/c/../b/", "../rigs/r.yaml"},
		{"Elsewhere", "r.yaml", "/a", "/b", "../a/r.yaml"},
		{"Above", "r.yaml", "/a", "/a/b", "../r.yaml"},
		{"Below", "r.yaml", "/a/b", "/a", "b/r.yaml"},
		{"BelowByWayOfAbove", "../rigs/r.yaml", "/a/b", "/a", "rigs/r.yaml"},
		{"IntoItsFolder", "rigs/r.yaml", "/a", "/a/rigs", "r.yaml"},
		{"NameBeginsAlike", "r.yaml", "/ab", "/a", "../ab/r.yaml"},
		{"DotsInAName", "..r.yaml", "/a", "/a/", "..r.yaml"},
		{"NoEnding", "r", "/a", "/b", "../a/r"},
		{"LikeABuiltIn", "../pane-hoist", "/a/b", "/a", "./pane-hoist"},
		{"LikeABuiltInOfAnotherKind", "reference", "/a/b", "/a", "b/reference"},
		{"WorkingFolder", "r.yaml", "", "/b", ".." + filepath.Join(here, "r.yaml")},
		{"ToWorkingFolder", "r.yaml", "rigs", "", "rigs/r.yaml"},
		{"RelativeFolders", "../r.yaml", "x/y", "x", "r.yaml"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := sim.Scenario{Rig: sim.Reference{Name: c.rig}}
			Rebase(&s, c.from, c.to)
			assert.Equal(t, c.want, s.Rig.Name)
			assert.Empty(t, s.Sequence)
		})
	}
}

// The documents that a scenario names are found from its new folder.
func TestRebaseFindsTheSame(t *testing.T) {
	t.Parallel()
	root := t.TempDir()
	rig := writeRig(t, filepath.Join(root, "machines", "rig.yaml"))
	for _, to := range []string{root, filepath.Join(root, "kept"), filepath.Join(root, "machines"), t.TempDir()} {
		s := readScenario(t, []byte("scenario: a\ntitle: b\nrig: ../machines/rig.yaml\nsequence: reference\nexpect: {obligations: all}\n"))
		Rebase(&s, filepath.Join(root, "scenarios"), to)
		text, err := Format(&s, "")
		require.NoError(t, err)
		require.NoError(t, os.MkdirAll(to, 0o700))
		file := filepath.Join(to, "a.yaml")
		require.NoError(t, Save(file, text, false))
		c, _, err := LoadCase(file, Overrides{Reach: Anywhere})
		require.NoError(t, err)
		require.Equal(t, rig, c.Rig.Rig)
	}
}

// writeRig writes a rig with a name that no built-in one has, and returns the name.
func writeRig(t *testing.T, file string) string {
	t.Helper()
	_, text, err := Text(RigKind, "pane-hoist")
	require.NoError(t, err)
	require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o700))
	own := strings.Replace(string(text), "rig: pane-hoist", "rig: our-hoist", 1)
	require.NoError(t, os.WriteFile(file, []byte(own), 0o600))
	return "our-hoist"
}
