package terminal

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/screens"
)

// filesIn names what is in a folder.
func filesIn(t *testing.T, folder string) []string {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

// w saves what is seen as picture and as text, each time under a name of its own.
func TestSave(t *testing.T) {
	t.Parallel()
	s := opened(t, "lining-worn-thin", 80, 24)
	s.press("]")
	shown := s.text()
	s.press("w")
	assert.Contains(t, s.text(), "saved as ")
	assert.Equal(t, []string{"lining-worn-thin-1.000s.svg", "lining-worn-thin-1.000s.txt"}, filesIn(t, s.folder))
	text, err := os.ReadFile(filepath.Join(s.folder, "lining-worn-thin-1.000s.txt"))
	require.NoError(t, err)
	assert.Equal(t, shown+"\n", string(text))
	picture, err := os.ReadFile(filepath.Join(s.folder, "lining-worn-thin-1.000s.svg"))
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(picture), "<"))
	assert.Contains(t, string(picture), "</svg>")

	s.press("w", "w")
	assert.Len(t, filesIn(t, s.folder), 6, "nothing is written over")
	again, err := os.ReadFile(filepath.Join(s.folder, "lining-worn-thin-1.000s.txt"))
	require.NoError(t, err)
	assert.Equal(t, text, again)
}

// A riddle's pictures do not tell what it is.
func TestSaveMasked(t *testing.T) {
	t.Parallel()
	s := opened(t, "lining-worn-thin", 80, 24)
	s.send(screens.MaskRiddle{RiddleMask: &screens.RiddleMask{Title: "riddle 1"}})
	s.press("w")
	assert.Equal(t, []string{"riddle-0.000s.svg", "riddle-0.000s.txt"}, filesIn(t, s.folder))
}

// Where one of the two files is there already, both get another name.
func TestSaveBesideOneFile(t *testing.T) {
	t.Parallel()
	for _, ending := range []string{".svg", ".txt"} {
		folder := t.TempDir()
		name := filepath.Join(folder, "a")
		require.NoError(t, os.WriteFile(name+ending, []byte("mine"), 0o644))
		base, err := saveScreen(page.New(10, 2, false), name)
		require.NoError(t, err)
		assert.Equal(t, name+"-2", base)
		assert.Len(t, filesIn(t, folder), 3, "one file is no half of a pair")
		mine, err := os.ReadFile(name + ending)
		require.NoError(t, err)
		assert.Equal(t, "mine", string(mine))
	}
}

// What cannot be written is said, and nothing is left of it.
func TestSaveFails(t *testing.T) {
	t.Parallel()
	t.Run("NoFolder", func(t *testing.T) {
		s := opened(t, "lining-worn-thin", 120, 40)
		s.folder = filepath.Join(s.folder, "none")
		s.press("w")
		assert.Contains(t, s.text(), "✗ the screen is not saved")
	})
	t.Run("NoFolderButAFile", func(t *testing.T) {
		s := opened(t, "lining-worn-thin", 120, 40)
		file := filepath.Join(s.folder, "file")
		require.NoError(t, os.WriteFile(file, nil, 0o644))
		s.folder = file
		s.press("w")
		assert.Contains(t, s.text(), "✗ the screen is not saved")
	})
	t.Run("ReadOnly", func(t *testing.T) {
		if os.Geteuid() == 0 {
			t.Skip("root may write everywhere")
		}
		s := opened(t, "lining-worn-thin", 120, 40)
		require.NoError(t, os.Chmod(s.folder, 0o500)) //nolint:gosec // a folder
		s.press("w")
		assert.Contains(t, s.text(), "✗ the screen is not saved")
		assert.Empty(t, filesIn(t, s.folder))
	})
	t.Run("NoTextBesideThePicture", func(t *testing.T) {
		folder := t.TempDir()
		name := filepath.Join(folder, "a")
		require.NoError(t, os.Symlink(filepath.Join(folder, "none", "b"), name+".txt"))
		base, err := saveScreen(page.New(10, 2, false), name)
		require.NoError(t, err, "a link that leads nowhere is there too")
		assert.Equal(t, name+"-2", base)
		assert.Equal(t, []string{"a-2.svg", "a-2.txt", "a.txt"}, filesIn(t, folder))
	})
	t.Run("TooMany", func(t *testing.T) {
		folder := t.TempDir()
		name := filepath.Join(folder, "a")
		require.NoError(t, os.WriteFile(name+".svg", nil, 0o644))
		for n := 2; n < 1000; n++ {
			require.NoError(t, os.WriteFile(fmt.Sprintf("%s-%d.svg", name, n), nil, 0o644))
		}
		_, err := saveScreen(page.New(0, 0, false), name)
		assert.ErrorContains(t, err, "already")
	})
}

// The screen can be saved before anything was drawn.
func TestSaveAtOnce(t *testing.T) {
	t.Parallel()
	s := newSeat(t, "healthy-down")
	s.pending = nil
	s.send(screens.SaveScreen{})
	assert.Equal(t, []string{"holdbench.svg", "holdbench.txt"}, filesIn(t, s.folder))
	assert.NotEmpty(t, s.sent)
	assert.IsType(t, screens.Notice{}, s.sent[0])
}
