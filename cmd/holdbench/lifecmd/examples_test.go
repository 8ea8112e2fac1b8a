package lifecmd

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
)

func TestExamples(t *testing.T) {
	if clitest.Race || testing.Short() {
		t.Skip("a study an example; the scripts run the same code")
	}
	program().Examples(t, "life", []clitest.Example{
		{Line: "holdbench life pane-hoist", Short: "--runs 1 --histories 3 --set rig.clock.tick=1ms", Prints: []string{`^life of pane-hoist$`, `^3 histories of 26w each$`, `^  brakes replaced +[0-9]+ `}},
		{Line: "holdbench life pane-hoist --shifts 2 --windows 2 --interval 24h --histories 50", Short: "--runs 1 --histories 3 --set rig.clock.tick=1ms", Prints: []string{`^  production +2 shifts of 8h a day`, `^  idle windows +2 a shift`, `^  proof +lasts 1d;`}},
		{Line: "holdbench life kiln-gate --failure-every never --decline 0.5%/day", Short: "--runs 1 --histories 2 --set rig.clock.tick=1ms", Prints: []string{`^life of kiln-gate$`, `^  slow decline +0\.5 % of the rated torque a day`, `^  sudden failure +none$`}},
		{Line: "holdbench life tilt-arm --failure-every 1000h --failure-to 0..0.3", Short: "--runs 1 --histories 2 --set rig.clock.tick=1ms", Prints: []string{`^life of tilt-arm$`, `^  sudden failure +one in [0-9dwh]+ on average.* between 0 % and( 30 %)?`}},
		{Line: "holdbench life tilt-arm --whole-runs --histories 2 --span 2w --intervals none", Short: "--runs 1 --histories 1 --span 1w --set rig.clock.tick=1ms", Prints: []string{`^  tests +each a complete run of rig and sequence`}},
		{Line: "holdbench life twin-lift --cycle 5s --b10d 60e6 --csv histories.csv", Short: "--runs 1 --histories 2 --set rig.clock.tick=1ms", Prints: []string{`^  T10d +[0-9.]+ years`, `^  MTTFd +[0-9.]+ years`}},
	})
	histories, err := os.ReadFile("histories.csv")
	require.NoError(t, err)
	assert.Equal(t, 3, strings.Count(string(histories), "\n"), "a heading, and a row a history")
}

func TestPageIsKept(t *testing.T) { program().Pages(t, "life --help") }
