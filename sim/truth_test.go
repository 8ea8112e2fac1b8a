package sim_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
)

// faulted runs the demo with faults of its own.
func faulted(t *testing.T, set map[string]string, faults ...sim.Fault) *sim.Result {
	t.Helper()
	base := load(t, demo, nil)
	s := base.Scenario
	s.Set, s.Faults = set, faults
	reference := document(t, "reference")
	c, warnings, err := sim.NewCase(s, base.Rig, *reference)
	require.NoError(t, err)
	require.Empty(t, warnings)
	r, err := sim.Run(c, nil)
	require.NoError(t, err)
	return r
}

// withSequence is a case of a scenario with another sequence and other values, and with more faults.
func withSequence(t *testing.T, scenario, text string, set map[string]string, faults ...sim.Fault) *sim.Case {
	t.Helper()
	base := load(t, scenario, nil)
	d, _, err := scenarios.ParseSequence("own.yaml", []byte(text))
	require.NoError(t, err)
	s := base.Scenario
	s.Lesson, s.Expect = nil, sim.Expect{} // of its own sequence
	s.Set, s.Faults = set, slices.Concat(s.Faults, faults)
	c, _, err := sim.NewCase(s, base.Rig, *d)
	require.NoError(t, err)
	return c
}

func ranWithSequence(t *testing.T, scenario, text string, set map[string]string, faults ...sim.Fault) *sim.Result {
	t.Helper()
	r, err := sim.Run(withSequence(t, scenario, text, set, faults...), nil)
	require.NoError(t, err)
	return r
}

func document(t *testing.T, name string) *sequence.Document {
	t.Helper()
	d, _, err := scenarios.LoadSequence(name)
	require.NoError(t, err)
	return d
}

func at(d time.Duration) *time.Duration { return &d }

// Of two faults that overlap on one value the newer counts while both are on, and when
// both are over the value is what it was without them.
func TestOverlappingFaultsLeaveNothingBehind(t *testing.T) {
	r := faulted(t, nil,
		sim.Fault{At: at(1000 * time.Millisecond), For: 500 * time.Millisecond, Set: map[string]string{"brake.condition": "0.35"}},
		sim.Fault{At: at(1200 * time.Millisecond), For: 600 * time.Millisecond, Set: map[string]string{"brake.condition": "0.5"}},
	)
	require.Equal(t, sim.SoundPass, r.Class)
	require.InDelta(t, 9, r.BrakeCapacityNM, 1e-9)
	r = faulted(t, nil,
		sim.Fault{At: at(3500 * time.Millisecond), For: 40 * time.Millisecond, Set: map[string]string{"link.down": "true"}},
		sim.Fault{At: at(3520 * time.Millisecond), For: 40 * time.Millisecond, Set: map[string]string{"link.down": "true"}},
	)
	require.Equal(t, "pass", r.End)
}

func TestFaultInTheFirstStateComes(t *testing.T) {
	r := faulted(t, nil, sim.Fault{When: &sim.Moment{State: "ready", After: 100 * time.Millisecond}, Set: map[string]string{"brake.condition": "0.35"}})
	require.Equal(t, sim.Caught, r.Class)
}

// A fault whose moment never comes is a test that tests nothing, and the suite says so.
func TestFaultThatNeverComesIsNotMet(t *testing.T) {
	r := faulted(t, nil, sim.Fault{When: &sim.Moment{State: "run_in_up"}, Set: map[string]string{"brake.condition": "0.35"}})
	require.False(t, r.Met())
	require.Contains(t, r.Expectations, sim.Expectation{Name: "faults", Want: "every fault begins", Got: "brake.condition = 0.35 on entry to run_in_up never began: run_in_up is never entered: the run is over at 8.248s, 500ms after its end in passed (pass)"})
}

// What changes nothing, or comes after the end, disturbs nothing.
func TestHarmlessFaultsDoNotExcuseAFalseAlarm(t *testing.T) {
	tight := map[string]string{"judge.window_deg": "0.02", "rig.encoder.noise_deg": "0.02"}
	r := faulted(t, tight, sim.Fault{At: at(time.Second), Set: map[string]string{"brake.condition": "1"}})
	require.Equal(t, sim.FalseAlarm, r.Class)
	r = faulted(t, tight, sim.Fault{At: at(time.Second), Set: map[string]string{"load.mass_kg": "181"}})
	require.Equal(t, sim.Refused, r.Class)
}

func TestFaultThatMakesAnImpossibleRigIsRefused(t *testing.T) {
	base := load(t, demo, nil)
	s := base.Scenario
	s.Faults = []sim.Fault{{At: at(time.Second), Set: map[string]string{"stops.low_mm": "900", "stops.high_mm": "100"}}}
	reference := document(t, "reference")
	_, _, err := sim.NewCase(s, base.Rig, *reference)
	require.Equal(t, problem.List{
		{Path: "faults[0].set", Message: "stops.high_mm is 100 mm; must be above stops.low_mm, which is 900 mm"},
		{Path: "faults[0].set", Message: "load.start_mm is 200 mm; must lie between the hard stops at 900 and 100 mm"},
	}, problem.Of(err))
}

