package probecmd

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
)

func TestExamples(t *testing.T) {
	program().Examples(t, "probe", []clitest.Example{
		{Line: "holdbench probe --fault lining-worn --state travel --state press_down", Prints: []string{
			`^24 cells: 1 fault in 2 states$`, `^  · fine +entry, usual 0.35 +fail in locked_out \(moved\), caught$`, `^24 cells: 24 fine$`,
		}, Says: `^24 cells run in `},
		{Line: "holdbench probe --fault encoder-frozen --through link-down --html probe.html", Prints: []string{
			`^m +3 +none +no-drop +encoder-frozen$`, `^d +1 +no-answer +no-drop +encoder-frozen$`,
			`^95 cells: 91 fine; not detectable or not preventable: 3 missed, 1 dropped$`,
		}},
		{Line: "holdbench probe --fault press-overshoots --state ready --worst", Code: command.ExitBroken, Prints: []string{
			`^ 1  broken  4 cells, class refused`, `^  B ready +0\.2[0-9]+ +0\.2[0-9]+ `,
		}, Says: `^1 search run in `},
		{Line: "holdbench probe --fault lining-worn --fault encoder-frozen --pairs", Long: true, Code: command.ExitBroken, Prints: []string{
			`^ 1  dropped `, `^    pairs   lining-worn \+ encoder-frozen$`, `^  2 encoder-frozen  D$`,
		}},
		{Line: "holdbench probe --fault link-down --state close_brake --keep old.jsonl", Prints: []string{`^4 cells: 4 fine$`}},
		{Line: "holdbench probe --fault link-down --state close_brake --baseline old.jsonl", Prints: []string{`^✓ nothing changed$`}},
		{Line: "holdbench probe --fault press-overshoots --state ready --accept reference", Prints: []string{
			`^4 cells: The current loop overshoots`, `^✓ nothing but what is accepted$`,
		}},
		{Line: "holdbench probe --fault link-down --state settle --set judge.dwell=2s --csv -", Prints: []string{
			`^fault,group,severity,`, `^link-down,.*,holdbench run healthy-down-and-up --set judge.dwell=2s --fault link-down@settle$`,
		}, Data: true},
	})
	for file, starts := range map[string]string{"probe.html": "<!DOCTYPE html>", "old.jsonl": `{"probe":"healthy-down-and-up"`} {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Contains(t, string(text), starts, file)
	}
}

func TestPageIsKept(t *testing.T) {
	program().Pages(t, "probe --help")
}
