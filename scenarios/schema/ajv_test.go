package schema_test

import (
	"bytes"
	"encoding/json"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios/schema"
)

// written is a document as another validator gets it, and what it must say.
type written struct {
	Kind string `json:"kind"`
	Text string `json:"text"`

	name  string
	valid bool
}

// Another validator, in another language and with a YAML reader of its own, says the same: built-in
// documents pass, broken ones fail. It needs a folder into which npm has installed ajv@8 and yaml@2.
func TestAnotherValidator(t *testing.T) {
	folder := os.Getenv("HOLDBENCH_AJV")
	if folder == "" {
		t.Skip("HOLDBENCH_AJV names no folder with ajv")
	}
	documents := writtenDocuments(t)
	parts := map[string]json.RawMessage{}
	for _, d := range schema.Documents() {
		text, err := schema.JSON(d.Name)
		require.NoError(t, err)
		parts[d.Name] = text
	}
	input, err := json.Marshal(map[string]any{"schemas": parts, "documents": documents})
	require.NoError(t, err)
	c := exec.CommandContext(t.Context(), "node", "testdata/validate.cjs", folder)
	c.Stdin, c.Stderr = bytes.NewReader(input), os.Stderr
	out, err := c.Output()
	require.NoError(t, err)
	var answers []bool
	require.NoError(t, json.Unmarshal(out, &answers))
	require.Len(t, answers, len(documents))
	for i, d := range documents {
		assert.Equal(t, d.valid, answers[i], d.name)
	}
	t.Logf("%d documents", len(documents))
}

// writtenDocuments are the built-in documents and the broken ones that a schema can catch.
func writtenDocuments(t *testing.T) []written {
	t.Helper()
	var list []written
	texts := builtin(t)
	for _, name := range slices.Sorted(maps.Keys(texts)) {
		value, ok := asJSON(texts[name])
		require.True(t, ok, name)
		list = append(list, written{kindOf(value), string(texts[name]), name, true})
	}
	files, err := filepath.Glob("../testdata/broken/*.yaml")
	require.NoError(t, err)
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".yaml")
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		if value, ok := asJSON(text); ok && uncaught()[name] == "" {
			list = append(list, written{kindOf(value), string(text), name, false})
		}
	}
	return list
}
