package showcmd

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// Where there is room, the list says when a fault may come and how bad it may be.
func TestFaultsOnAWideScreen(t *testing.T) {
	for _, l := range listings() {
		if l.kind != "faults" {
			continue
		}
		text := l.text(l.rows(), &page.Screen{Width: 140}, false)
		assert.Regexp(t, `(?m)^  lining-worn +any moment  0.75 to 0.15 of the rated torque +The lining`, text)
		assert.Regexp(t, `(?m)^  load-left-out +whole run +The load`, text)
		for line := range strings.Lines(text) {
			assert.LessOrEqual(t, page.Cells(strings.TrimSuffix(line, "\n")), 140)
		}
		assert.NotContains(t, l.text(l.rows(), &page.Screen{Width: page.Narrow}, false), "any moment")
	}
}

// What is told of a fault on a rig can be tried as it stands there, and every fault can be told
// of on every rig.
func TestEveryFaultIsShownAndRuns(t *testing.T) {
	for _, name := range scenarios.Names(scenarios.RigKind) {
		rig, _, err := scenarios.LoadRig(name)
		require.NoError(t, err)
		base, _, err := scenarios.LoadCase("healthy-down-and-up", scenarios.Overrides{Rig: name})
		require.NoError(t, err)
		about := base.Sequence
		for _, f := range catalogue.Entries() {
			if !f.Fits(rig) {
				continue
			}
			command := tryFault(&f, name)
			_, spec, _ := strings.Cut(command, "--fault ")
			n, err := catalogue.Parse(strings.TrimSpace(spec))
			require.NoError(t, err, command)
			with := base.Scenario
			with.Expect, with.Lesson = sim.Expect{}, nil
			addTo(t, n, &with, base)
			_, _, err = base.With(with)
			require.NoError(t, err)
			assert.NotEmpty(t, remedyText(f.Remedy), f.Name)
			for line := range strings.Lines(faultSets(&f, rig, about).Text(&page.Screen{Width: page.Narrow}, "  ")) {
				assert.LessOrEqual(t, page.Cells(strings.TrimSuffix(line, "\n")), page.Narrow, f.Name)
			}
		}
	}
}

// addTo adds a fault to a scenario on the rig and with the sequence of a case.
func addTo(t *testing.T, n catalogue.Selection, s *sim.Scenario, c *sim.Case) {
	t.Helper()
	require.NoError(t, n.AddTo(s, &c.Rig, c.Sequence))
}
