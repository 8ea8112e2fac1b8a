package progress

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestResultsFile(t *testing.T) {
	env := func(name string) string { return map[string]string{"HOME": t.TempDir()}[name] }
	assert.Equal(t, "riddles.jsonl", filepath.Base(ResultsFile(env)))
	assert.Empty(t, ResultsFile(func(string) string { return "" }))
}

func TestAppendResult(t *testing.T) {
	file := filepath.Join(t.TempDir(), "state", "riddles.jsonl")
	require.NoError(t, AppendResult(file, []byte(`{"seed":1}`)))
	require.NoError(t, AppendResult(file, []byte(`{"seed":2}`)))
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "{\"seed\":1}\n{\"seed\":2}\n", string(text))
}

// A file with something else in it stays as it is.
func TestAppendResultToSomethingElse(t *testing.T) {
	for _, text := range []string{"scenario: mine\n", "{\"seed\":1}", "{\"seed\":1}\n{\"se", "\n"} {
		file := filepath.Join(t.TempDir(), "mine.yaml")
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
		err := AppendResult(file, []byte(`{"seed":2}`))
		require.ErrorContains(t, err, "it has something else in it", text)
		got, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Equal(t, text, string(got))
	}
	require.Error(t, AppendResult(t.TempDir(), []byte(`{}`)), "a folder")
}