// The first ask was proven; the second one was dropped, and the sequence passes on the
// proof of the first.
const twoAsks = `
sequence: two-asks
start: ready
params: {load_torque_nm: 2.81}
states:
  ready:
    go: [{to: clamp, when: trigger}]
  clamp:
    set: {brake: closed}
    go: [{to: press_once, when: brake_closed, for: 100ms}]
  press_once:
    set: {drive: press, press_torque_nm: -0.95, press_rate_nm_s: 20, required_current_a: -1.1}
    go: [{to: first, after: 500ms}]
  first:
    set: {ask: down}
    go: [{to: between, when: proof, after: 2s}]
  between:
    set: {ask: none}
    go: [{to: second, after: 200ms}]
  second:
    set: {ask: down}
    go: [{to: carry, after: 300ms}]
  carry:
    set: {ask: none, press_torque_nm: load_torque_nm}
    go: [{to: release, after: 1s}]
  release:
    set: {drive: hold, brake: open}
    go: [{to: passed, after: 300ms}]
  passed:
    set: {drive: hold}
ends: {passed: pass}
`

func TestProofOfAnEarlierAskIsNotFresh(t *testing.T) {
	r := ranWithSequence(t, demo, twoAsks, set("judge.directions", "down"))
	require.Equal(t, "pass", r.End)
	for _, o := range r.Obligations {
		require.Equal(t, o.Name != sim.FreshProof, o.Kept, "%s: %s", o.Name, o.Detail)
	}
	var asked int
	for _, e := range r.Events {
		if e.Type == sim.EventAsked {
			asked++
		}
	}
	require.Equal(t, 2, asked, "both asks are recorded, although the torque is there at once")
}

// Whether the load is supported is the plant's to say: a frozen encoder reads a load at
// rest that falls.
func TestLockedOutIsHeldAgainstThePlant(t *testing.T) {
	r := faulted(t, map[string]string{"sequence.support_position_mm": "400", "rig.stops.low_mm": "-50000"},
		sim.Fault{When: &sim.Moment{State: "locked_out"}, Set: map[string]string{"encoder.frozen": "true", "drive.tripped": "true", "brake.condition": "0.1"}},
		sim.Fault{When: &sim.Moment{State: "settle"}, Set: map[string]string{"brake.closes_to": "0.05"}},
	)
	require.Equal(t, "fail", r.End)
	require.Contains(t, brokenNames(r), sim.LockedOut)
}

func brokenNames(r *sim.Result) []string {
	var names []string
	for _, o := range r.Obligations {
		if !o.Kept {
			names = append(names, o.Name)
		}
	}
	return names
}

// A stop after the brake gave way must be as safe as a failure: this sequence stops with
// operation allowed.
const carelessStop = `
sequence: careless-stop
start: ready
states:
  ready:
    go: [{to: clamp, when: trigger}]
  clamp:
    set: {brake: closed}
    go: [{to: press_once, when: brake_closed, for: 100ms}]
  press_once:
    set: {drive: press, press_torque_nm: -0.95, press_rate_nm_s: 20}
    go: [{to: hold_on, when: speed < -20}]
  hold_on:
    set: {drive: hold}
    go: [{to: stopped, after: 300ms}]
  stopped:
    set: {operation: allowed}
ends: {stopped: stop}
`

func TestStopAfterASlipMustLockOut(t *testing.T) {
	r := ranWithSequence(t, "lining-worn-thin", carelessStop, set("judge.directions", "down"))
	require.Equal(t, "stop", r.End)
	require.Equal(t, "none", r.Verdict)
	require.Contains(t, brokenNames(r), sim.LockedOut)
}

func TestFaultAfterTheEndDisturbsNothing(t *testing.T) {
	tight := map[string]string{"judge.window_deg": "0.02", "rig.encoder.noise_deg": "0.02"}
	r := faulted(t, tight, sim.Fault{When: &sim.Moment{State: "locked_out", After: 100 * time.Millisecond}, Set: map[string]string{"load.mass_kg": "181"}})
	require.Equal(t, sim.FalseAlarm, r.Class)
}

// A fault that came between two tests is one of the second.
func TestFaultBetweenTwoTestsDisturbs(t *testing.T) {
	base := coarse(t, demo)
	for kg, class := range map[string]sim.Class{"181": sim.SoundPass, "240": sim.Refused} {
		s := base.Nominal().Scenario
		s.Expect, s.Lesson = sim.Expect{}, nil
		press := map[string]bool{"trigger": true}
		s.Script = []sim.Action{{At: time.Second / 2, For: time.Second, Set: press}, {At: 12 * time.Second, For: time.Second, Set: press}}
		s.Faults = []sim.Fault{{At: at(10 * time.Second), Set: map[string]string{"load.mass_kg": kg}}}
		c, _, err := base.With(s)
		require.NoError(t, err)
		r, err := sim.Run(c, nil)
		require.NoError(t, err)
		require.Equal(t, class, r.Class, "%s kg, cause %s", kg, r.Cause)
	}
}

// A load that has left the motor is not held, although no drop was seen since the test
// began.
func TestSeveredBeforeTheTestIsMissed(t *testing.T) {
	blind := map[string]string{"sequence.load_tolerance_nm": "100", "sequence.travel_torque_nm": "100"} // or the missing load is noticed
	r := faulted(t, blind, sim.Fault{When: &sim.Moment{}, Set: map[string]string{"transmission.severed": "true"}})
	require.Equal(t, "proven", r.Verdict)
	require.Equal(t, sim.Missed, r.Class)
}

func TestLockedOutSeesASeveredLoadFall(t *testing.T) {
	r := faulted(t, map[string]string{"judge.window_deg": "0.02", "rig.encoder.noise_deg": "0.02", "rig.stops.low_mm": "-5000"},
		sim.Fault{When: &sim.Moment{State: "locked_out"}, Set: map[string]string{"transmission.severed": "true"}})
	require.Contains(t, brokenNames(r), sim.LockedOut)
}
