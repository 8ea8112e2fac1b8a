package sim_test

import (
	"bytes"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/sim"
)

// traceOf is every scan of the demo with some faults, whether they were active left out.
func traceOf(t *testing.T, faults ...sim.Fault) string {
	t.Helper()
	base := load(t, demo, nil)
	s := base.Scenario
	s.Faults = faults
	c, _, err := base.With(s)
	require.NoError(t, err)
	var out bytes.Buffer
	tracer, err := sim.NewCSVTrace(&out, c.Sequence)
	require.NoError(t, err)
	_, err = sim.Run(c, tracer)
	require.NoError(t, err)
	return out.String()
}

func set(name, text string) map[string]string { return map[string]string{name: text} }

// effects runs faults, and compares which of them acted with the scans of runs without some: an oracle that knows
// nothing of how effects are found. From the last one on, each is left out that changes nothing once those after it
// are left out that change nothing.
func effects(t *testing.T, faults []sim.Fault) []sim.FaultRecord {
	t.Helper()
	all := traceOf(t, faults...)
	r := faulted(t, nil, faults...)
	require.Len(t, r.Faults, len(faults))
	left := slices.Clone(faults)
	for i, f := range slices.Backward(r.Faults) {
		others := slices.Delete(slices.Clone(left), i, i+1)
		acts := all != traceOf(t, others...)
		require.Equal(t, acts, f.Acted, "fault %d", i)
		require.Equal(t, f.Acted, f.Because == "", f.Because)
		require.NotNil(t, f.BeganS)
		if !acts {
			left = others
		}
	}
	return r.Faults
}

