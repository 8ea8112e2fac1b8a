package sim_test

import (
	"bytes"
	"io"
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
	var out bytes.Buffer
	b := traced(t, &out, load(t, demo, nil), faults)
	for b.Advance(4096) {
		continue
	}
	_, err := b.Result()
	require.NoError(t, err)
	return out.String()
}

// traced is a bench on which a case runs with these faults alone, and which writes every scan.
func traced(t require.TestingT, out io.Writer, base *sim.Case, faults []sim.Fault) *sim.Bench {
	s := base.Scenario
	s.Faults = faults
	c, _, err := base.With(s)
	require.NoError(t, err)
	tracer, err := sim.NewCSVTrace(out, c.Sequence)
	require.NoError(t, err)
	return sim.NewBench(c, tracer)
}

func set(name, text string) map[string]string { return map[string]string{name: text} }

// faultOf is a fault that sets values at a time for a while, 0 for good; names and texts take turns.
func faultOf(atTime, lasts time.Duration, values ...string) sim.Fault {
	f := sim.Fault{At: at(atTime), For: lasts, Set: map[string]string{}}
	for pair := range slices.Chunk(values, 2) {
		f.Set[pair[0]] = pair[1]
	}
	return f
}

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
	type record struct {
		fault   sim.Fault
		because string // empty where it acts
	}
	for name, records := range map[string][]record{
		"ValueAsItIs":           {{faultOf(1000*ms, 0, "brake.condition", "1.0"), "brake.condition is 1 already"}},
		"ValuesAsTheyAre":       {{faultOf(1000*ms, 0, "brake.condition", "1", "link.down", "false"), "brake.condition, link.down are so already"}},
		"BetweenTwoSafetyScans": {{faultOf(3329*ms, 7*ms, "link.down", "true"), "it lasts 7ms, and no scan that reads link.down falls into that time"}}, // they come every 8 ms
		"OverOneSafetyScan":     {{faultOf(3327*ms, 2*ms, "link.ask_held", "true"), ""}},
		"ButtonBetweenTwoScans": {{faultOf(1001*ms, ms, "operator.cancel", "true"), "it lasts 1ms, and no scan that reads operator.cancel falls into that time"}}, // they come every 2 ms
		"ButtonOverOneScan":     {{faultOf(1001*ms, 2*ms, "operator.cancel", "true"), ""}},
		"ScanLeftOut":           {{faultOf(1001*ms, ms/4, "controller.missed_scan", "true"), ""}},
		"ScanLate":              {{faultOf(1001*ms, 2*ms, "controller.late_scan", "5ms"), ""}},
		"LateBetweenTwoScans":   {{faultOf(1001*ms, ms, "controller.late_scan", "5ms"), "it lasts 1ms, and no scan that reads controller.late_scan falls into that time"}},
		"OneTickOfThePlant":     {{faultOf(1001*ms, ms/4, "load.mass_kg", "300"), ""}},
		"OverriddenAtOnce": {
			{faultOf(1000*ms, 500*ms, "load.mass_kg", "190"), "another fault sets load.mass_kg at the same moment"},
			{faultOf(1000*ms, 500*ms, "load.mass_kg", "180"), ""},
		},
		"OverriddenForItsTime": {
			{faultOf(1000*ms, 100*ms, "load.mass_kg", "181"), "another fault sets load.mass_kg at the same moment"},
			{faultOf(1000*ms, 200*ms, "load.mass_kg", "182"), ""},
		},
		"OverriddenForAWhile": {
			{faultOf(1000*ms, 500*ms, "load.mass_kg", "181"), ""},
			{faultOf(1000*ms, 200*ms, "load.mass_kg", "182"), ""},
		},
		"LastsLonger": {
			{faultOf(1000*ms, 500*ms, "load.mass_kg", "181"), ""},
			{faultOf(1200*ms, 0, "load.mass_kg", "181"), ""},
		},
		"WithinAnother": {
			{faultOf(1000*ms, 500*ms, "load.mass_kg", "181"), ""},
			{faultOf(1200*ms, 100*ms, "load.mass_kg", "181"), "load.mass_kg is 181 already"},
		},
		"TheSameTwice": {
			{faultOf(1000*ms, 0, "encoder.frozen", "true"), ""},
			{faultOf(1000*ms, 0, "encoder.frozen", "true"), "encoder.frozen is true already"},
		},
		"TheSameThreeTimes": {
			{faultOf(1000*ms, 100*ms, "link.down", "true"), ""},
			{faultOf(1000*ms, 100*ms, "link.down", "true"), "link.down is true already"},
			{faultOf(1000*ms, 100*ms, "link.down", "true"), "link.down is true already"},
		},
		"TheSameForLonger": {
			{faultOf(1000*ms, 100*ms, "load.mass_kg", "181"), "another fault sets load.mass_kg at the same moment"},
			{faultOf(1000*ms, 300*ms, "load.mass_kg", "181"), ""},
			{faultOf(1000*ms, 200*ms, "load.mass_kg", "181"), "load.mass_kg is 181 already"},
		},
		"TheSameOneAfterTheOther": { // the first ends, and two are left
			{faultOf(1000*ms, 200*ms, "load.mass_kg", "181"), ""},
			{faultOf(1100*ms, 300*ms, "load.mass_kg", "181"), ""},
			{faultOf(1150*ms, 250*ms, "load.mass_kg", "181"), "load.mass_kg is 181 already"},
		},
		"BridgedByOthers": {
			{faultOf(1000*ms, 200*ms, "load.mass_kg", "181"), ""},
			{faultOf(1100*ms, 200*ms, "load.mass_kg", "181"), "load.mass_kg is 181 already, and later other faults set it"},
			{faultOf(1150*ms, 350*ms, "load.mass_kg", "181"), ""},
		},
		"TheSameWithinAScan": { // the first one alone is read by none
			{faultOf(1001*ms, 10*ms, "link.down", "true"), ""},
			{faultOf(1002*ms, 9*ms, "link.down", "true"), "link.down is true already"},
		},
		"TheSameReadByNone": {
			{faultOf(3329*ms, 7*ms, "link.down", "true"), "another fault sets link.down at the same moment"},
			{faultOf(3329*ms, 7*ms, "link.down", "true"), "link.down is true already"},
		},
		"OneSetsMore": {
			{faultOf(1000*ms, 0, "load.mass_kg", "181"), "another fault sets load.mass_kg at the same moment"},
			{faultOf(1000*ms, 0, "load.mass_kg", "181", "brake.condition", "0.9"), ""},
			{faultOf(1000*ms, 0, "brake.condition", "0.9"), "brake.condition is 0.9 already"},
		},
		"EachForItsOwnReason": {
			{faultOf(1000*ms, 0, "brake.condition", "0.35", "load.mass_kg", "180"), "another fault sets brake.condition at the same moment; load.mass_kg is 180 already"},
			{faultOf(1000*ms, 0, "brake.condition", "0.5"), ""},
		},
		"OneReadByNoneAndOneAsItIs": {
			{faultOf(3329*ms, 7*ms, "brake.condition", "1", "link.down", "true"), "brake.condition is 1 already; it lasts 7ms, and no scan that reads link.down falls into that time"},
		},
		"OverriddenBeforeAScan": {
			{faultOf(3329*ms, 0, "link.down", "true"), "another fault sets link.down before a scan reads it"},
			{faultOf(3331*ms, 0, "link.down", "false"), "another fault sets link.down at the same moment"},
			{faultOf(3331*ms, 0, "link.down", "true"), ""},
		},
		"EndsAnother": { // with the value that there is without faults
			{faultOf(1000*ms, 0, "load.mass_kg", "181"), ""},
			{faultOf(1500*ms, 0, "load.mass_kg", "180"), ""},
		},
		"EndsTwoAtTheSameMoment": {
			{faultOf(1000*ms, 0, "load.mass_kg", "181"), ""},
			{faultOf(1000*ms, 0, "load.mass_kg", "181"), "load.mass_kg is 181 already"},
			{faultOf(1500*ms, 0, "load.mass_kg", "180"), ""},
			{faultOf(1500*ms, 0, "load.mass_kg", "180"), "load.mass_kg is 180 already"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var faults []sim.Fault
			for _, r := range records {
				faults = append(faults, r.fault)
			}
			for i, f := range effects(t, faults) {
				require.Equal(t, records[i].because, f.Because)
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
	var script []sim.Action // of the operator, whose presses may come while a fault holds the button
	played := func(t *rapid.T, faults []sim.Fault) (string, []sim.FaultRecord) {
		pressed := *base
		pressed.Scenario.Script = script
		var out bytes.Buffer
		b := traced(t, &out, &pressed, faults)
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
		script = []sim.Action{{At: 500 * time.Millisecond, Set: map[string]bool{"trigger": true}}}
		for range rapid.IntRange(0, 2).Draw(t, "presses") {
			button := rapid.SampledFrom([]string{"cancel", "trigger", "setup_mode"}).Draw(t, "button")
			script = append(script, sim.Action{At: 2*time.Second/5 + ticks(0, 80, "press"), For: ticks(0, 40, "pressed for"), Set: map[string]bool{button: rapid.Bool().Draw(t, "on")}})
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
		"it is due at 10m7.7s, and " + over:    {When: &sim.Moment{State: "passed", After: 10 * time.Minute}},
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
