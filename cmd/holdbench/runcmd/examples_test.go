package runcmd

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
)

func TestExamples(t *testing.T) {
	program().Examples(t, "run", []clitest.Example{
		{Line: "holdbench run lining-worn-thin", Prints: []string{`class +caught`, `^✓ as expected$`}},
		{Line: "holdbench run healthy-down --set judge.dwell=2s --set judge.window_deg=0.5", Code: command.ExitBroken, Prints: []string{`^set judge.dwell = 2s$`, `^set judge.window_deg = 0.5$`, `class +sound-pass`, `^✗ not met +took: `}},
		{Line: "holdbench run healthy-down --trace healthy-down.csv", Prints: []string{`^✓ as expected$`}},
		{Line: "holdbench run healthy-down --seed 2 --against healthy-down.csv --simulated", Prints: []string{`^recorded less simulated`, `^position_mm +`}},
		{Line: "holdbench run healthy-down --trace healthy-down.vcd", Prints: []string{`^✓ as expected$`}},
		{Line: "holdbench run lining-worn-thin --plot lining-worn-thin.svg", Prints: []string{`^✓ as expected$`}},
		{Line: "holdbench run healthy-down --json", Prints: []string{`^\{"scenario":"healthy-down",.*"class":"sound-pass"`}, Data: true},
		{Line: "holdbench run healthy-down --fault lining-worn", Prints: []string{`^fault lining-worn=0.35: `, `class +caught`, `^✓ as expected$`}},
		{Line: "holdbench run healthy-down --fault lining-worn=0.5@press_down+120ms", Prints: []string{`^fault lining-worn=0.5@press_down\+120ms: `, `^ +3.038 ▲ fault +brake.condition = 0.5`, `class +sound-pass`}},
	})
	assert.FileExists(t, "healthy-down.csv")
	assert.FileExists(t, "healthy-down.vcd")
	assert.FileExists(t, "lining-worn-thin.svg")
}

func TestPageIsKept(t *testing.T) {
	program().Pages(t, "run encoder-frozen", "run stale-verdict-accepted", "run healthy-down --fault lining-worn=0.2@press_down+120ms", "run --help")
}
