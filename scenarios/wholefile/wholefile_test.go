package wholefile

import (
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// written creates a file and writes a text to it.
func written(t *testing.T, path string, overwrite bool, text string) *File {
	t.Helper()
	f, err := Create(path, overwrite)
	require.NoError(t, err)
	_, err = f.Write([]byte(text))
	require.NoError(t, err)
	return f
}

func holds(t *testing.T, path, want string) {
	t.Helper()
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, want, string(got))
}

// names are the files of a folder.
func names(t *testing.T, folder string) []string {
	t.Helper()
	list, err := os.ReadDir(folder)
	require.NoError(t, err)
	var names []string
	for _, e := range list {
		names = append(names, e.Name())
	}
	return names
}

func TestCreate(t *testing.T) {
	t.Run("New", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "a")
		f := written(t, path, false, "new")
		assert.NoFileExists(t, path, "not before it is complete")
		require.NoError(t, f.Commit())
		holds(t, path, "new")
		assert.Equal(t, []string{"a"}, names(t, filepath.Dir(path)))
	})
	t.Run("Abandoned", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "a")
		require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
		written(t, path, true, "new").Abandon()
		holds(t, path, "old")
		assert.Equal(t, []string{"a"}, names(t, filepath.Dir(path)))
	})
	t.Run("KeepsPermissions", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "a")
		require.NoError(t, os.WriteFile(path, []byte("old"), 0o640))
		require.NoError(t, os.Chmod(path, 0o640))
		require.NoError(t, written(t, path, true, "new").Commit())
		info, err := os.Stat(path)
		require.NoError(t, err)
		assert.Equal(t, fs.FileMode(0o640), info.Mode().Perm())
		holds(t, path, "new")
	})
	t.Run("BehindALink", func(t *testing.T) {
		folder := t.TempDir()
		path, link := filepath.Join(folder, "a"), filepath.Join(folder, "link")
		require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
		if err := os.Symlink(path, link); err != nil {
			t.Skip("no links here")
		}
		require.NoError(t, written(t, link, true, "new").Commit())
		holds(t, path, "new")
		info, err := os.Lstat(link)
		require.NoError(t, err)
		assert.NotZero(t, info.Mode()&fs.ModeSymlink, "the link is still one")
	})
	t.Run("BesideAnUnfinishedOne", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "a")
		one, other := written(t, path, true, "one"), written(t, path, true, "other")
		require.NoError(t, other.Commit())
		require.NoError(t, one.Commit())
		holds(t, path, "one")
	})
}

func TestCreateRefuses(t *testing.T) {
	folder := t.TempDir()
	there, protected := filepath.Join(folder, "there"), filepath.Join(folder, "protected")
	require.NoError(t, os.WriteFile(there, nil, 0o600))
	require.NoError(t, os.WriteFile(protected, nil, 0o400))
	for name, c := range map[string]struct {
		path      string
		overwrite bool
		is        error
	}{
		"There":     {there, false, fs.ErrExist},
		"Folder":    {folder, true, nil},
		"NoFolder":  {filepath.Join(folder, "nowhere", "a"), true, fs.ErrNotExist},
		"Protected": {protected, true, fs.ErrPermission},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Create(c.path, c.overwrite)
			require.Error(t, err)
			if c.is != nil {
				require.ErrorIs(t, err, c.is)
			}
			assert.NotContains(t, Reason(err).Error(), folder)
			assert.Equal(t, []string{"protected", "there"}, names(t, folder))
		})
	}
}

// A file that another process created in the meantime is kept.
func TestNameTakenMeanwhile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a")
	f := written(t, path, false, "ours")
	require.NoError(t, os.WriteFile(path, []byte("theirs"), 0o600))
	require.ErrorIs(t, f.Commit(), fs.ErrExist)
	holds(t, path, "theirs")
	assert.Equal(t, []string{"a"}, names(t, filepath.Dir(path)))
}

// Files left by runs that were ended while writing do no harm.
func TestUnfinishedFilesLieAbout(t *testing.T) {
	folder := t.TempDir()
	path, left := filepath.Join(folder, "a"), filepath.Join(folder, ".a.0.part")
	require.NoError(t, os.WriteFile(left, []byte("half"), 0o600))
	require.NoError(t, written(t, path, false, "whole").Commit())
	holds(t, path, "whole")
	holds(t, left, "half")
}

// A link that somebody has put where the file is to be written is not followed, and nobody knows the name ahead.
func TestPlantedLink(t *testing.T) {
	folder := t.TempDir()
	path, theirs := filepath.Join(folder, "a"), filepath.Join(folder, "theirs")
	require.NoError(t, os.WriteFile(theirs, []byte("theirs"), 0o600))
	require.NoError(t, os.Symlink(theirs, filepath.Join(folder, ".a.X.part")))
	_, err := besideNamed(path, "X", 0, false)
	require.ErrorIs(t, err, fs.ErrExist)
	holds(t, theirs, "theirs")

	one, other := written(t, path, true, "one"), written(t, path, true, "other")
	assert.Regexp(t, `/\.a\.[A-Z2-7]{12}\.part$`, one.file.Name())
	assert.NotEqual(t, one.file.Name(), other.file.Name())
	one.Abandon()
	other.Abandon()
}

// What has no end, or waits for somebody who writes, is no file to be read as a whole.
func TestOpen(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a")
	require.NoError(t, os.WriteFile(path, []byte("text"), 0o600))
	f, err := Open(path)
	require.NoError(t, err)
	require.NoError(t, f.Close())
	_, err = Open(filepath.Join(folder, "nowhere"))
	require.ErrorIs(t, err, fs.ErrNotExist)
	_, err = Open(os.DevNull)
	require.ErrorContains(t, err, "it is a pipe or a device; must be a file")
	if exec.Command("mkfifo", filepath.Join(folder, "pipe")).Run() == nil {
		_, err = Open(filepath.Join(folder, "pipe"))
		require.ErrorContains(t, err, "it is a pipe or a device; must be a file")
	}
}

func TestReason(t *testing.T) {
	plain := errors.New("plain")
	assert.Equal(t, plain, Reason(plain))
	assert.Equal(t, plain, Reason(&fs.PathError{Op: "open", Path: ".a.0.part", Err: plain}))
	assert.Equal(t, plain, Reason(&os.LinkError{Op: "rename", Old: ".a.0.part", New: "a", Err: plain}))
}