// A fault acts if something is another than without it. Where it does not, the reason is stated.
func TestFaultsWithoutEffect(t *testing.T) {
	t.Parallel()
	const ms = time.Millisecond
	for name, x := range map[string]struct {
		faults  []sim.Fault
		because []string // of each fault, empty where it acts
	}{
		"ValueAsItIs": {
			[]sim.Fault{{At: at(1000 * ms), Set: set("brake.condition", "1.0")}},
			[]string{"brake.condition is 1 already"},
		},
		"ValuesAsTheyAre": {
			[]sim.Fault{{At: at(1000 * ms), Set: map[string]string{"brake.condition": "1", "link.down": "false"}}},
			[]string{"brake.condition, link.down are so already"},
		},
		"BetweenTwoSafetyScans": { // they come every 8 ms
			[]sim.Fault{{At: at(3329 * ms), For: 7 * ms, Set: set("link.down", "true")}},
			[]string{"it lasts 7ms, and no scan that reads link.down falls into that time"},
		},
		"OverOneSafetyScan": {
			[]sim.Fault{{At: at(3327 * ms), For: 2 * ms, Set: set("link.ask_held", "true")}},
			[]string{""},
		},
		"ButtonBetweenTwoScans": { // they come every 2 ms
			[]sim.Fault{{At: at(1001 * ms), For: ms, Set: set("operator.cancel", "true")}},
			[]string{"it lasts 1ms, and no scan that reads operator.cancel falls into that time"},
		},
		"ButtonOverOneScan": {
			[]sim.Fault{{At: at(1001 * ms), For: 2 * ms, Set: set("operator.cancel", "true")}},
			[]string{""},
		},
		"ScanLeftOut": {
			[]sim.Fault{{At: at(1001 * ms), For: ms / 4, Set: set("controller.missed_scan", "true")}},
			[]string{""},
		},
		"ScanLate": {
			[]sim.Fault{{At: at(1001 * ms), For: 2 * ms, Set: set("controller.late_scan", "5ms")}},
			[]string{""},
		},
		"LateBetweenTwoScans": {
			[]sim.Fault{{At: at(1001 * ms), For: ms, Set: set("controller.late_scan", "5ms")}},
			[]string{"it lasts 1ms, and no scan that reads controller.late_scan falls into that time"},
		},
		"OneTickOfThePlant": {
			[]sim.Fault{{At: at(1001 * ms), For: ms / 4, Set: set("load.mass_kg", "300")}},
			[]string{""},
		},
		"OverriddenAtOnce": {
			[]sim.Fault{
				{At: at(1000 * ms), For: 500 * ms, Set: set("load.mass_kg", "190")},
				{At: at(1000 * ms), For: 500 * ms, Set: set("load.mass_kg", "180")},
			},
			[]string{"another fault sets load.mass_kg at the same moment", ""},
		},
		"OverriddenForItsTime": {
			[]sim.Fault{
				{At: at(1000 * ms), For: 100 * ms, Set: set("load.mass_kg", "181")},
				{At: at(1000 * ms), For: 200 * ms, Set: set("load.mass_kg", "182")},
			},
			[]string{"another fault sets load.mass_kg at the same moment", ""},
		},
		"OverriddenForAWhile": {
			[]sim.Fault{
				{At: at(1000 * ms), For: 500 * ms, Set: set("load.mass_kg", "181")},
				{At: at(1000 * ms), For: 200 * ms, Set: set("load.mass_kg", "182")},
			},
			[]string{"", ""},
		},
		"LastsLonger": {
			[]sim.Fault{
				{At: at(1000 * ms), For: 500 * ms, Set: set("load.mass_kg", "181")},
				{At: at(1200 * ms), Set: set("load.mass_kg", "181")},
			},
			[]string{"", ""},
		},
		"WithinAnother": {
			[]sim.Fault{
				{At: at(1000 * ms), For: 500 * ms, Set: set("load.mass_kg", "181")},
				{At: at(1200 * ms), For: 100 * ms, Set: set("load.mass_kg", "181")},
			},
			[]string{"", "load.mass_kg is 181 already"},
		},
		"TheSameTwice": {
			[]sim.Fault{
				{At: at(1000 * ms), Set: set("encoder.frozen", "true")},
				{At: at(1000 * ms), Set: set("encoder.frozen", "true")},
			},
			[]string{"", "encoder.frozen is true already"},
		},
		"TheSameThreeTimes": {
			[]sim.Fault{
				{At: at(1000 * ms), For: 100 * ms, Set: set("link.down", "true")},
				{At: at(1000 * ms), For: 100 * ms, Set: set("link.down", "true")},
				{At: at(1000 * ms), For: 100 * ms, Set: set("link.down", "true")},
			},
			[]string{"", "link.down is true already", "link.down is true already"},
		},
		"TheSameForLonger": {
			[]sim.Fault{
				{At: at(1000 * ms), For: 100 * ms, Set: set("load.mass_kg", "181")},
				{At: at(1000 * ms), For: 300 * ms, Set: set("load.mass_kg", "181")},
				{At: at(1000 * ms), For: 200 * ms, Set: set("load.mass_kg", "181")},
			},
			[]string{"another fault sets load.mass_kg at the same moment", "", "load.mass_kg is 181 already"},
		},
		"TheSameOneAfterTheOther": { // the first ends, and two are left
			[]sim.Fault{
				{At: at(1000 * ms), For: 200 * ms, Set: set("load.mass_kg", "181")},
				{At: at(1100 * ms), For: 300 * ms, Set: set("load.mass_kg", "181")},
				{At: at(1150 * ms), For: 250 * ms, Set: set("load.mass_kg", "181")},
			},
			[]string{"", "", "load.mass_kg is 181 already"},
		},
		"BridgedByOthers": {
			[]sim.Fault{
				{At: at(1000 * ms), For: 200 * ms, Set: set("load.mass_kg", "181")},
				{At: at(1100 * ms), For: 200 * ms, Set: set("load.mass_kg", "181")},
				{At: at(1150 * ms), For: 350 * ms, Set: set("load.mass_kg", "181")},
			},
			[]string{"", "load.mass_kg is 181 already, and later other faults set it", ""},
		},
		"TheSameWithinAScan": { // the first one alone is read by none
			[]sim.Fault{
				{At: at(1001 * ms), For: 10 * ms, Set: set("link.down", "true")},
				{At: at(1002 * ms), For: 9 * ms, Set: set("link.down", "true")},
			},
			[]string{"", "link.down is true already"},
		},
		"TheSameReadByNone": {
			[]sim.Fault{
				{At: at(3329 * ms), For: 7 * ms, Set: set("link.down", "true")},
				{At: at(3329 * ms), For: 7 * ms, Set: set("link.down", "true")},
			},
			[]string{"another fault sets link.down at the same moment", "link.down is true already"},
		},
		"OneSetsMore": {
			[]sim.Fault{
				{At: at(1000 * ms), Set: set("load.mass_kg", "181")},
				{At: at(1000 * ms), Set: map[string]string{"load.mass_kg": "181", "brake.condition": "0.9"}},
				{At: at(1000 * ms), Set: set("brake.condition", "0.9")},
			},
			[]string{"another fault sets load.mass_kg at the same moment", "", "brake.condition is 0.9 already"},
		},
		"EndsAnother": { // with the value that there is without faults
			[]sim.Fault{
				{At: at(1000 * ms), Set: set("load.mass_kg", "181")},
				{At: at(1500 * ms), Set: set("load.mass_kg", "180")},
			},
			[]string{"", ""},
		},
		"EndsTwoAtTheSameMoment": {
			[]sim.Fault{
				{At: at(1000 * ms), Set: set("load.mass_kg", "181")},
				{At: at(1000 * ms), Set: set("load.mass_kg", "181")},
				{At: at(1500 * ms), Set: set("load.mass_kg", "180")},
				{At: at(1500 * ms), Set: set("load.mass_kg", "180")},
			},
			[]string{"", "load.mass_kg is 181 already", "", "load.mass_kg is 180 already"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			for i, f := range effects(t, x.faults) {
				require.Equal(t, x.because[i], f.Because)
			}
		})
	}
}

