package export_test

import (
	"os"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sequence/export"
)

func TestTry(t *testing.T) {
	var d sequence.Document
	require.NoError(t, yaml.UnmarshalWithOptions(sequence.Reference(), &d, yaml.Strict()))
	p, err := sequence.Compile(d, nil)
	require.NoError(t, err)
	text, bound, err := export.StructuredText(p, "reference.st", export.STOptions{Heading: export.Heading{Version: "test"}})
	require.NoError(t, err)
	require.NoError(t, os.MkdirAll("/tmp/exp", 0o755))
	require.NoError(t, os.WriteFile("/tmp/exp/reference.st", []byte(text), 0o644))
	require.NoError(t, os.WriteFile("/tmp/exp/reference.yaml", []byte(bound), 0o644))
}
