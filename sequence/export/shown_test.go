package export_test

import (
	"testing"
	"unicode"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sequence/export"
)

// Control characters in names, notes and alarms would reach the terminal that an export is printed on, and an SVG
// with them cannot be read as XML.
func TestNoControlCharacters(t *testing.T) {
	t.Parallel()
	const text = "sequence: \"s\\e[31m\"\nnote: \"n\\a\\u202e\"\nstart: a\nstates:\n" +
		"  a: {note: \"n\\b\", set: {alarm: \"a\\e]0;x\\a\"}, go: [{to: b, when: proof}]}\n  b: {note: \"\\u009b1m\"}\nends: {b: pass}\n"
	var d sequence.Document
	require.NoError(t, yaml.Unmarshal([]byte(text), &d))
	p, err := sequence.Compile(d, nil)
	require.NoError(t, err)
	dot, err := export.DOT(p, export.Heading{}, "")
	require.NoError(t, err)
	mermaid, err := export.Mermaid(p, export.Heading{}, "")
	require.NoError(t, err)
	svg, err := export.SVG(t.Context(), p, export.Heading{}, "")
	require.NoError(t, err)
	for name, got := range map[string]string{
		"DOT": dot, "Mermaid": mermaid, "SVG": string(svg), "SCXML": export.SCXML(p, export.Heading{}),
		"Markdown": export.Markdown(p, export.Heading{}, export.Tables(p, nil)),
	} {
		for _, r := range got {
			if r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)) {
				assert.Fail(t, name, "%U in %q", r, got)
				break
			}
		}
	}
}
