package files

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func read(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(text)
}

func TestTarget(t *testing.T) {
	t.Run("File", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "a.csv")
		to, err := Create(path, nil)
		require.NoError(t, err)
		_, err = to.WriteString("a\n")
		require.NoError(t, err)
		assert.NoFileExists(t, path)
		require.NoError(t, to.Close())
		assert.Equal(t, "a\n", read(t, path))
	})
	t.Run("Abandoned", func(t *testing.T) {
		folder := t.TempDir()
		to, err := Create(filepath.Join(folder, "a.csv"), nil)
		require.NoError(t, err)
		to.Abandon()
		left, err := os.ReadDir(folder)
		require.NoError(t, err)
		assert.Empty(t, left)
	})
	t.Run("StandardOutput", func(t *testing.T) {
		var stdout bytes.Buffer
		to, err := Create("-", &stdout)
		require.NoError(t, err)
		_, err = to.WriteString("a\n")
		require.NoError(t, err)
		require.NoError(t, to.Close())
		assert.Equal(t, "a\n", stdout.String())
	})
	t.Run("Device", func(t *testing.T) {
		to, err := Create(os.DevNull, nil)
		require.NoError(t, err)
		_, err = to.WriteString("a\n")
		require.NoError(t, err)
		require.NoError(t, to.Close())
		assert.True(t, IsDevice(os.DevNull), "it is still one")
	})
	t.Run("Folder", func(t *testing.T) {
		folder := t.TempDir()
		_, err := Create(folder, nil)
		require.EqualError(t, err, "cannot write "+folder+": it is a folder; must be a file")
	})
}

// One file that cannot be written does not keep the others from their places, and one that cannot
// be opened leaves none.
func TestOutputs(t *testing.T) {
	write := func(w io.Writer, text string) error {
		_, err := io.WriteString(w, text)
		return err
	}
	broken := func(io.Writer, string) error { return errors.New("broken") }
	folder := t.TempDir()
	in := func(name string) string { return filepath.Join(folder, name) }
	opened, err := OpenOutputs(nil, Output[string]{in("a"), write}, Output[string]{"", write}, Output[string]{in("b"), broken}, Output[string]{in("c"), write})
	require.NoError(t, err)
	require.Len(t, opened, 3, "one without a path is not wanted")
	require.EqualError(t, opened.Write("text"), "cannot write "+in("b")+": broken")
	assert.Equal(t, "text", read(t, in("a")))
	assert.Equal(t, "text", read(t, in("c")))
	assert.NoFileExists(t, in("b"))
	_, err = OpenOutputs(nil, Output[string]{in("d"), write}, Output[string]{in("nowhere/e"), write})
	require.ErrorContains(t, err, "cannot write "+in("nowhere/e"))
	left, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, left, 2)
}

// journalOf opens a journal whose lines are kept as far as they are whole, and whose first line is
// its head.
func journalOf(t *testing.T, path, head string, anew bool) (*Journal, string, error) {
	t.Helper()
	var had string
	j, err := OpenJournal(path, "list", fmt.Appendf(nil, "%q\n", head), anew, func(r io.Reader) (Kept, error) {
		text, err := io.ReadAll(r)
		require.NoError(t, err)
		whole := text[:bytes.LastIndexByte(text, '\n')+1]
		first, rest, _ := strings.Cut(string(whole), "\n")
		had = rest
		if first != fmt.Sprintf("%q", head) {
			return Kept{Unlike: first + " there"}, nil
		}
		return Kept{Bytes: int64(len(whole))}, nil
	})
	return j, had, err
}

func TestJournal(t *testing.T) {
	path := filepath.Join(t.TempDir(), "kept.jsonl")
	j, _, err := journalOf(t, path, "one", false)
	require.NoError(t, err)
	assert.False(t, j.Resumed, "a new file has no head")
	require.NoError(t, j.Write([]byte("\"one\"\n1\n2\n3 and then it bro")))
	require.NoError(t, j.Close())

	j, had, err := journalOf(t, path, "one", false)
	require.NoError(t, err)
	assert.True(t, j.Resumed)
	assert.Equal(t, "1\n2\n", had)
	require.NoError(t, j.Write([]byte("3\n")))
	require.NoError(t, j.Close())
	assert.Equal(t, "\"one\"\n1\n2\n3\n", read(t, path), "what broke off is cut")

	_, _, err = journalOf(t, path, "other", false)
	require.ErrorContains(t, err, `holds another list: "one" there; must be another FILE, or --anew`)
	assert.Equal(t, "\"one\"\n1\n2\n3\n", read(t, path))

	j, _, err = journalOf(t, path, "other", true)
	require.NoError(t, err)
	assert.False(t, j.Resumed)
	assert.Equal(t, "\"one\"\n1\n2\n3\n", read(t, path), "nothing is cut before there is something to write")
	require.NoError(t, j.Write([]byte("\"other\"\n")))
	require.NoError(t, j.Close())
	assert.Equal(t, "\"other\"\n", read(t, path))

	require.NoError(t, os.WriteFile(path, []byte(`"oth`), 0o600)) // a head that broke off
	j, _, err = journalOf(t, path, "other", false)
	require.NoError(t, err)
	assert.False(t, j.Resumed)
	require.NoError(t, j.Close())
}

// A journal has one writer: a second one is refused, in this process and in another, until the first has ended.
func TestAJournalIsLocked(t *testing.T) {
	path := filepath.Join(t.TempDir(), "kept.jsonl")
	first, _, err := journalOf(t, path, "one", false)
	require.NoError(t, err)
	require.NoError(t, first.Write([]byte("\"one\"\n1\n")))
	for _, anew := range []bool{false, true} {
		_, _, err = journalOf(t, path, "one", anew)
		require.EqualError(t, err, "--keep "+path+" is in use by another process; must be another FILE, or wait until that process has ended")
	}
	require.NoError(t, first.Write([]byte("2\n")))
	require.NoError(t, first.Close())
	assert.Equal(t, "\"one\"\n1\n2\n", read(t, path))
	second, had, err := journalOf(t, path, "one", false)
	require.NoError(t, err)
	assert.Equal(t, "1\n2\n", had)
	require.NoError(t, second.Close())
}

func TestSameFile(t *testing.T) {
	folder := t.TempDir()
	one := filepath.Join(folder, "one")
	require.NoError(t, os.WriteFile(one, nil, 0o600))
	link := filepath.Join(folder, "link")
	require.NoError(t, os.Symlink(one, link))
	for _, c := range []struct {
		a, b string
		same bool
	}{
		{one, link, true}, {one, one, true}, {one, filepath.Join(folder, "other"), false},
		{filepath.Join(folder, "new"), folder + "/./new", true}, {"-", "-", false}, {os.DevNull, os.DevNull, false}, {"", one, false},
	} {
		assert.Equal(t, c.same, SameFile(c.a, c.b), "%s %s", c.a, c.b)
	}
}
