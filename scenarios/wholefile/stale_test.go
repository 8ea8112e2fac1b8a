package wholefile

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// What a killed process has left of a file is removed when the next one of the name is begun; what another process
// still writes, what is new, and what is none of ours stays.
func TestStalePartsAreRemoved(t *testing.T) {
	folder := t.TempDir()
	in := func(name string) string { return filepath.Join(folder, name) }
	old := func(path string) {
		info, err := os.Stat(path)
		require.NoError(t, err)
		past := info.ModTime().Add(-2 * staleAfter)
		require.NoError(t, os.Chtimes(path, past, past))
	}
	var kept []string
	for _, name := range []string{".runs.csv.NOTOURS.part", ".runs.csv.ABCDEFGHIJKL.txt", ".other.csv.ABCDEFGHIJKL.part", "runs.csv.ABCDEFGHIJKL.part"} {
		require.NoError(t, os.WriteFile(in(name), nil, 0o600))
		old(in(name))
		kept = append(kept, in(name))
	}
	require.NoError(t, os.WriteFile(in(".runs.csv.NEWNEWNEWNEW.part"), nil, 0o600))
	kept = append(kept, in(".runs.csv.NEWNEWNEWNEW.part"))
	written, err := Create(in("runs.csv"), true) // takes its time
	require.NoError(t, err)
	old(written.file.Name())
	kept = append(kept, written.file.Name())
	stale := in(".runs.csv.ABCDEFGHIJKL.part")
	require.NoError(t, os.WriteFile(stale, []byte("half"), 0o600))
	old(stale)

	next, err := Create(in("runs.csv"), true)
	require.NoError(t, err)
	require.NoFileExists(t, stale)
	for _, path := range kept {
		require.FileExists(t, path)
	}
	require.NoError(t, written.Commit())
	require.NoError(t, next.Commit())
	left, err := filepath.Glob(in(".runs.csv.*"))
	require.NoError(t, err)
	require.Len(t, left, 3, "those that are not stale or not ours")
}
