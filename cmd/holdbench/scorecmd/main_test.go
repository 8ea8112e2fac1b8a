package scorecmd

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
)

// program is a holdbench of what this package has, and no more.
func program() clitest.Program { return clitest.With(New) }

func TestMain(m *testing.M) { program().Main(m) }

const (
	ada = `{"player":"Ada","rig":"pane-hoist","sequence":"reference","level":"one","seed":1,"truth":"lining-worn","cause":"lining-worn","right_remedy":"replace-brake","remedy":"replace-brake","looks":1,"points":10}
{"player":"Ada","rig":"pane-hoist","sequence":"reference","level":"one","seed":2,"truth":"encoder-frozen","cause":"link-down","right_remedy":"repair-encoder","remedy":"repair-link","looks":0,"points":0}
{"player":"Ada","rig":"pane-hoist","sequence":"reference","level":"one","seed":2,"truth":"encoder-frozen","cause":"encoder-frozen","right_remedy":"repair-encoder","remedy":"repair-encoder","looks":0,"points":10}
`
	ben = `{"player":"Ben","rig":"pane-hoist","sequence":"reference","level":"one","seed":1,"truth":"lining-worn","cause":"oil-on-lining","right_remedy":"replace-brake","remedy":"clean-lining","looks":5,"points":0}
{"player":"Ben","rig":"pane-hoist","sequence":"reference","level":"one","seed":2,"truth":"encoder-frozen","cause":"link-down","right_remedy":"repair-encoder","remedy":"repair-encoder","looks":0,"points":0}
`
)

func class() map[string]string {
	return map[string]string{"class/ada.jsonl": ada, "class/ben.jsonl": "\xef\xbb\xbf" + strings.ReplaceAll(ben, "\n", "\r\n"), "class/notes.txt": "no results", "ada.jsonl": ada, "ben.jsonl": ben}
}

func TestExamples(t *testing.T) {
	program().ExamplesWith(t, "score", class(), []clitest.Example{
		{Line: "holdbench score class", Prints: []string{`^4 answers of 2 players, 2\.5 of 10 points in the mean; 1 answer to a riddle`, `^encoder-frozen +0 of 2 +1 of 2 +- +0\.0 +0\.0 +link-down \(2\)$`, `^lining-worn +1 of 2 +1 of 2 +- +5\.0 +3\.0 +oil-on-lining \(1\)$`, `^Ben +0 of 2 +1 of 2 +- +0\.0 +2\.5 +-$`, `^Ada +1 of 2 +1 of 2 +- +5\.0 +0\.5 +1$`}},
		{Line: "holdbench score ada.jsonl ben.jsonl", Prints: []string{`^4 answers of 2 players`}},
		{Line: "holdbench score class --json", Prints: []string{`^\{"players":2,"answers":4,"repeated":1,"unnamed":0,"aborted":0,"points":2\.5,"causes":\[\{"cause":"encoder-frozen","answers":2,"right":0,"right_remedies":1,"aborted":0,"points":0,"looks":0,"taken_for":\[\{"cause":"link-down","times":2\}\]\}`}, Data: true},
	})
}

func TestPageIsKept(t *testing.T) { program().Pages(t, "score --help") }

func TestBadInput(t *testing.T) {
	folder := t.TempDir()
	for _, x := range []struct{ text, wants string }{
		{"", `a\.jsonl: is empty; must have results of riddles`},
		{ada + "{}\n", `a\.jsonl:4:1: has no rig; must be a name`},
		{ada[:100], `a\.jsonl:1:1: is no result of a riddle`},
		{"player,points\n", `a\.jsonl:1:1: is no result of a riddle`},
		{strings.ReplaceAll(ada, `"points":10`, `"points":99`), `(?s)a\.jsonl:1:1: points is 99; must be 0 to 10.*a\.jsonl:3:1: points is 99`},
	} {
		path := filepath.Join(folder, "a.jsonl")
		require.NoError(t, os.WriteFile(path, []byte(x.text), 0o600))
		got := program().Invoke(t.Context(), "score", path)
		assert.Equal(t, command.ExitWrong, got.Code, x.wants)
		assert.Regexp(t, x.wants, got.Stderr)
		assert.Empty(t, got.Stdout)
	}
	got := program().Invoke(t.Context(), "score", filepath.Join(folder, "none.jsonl"))
	assert.Equal(t, command.ExitWrong, got.Code)
	assert.Contains(t, got.Stderr, "none.jsonl")
	got = program().Invoke(t.Context(), "score", t.TempDir())
	assert.Equal(t, command.ExitWrong, got.Code)
	assert.Contains(t, got.Stderr, "has no results in it")
}

// What players typed as their names or causes reaches no terminal as it is.
func TestNothingIsWrittenToTheTerminalAsItIs(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.jsonl")
	require.NoError(t, os.WriteFile(path, []byte(strings.ReplaceAll(ada, "link-down", `\u001b[31mred`)), 0o600))
	got := program().Invoke(t.Context(), "score", path)
	assert.Equal(t, command.ExitOK, got.Code, got.Stderr)
	assert.NotContains(t, got.Stdout, "\x1b")
}

// The head counts what there is: names, answers without one, one answer and several, aborted riddles. A table that is
// too wide for its last column has no empty lines.
func TestHead(t *testing.T) {
	folder := t.TempDir()
	nameless := strings.ReplaceAll(ben, `"player":"Ben",`, "")
	const stopped = `{"player":"Cid","rig":"pane-hoist","sequence":"reference","level":"two","seed":9,"truth":"brake-opens-late + torque-constant-off","cause":"","right_remedy":"replace-brake + repair-encoder","remedy":"","aborted":true,"looks":0,"points":0}
`
	for _, x := range []struct{ text, wants string }{
		{nameless, "2 answers without the name of a player, 0.0 of 10"},
		{ada, "2 answers of 1 player, 5.0 of 10 points in the mean; 1 answer to a riddle whose truth the player had seen does not count"},
		{ada + ada, "2 answers of 1 player, 5.0 of 10 points in the mean; 4 answers to riddles whose truth the player had seen do not count"},
		{ada + nameless, "4 answers, 2 of 1 player and 2 without a name, 2.5 of 10"},
		{stopped, "1 answer of 1 player, 0.0 of 10 points in the mean; 1 aborted, with 0 points"},
	} {
		path := filepath.Join(folder, "a.jsonl")
		require.NoError(t, os.WriteFile(path, []byte(x.text), 0o600))
		got := program().Invoke(t.Context(), "score", path)
		require.Equal(t, command.ExitOK, got.Code, got.Stderr)
		assert.Contains(t, strings.Join(strings.Fields(got.Stdout), " "), x.wants)
		assert.NotRegexp(t, `(?m)^ +$`, got.Stdout)
		assert.Equal(t, strings.Contains(x.text, "player"), strings.Contains(got.Stdout, "\nplayers "), got.Stdout)
	}
}
