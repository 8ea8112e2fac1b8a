package export_test

import (
	"fmt"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sequence/export"
)

// Other programs draw the diagrams too: Graphviz, whose dot the variable HOLDBENCH_DOT names, and a
// browser, HOLDBENCH_CHROMIUM, with the script of Mermaid, HOLDBENCH_MERMAID. .ci/run sets them.
func TestOthersDrawTheDiagrams(t *testing.T) {
	t.Parallel()
	dot, browser, script := os.Getenv("HOLDBENCH_DOT"), os.Getenv("HOLDBENCH_CHROMIUM"), os.Getenv("HOLDBENCH_MERMAID")
	if dot == "" && (browser == "" || script == "") {
		t.Skip("neither HOLDBENCH_DOT nor HOLDBENCH_CHROMIUM and HOLDBENCH_MERMAID are set")
	}
	for name, p := range map[string]*sequence.Program{"small": small(t), "reference": compiled(t, string(sequence.Reference()))} {
		for _, group := range append(export.Groups(), "") {
			t.Run(name+" "+group, func(t *testing.T) {
				graph, err := export.DOT(p, heading(), group)
				require.NoError(t, err)
				if dot != "" {
					drawnBy(t, filepath.Join(t.TempDir(), "graph.dot"), graph, dot, "-Tsvg")
				}
				text, err := export.Mermaid(p, heading(), group)
				require.NoError(t, err)
				if browser != "" && script != "" {
					page := drawnBy(t, filepath.Join(t.TempDir(), "page.html"), mermaidPage(text, script), browser, "--headless=new", "--no-sandbox",
						"--disable-gpu", "--allow-file-access-from-files", "--virtual-time-budget=60000", "--dump-dom")
					assert.Contains(t, page, "<title>drawn</title>")
				}
			})
		}
	}
}

// drawnBy hands a file to a program and returns its output, in which a drawing must be.
func drawnBy(t *testing.T, path, text, program string, arguments ...string) string {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	out, err := exec.Command(program, append(arguments, path)...).Output() //nolint:gosec // the test names it
	require.NoError(t, err)
	assert.Contains(t, string(out), "<svg")
	return string(out)
}

// mermaidPage is a page that says in its title whether the diagram was drawn.
func mermaidPage(text, script string) string {
	return fmt.Sprintf(`<!doctype html><meta charset="utf-8"><pre class="mermaid">%s</pre><script src="file://%s"></script>
<script>mermaid.initialize({startOnLoad: false, maxTextSize: 1e6, maxEdges: 5000})
mermaid.run().then(() => { document.title = "drawn" }, e => { document.title = "failed: " + e.message })</script>`, html.EscapeString(text), script)
}
