package probecmd

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim"
	"holdbench/sim/probe"
)

// The run without a fault in words, and whether a probe makes sense from it.
func TestNominalWords(t *testing.T) {
	for _, c := range []struct {
		n    probe.Nominal
		want string
	}{
		{probe.Nominal{End: "pass", Expected: "pass", DurationS: 7.7481}, "without a fault, as expected: pass at 7.748 s, every obligation kept"},
		{probe.Nominal{End: "fail", Expected: "fail", DurationS: 2, Broken: []string{sim.NoDrop}}, "without a fault, as expected: fail at 2.000 s, breaks no-drop"},
		{probe.Nominal{End: "fail", Expected: "pass", EndedIn: "locked_out", DurationS: 2, Cause: "moved"}, "the run without a fault is not as expected: must be pass, found fail in locked_out at 2.000 s (moved)"},
		{probe.Nominal{End: "pass", Expected: "pass", EndedIn: "passed", DurationS: 2, Unexpected: true, Broken: []string{sim.NoDrop, sim.Carried}}, "the run without a fault is not as expected: pass in passed at 2.000 s, breaks no-drop and carried"},
		{probe.Nominal{End: "none", Expected: "pass", EndedIn: "press", SinceS: 3.2, DurationS: 60, Unexpected: true, Broken: []string{sim.NoDrop, sim.Bounded}}, "the run without a fault does not end: state press since 3.200 s, no end at 60.000 s, breaks no-drop"},
		{probe.Nominal{End: "none", Expected: "pass", EndedIn: "press", DurationS: 6, Unexpected: true, Broken: []string{sim.Bounded}, ControllerStopped: &sim.ControllerStop{AtS: 0.5, Because: "a.st:1:1: this divides by zero"}},
			"the run without a fault does not end: state press since 0.000 s, no end at 6.000 s; controller stopped at 0.500 s: a.st:1:1: this divides by zero"},
	} {
		assert.Equal(t, c.want, nominalWords(&c.n))
		p := inventedReport(t).plan
		p.nominal = &c.n
		require.NoError(t, p.checkNominal(true))
		assert.Equal(t, c.n.Endless(), p.checkNominal(false) != nil, c.want)
	}
}
