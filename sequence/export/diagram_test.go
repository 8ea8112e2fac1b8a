package export_test

import (
	"context"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sequence/export"
)

func small(t *testing.T) *sequence.Program {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", "small.yaml"))
	require.NoError(t, err)
	return compiled(t, string(text))
}

// The texts of the diagrams and tables of a small sequence are looked at as a whole.
func TestSmallDiagrams(t *testing.T) {
	t.Parallel()
	p := small(t)
	dot, err := export.DOT(p, heading(), "")
	require.NoError(t, err)
	golden(t, "small.dot", dot)
	mermaid, err := export.Mermaid(p, heading(), "")
	require.NoError(t, err)
	golden(t, "small.mmd", mermaid)
	golden(t, "small.md", export.Markdown(p, heading(), export.Tables(p, map[string]string{"press_nm": "-3.8"})))
}

// A person who reads the reference finds each state in the part where an engineer would look for it.
func TestGroupsOfTheReference(t *testing.T) {
	t.Parallel()
	p := compiled(t, string(sequence.Reference()))
	want := map[string]string{
		"ready": "normal", "permissives": "normal", "travel": "normal", "press_up": "normal", "verdict_up": "normal",
		"open_brake": "normal", "passed": "normal", "arrest_load": "failure", "set_down": "failure", "locked_out": "failure",
		"secure_axis": "failure", "on_brake_alone": "failure", "stop_axis": "stop", "stopped": "stop", "cancelled": "stop",
	}
	for _, row := range export.Tables(p, nil)[1].Rows {
		if group, ok := want[row[1]]; ok {
			assert.Equal(t, group, row[2], row[1])
			delete(want, row[1])
		}
	}
	assert.Empty(t, want)
}

// Every state is drawn once, in one of the groups, and so is every way between two states.
func TestDiagramsAreWhole(t *testing.T) {
	t.Parallel()
	p := compiled(t, string(sequence.Reference()))
	drawn := map[string]int{}
	for _, group := range export.Groups() {
		svg, err := export.SVG(context.Background(), p, heading(), group)
		require.NoError(t, err)
		text := textsOf(t, svg)
		for _, s := range p.States() {
			for _, word := range text {
				if title := regexp.MustCompile(`^\d+ (\w+)`).FindStringSubmatch(word); title != nil && title[1] == s.Name {
					drawn[s.Name]++
				}
			}
		}
		for _, e := range p.Any() {
			assert.Regexp(t, `→ \d+ `+e.To, strings.Join(text, "\n"))
		}
	}
	for _, s := range p.States() {
		assert.Equal(t, 1, drawn[s.Name], s.Name)
	}
}

// Several drawings at once are the same as one after the other.
func TestDrawingsAtOnce(t *testing.T) {
	t.Parallel()
	p := small(t)
	want, err := export.SVG(context.Background(), p, heading(), "")
	require.NoError(t, err)
	var group sync.WaitGroup
	got := make([]string, 8)
	for i := range got {
		group.Go(func() {
			svg, err := export.SVG(context.Background(), p, heading(), "")
			if assert.NoError(t, err) {
				got[i] = string(svg)
			}
		})
	}
	group.Wait()
	for _, svg := range got {
		assert.Equal(t, string(want), svg)
	}
}

// textsOf are the texts of a drawing, which must be well formed.
func textsOf(t *testing.T, svg []byte) []string {
	t.Helper()
	var list []string
	d, inText := xml.NewDecoder(strings.NewReader(string(svg))), false
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return list
		}
		require.NoError(t, err)
		switch n := token.(type) {
		case xml.StartElement:
			inText = n.Name.Local == "text"
		case xml.EndElement:
			inText = false
		case xml.CharData:
			if inText {
				list = append(list, strings.TrimSpace(string(n)))
			}
		}
	}
}

// Text of a document stays text, whatever marks are in it.
func TestTextInDiagrams(t *testing.T) {
	t.Parallel()
	p := compiled(t, `
sequence: marks
note: "a --> b; <b>\" %% # | `+"`"+`"
start: a
states:
  a: {note: 'x } y <!-- " \ | ; : end state "q" as z', set: {drive: hold, brake: open}, go: [{to: end, when: 'tested == "down"'}]}
  end: {set: {alarm: "<script>|"}}
ends: {end: pass}
`)
	svg, err := export.SVG(context.Background(), p, heading(), "")
	require.NoError(t, err)
	text := strings.Join(textsOf(t, svg), " ")
	assert.Contains(t, text, `x } y <!-- " \ | ; : end state "q" as z`)
	mermaid, err := export.Mermaid(p, heading(), "")
	require.NoError(t, err)
	assert.Contains(t, mermaid, `s_a : x #125; y #60;!#45;#45; #34; \ | #59; #58; end state #34;q#34; as z`)
	for _, line := range strings.Split(export.Markdown(p, heading(), export.Tables(p, nil)), "\n") {
		assert.NotContains(t, line, "<script>")
		if strings.HasPrefix(line, "| 2 | end ") {
			assert.Equal(t, 8, strings.Count(line, "|")-strings.Count(line, `\|`), line)
		}
	}
}

func TestNoSuchGroup(t *testing.T) {
	t.Parallel()
	_, err := export.DOT(small(t), heading(), "fail")
	require.EqualError(t, err, `there is no group "fail"; the nearest valid one is "failure"`)
}
