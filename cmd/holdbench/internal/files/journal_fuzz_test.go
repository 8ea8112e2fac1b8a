package files

import (
	"bufio"
	"bytes"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzJournal is a file of --keep that holds anything. Either it is left as it is, or it goes on behind a part of
// what it had, or begins anew; a line that is added stands at its end.
func FuzzJournal(f *testing.F) {
	for _, text := range []string{"", "{", `{"head":1}` + "\n", `{"head":1}` + "\n1\n2\n", `{"head":1}` + "\n1\n2", `{"head":2}` + "\n", "secret\n", "\x00\n"} {
		f.Add([]byte(text), false)
		f.Add([]byte(text), true)
	}
	first := []byte(`{"head":1}` + "\n")
	read := func(r io.Reader) (Kept, error) {
		var had Kept
		in := bufio.NewReader(r)
		for n := 0; ; n++ {
			line, err := in.ReadBytes('\n')
			switch {
			case err != nil && n == 0:
				return had, io.ErrUnexpectedEOF
			case err != nil:
				return had, nil
			case n == 0 && !bytes.Equal(line, first):
				had.Unlike = "its head"
			}
			had.Bytes += int64(len(line))
		}
	}
	f.Fuzz(func(t *testing.T, before []byte, anew bool) {
		path := filepath.Join(t.TempDir(), "kept.jsonl")
		require.NoError(t, os.WriteFile(path, before, 0o600))
		j, err := OpenJournal(path, "sweep", first, anew, read)
		if err != nil {
			after, readErr := os.ReadFile(path)
			require.NoError(t, readErr)
			require.Equal(t, before, after, "a file of something else is left alone")
			return
		}
		require.NoError(t, j.Write([]byte("new\n")))
		require.NoError(t, j.Close())
		after, err := os.ReadFile(path)
		require.NoError(t, err)
		kept, found := bytes.CutSuffix(after, []byte("new\n"))
		require.True(t, found, "%q", after)
		require.True(t, bytes.HasPrefix(before, kept))
		require.Equal(t, j.Resumed, len(kept) > 0)
	})
}