// No fault is said to be without effect that has one: the first second of a run with any faults that begin and end
// between scans, over each other and on what is so already is the same without such a fault, and without all of them.
func TestNoEffectIsNone(t *testing.T) {
	t.Parallel()
	base := load(t, demo, nil)
	values := [][2]string{
		{"link.down", "true"}, {"link.verdict_stuck", "true"}, {"operator.cancel", "true"}, {"operator.trigger", "false"}, {"operator.setup_mode", "true"},
		{"controller.late_scan", "3ms"}, {"controller.missed_scan", "true"}, {"load.mass_kg", "180"}, {"load.mass_kg", "181"}, {"guide.viscous_nm_s", "0"},
	}
	played := func(t *rapid.T, faults []sim.Fault) (string, []sim.FaultRecord) {
		s := base.Scenario
		s.Faults = faults
		c, _, err := base.With(s)
		require.NoError(t, err)
		var out bytes.Buffer
		tracer, err := sim.NewCSVTrace(&out, c.Sequence)
		require.NoError(t, err)
		b := sim.NewBench(c, tracer)
		b.Advance(4000)
		r, err := b.Result()
		require.NoError(t, err)
		return out.String(), r.Faults
	}
	without := 0
	rapid.Check(t, func(t *rapid.T) {
		ticks := func(from, to int, name string) time.Duration {
			return time.Duration(rapid.IntRange(from, to).Draw(t, name)) * 250 * time.Microsecond
		}
		faults := make([]sim.Fault, rapid.IntRange(1, 4).Draw(t, "faults"))
		for i := range faults {
			v := rapid.SampledFrom(values).Draw(t, "value")
			faults[i] = sim.Fault{At: at(2*time.Second/5 + ticks(0, 60, "at")), For: ticks(1, 40, "for"), Set: set(v[0], v[1])}
		}
		all, records := played(t, faults)
		var acting []sim.Fault
		for i, f := range records {
			if f.Acted {
				acting = append(acting, faults[i])
			} else {
				without++
				others, _ := played(t, slices.Delete(slices.Clone(faults), i, i+1))
				require.Equal(t, all, others, "fault %d: %s", i, f.Because)
			}
		}
		if len(records)-len(acting) > 1 {
			together, _ := played(t, acting)
			require.Equal(t, all, together, "all without effect")
		}
	})
	require.Positive(t, without)
}

// A fault that never begins says when it was due, and what ended the run before.
func TestFaultsThatNeverBegin(t *testing.T) {
	t.Parallel()
	const over = "the run is over at 8.248s, 500ms after its end in passed (pass)"
	for because, f := range map[string]sim.Fault{
		over:                                   {At: at(8 * time.Minute)},
		"locked_out is never entered: " + over: {When: &sim.Moment{State: "locked_out"}},
		"it is due at 10m7.748s, and " + over:  {When: &sim.Moment{State: "passed", After: 10 * time.Minute}},
		"it is due at 8.248s, and " + over:     {When: &sim.Moment{State: "passed", After: 500 * time.Millisecond}},
	} {
		f.Set = set("brake.condition", "0.35")
		r := faulted(t, nil, f)
		require.Equal(t, because, r.Faults[0].Because)
		require.Nil(t, r.Faults[0].BeganS)
		require.False(t, r.Met())
		require.Empty(t, r.WithoutEffect())
	}
	last := faulted(t, nil, sim.Fault{When: &sim.Moment{State: "passed", After: 499 * time.Millisecond}, Set: set("brake.condition", "0.35")})
	require.True(t, last.Faults[0].Acted)
}

// A run that comes to no end ends at its limit, and one without power once nothing moves.
func TestWhatEndsARunWithoutAnEnd(t *testing.T) {
	t.Parallel()
	never := sim.Fault{When: &sim.Moment{State: "locked_out"}, Set: set("brake.condition", "0.35")}
	r := faulted(t, nil, never, sim.Fault{At: at(0), Set: set("operator.trigger", "false")}, sim.Fault{At: at(500 * time.Millisecond), For: time.Minute, Set: set("operator.trigger", "false")})
	require.Equal(t, "locked_out is never entered: the run is over at 1m, its time limit", r.Faults[0].Because)
	r = faulted(t, nil, never, sim.Fault{At: at(time.Second), Set: set("operator.power_loss", "true")})
	require.Regexp(t, `^locked_out is never entered: the run is over at [0-9.]+s, as no controller runs and nothing moves$`, r.Faults[0].Because)
}
