package sim_test

import (
	"maps"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sim"
)

// scanTimes keeps when scans came, and the last image.
type scanTimes struct {
	at  []float64
	out sequence.Outputs
}

func (r *scanTimes) Row(row *sim.Row) error {
	r.at, r.out = append(r.at, row.TS), *row.Out
	return nil
}

// A controller that its watchdog has stopped is one without power: the axis is off and closed, and
// nothing but power starts it again. The safety side runs on.
func TestOverrunStopsTheController(t *testing.T) {
	t.Parallel()
	var seen scanTimes
	b := sim.NewBench(load(t, demo, nil), &seen)
	ticked(b, 8000)
	require.NotEqual(t, sequence.PowerUpOutputs(), seen.out)
	require.NoError(t, b.Inject(sim.Fault{Set: map[string]string{"controller.overrun": "true"}}))
	ticked(b, 8400)
	assert.Equal(t, sequence.PowerUpOutputs(), seen.out)
	assert.True(t, b.View().Halted)
	assert.False(t, b.View().Unpowered, "the safety side has its power")
	require.NoError(t, b.SetButton("power_loss", true))
	ticked(b, 8800)
	require.NoError(t, b.SetButton("power_loss", false))
	ticked(b, 8900)
	assert.False(t, b.View().Halted)
	assert.Equal(t, "power_up", b.Case().Sequence.States[b.StateIndex()].Name)
}

// Nothing is broken by the watchdog itself, apart from what a load may do when the drive goes off.
func TestOverrunIsNoRunWithoutEnd(t *testing.T) {
	t.Parallel()
	s := load(t, demo, nil).Scenario
	s.Faults = []sim.Fault{{At: new(time.Duration), Set: map[string]string{"controller.overrun": "true"}}}
	c, _, err := load(t, demo, nil).With(s)
	require.NoError(t, err)
	r, err := sim.Run(c, nil)
	require.NoError(t, err)
	assert.Equal(t, "none", r.End)
	assert.Empty(t, r.Broken())
	assert.False(t, r.Released)
	assert.Nil(t, r.ControllerStopped, "it did not stop by itself")
}

// Scans that are left out take nothing from the clock of the controller: what it waits for in time
// comes with the first scan afterwards.
func TestMissedScansDoNotStopTheClock(t *testing.T) {
	t.Parallel()
	longest := func(r *sim.Result, state string) time.Duration {
		for _, v := range r.Visits {
			if v.State == state {
				return v.Stay
			}
		}
		return 0
	}
	plain := run(t, demo, nil)
	s := load(t, demo, nil).Scenario
	s.Faults = []sim.Fault{{When: &sim.Moment{State: "settle", After: 60 * time.Millisecond}, For: 40 * time.Millisecond, Set: map[string]string{"controller.missed_scan": "true"}}}
	c, _, err := load(t, demo, nil).With(s)
	require.NoError(t, err)
	missed, err := sim.Run(c, nil)
	require.NoError(t, err)
	assert.Equal(t, plain.End, missed.End)
	assert.Equal(t, longest(plain, "settle"), longest(missed, "settle"), "a state that waits for longer than the scans were left out")
}

// A late scan comes late, and the ones that it sleeps through do not come.
func TestLateScans(t *testing.T) {
	t.Parallel()
	for late, want := range map[string][]float64{ // functional scan 2 ms
		"1ms": {0.001, 0.003, 0.005, 0.007},
		"5ms": {0.005, 0.011, 0.017, 0.023}, // due at 0, 6, 12, 18 ms
	} {
		var seen scanTimes
		b := sim.NewBench(load(t, demo, nil), &seen)
		require.NoError(t, b.Inject(sim.Fault{Set: map[string]string{"controller.late_scan": late}}))
		ticked(b, 100)
		assert.InDeltaSlice(t, want, seen.at[:4], 1e-9, late)
	}
	b := sim.NewBench(load(t, demo, nil), nil)
	require.ErrorContains(t, b.Inject(sim.Fault{Set: map[string]string{"controller.late_scan": "2s"}}), "from 0s to 1s")
}

// Of a fault that is shorter than a scan time one scan is left out, wherever it begins: of the scans
// that are due at 0, 2, 4 ms it is the next one.
func TestOneScanIsLeftOut(t *testing.T) {
	t.Parallel()
	for at, want := range map[time.Duration][]float64{
		0:                      {0, 0, 0.004, 0.006}, // the row of a scan that is left out has the old image
		250 * time.Microsecond: {0, 0, 0.004, 0.006},
		2 * time.Millisecond:   {0, 0, 0.004, 0.006},
		3 * time.Millisecond:   {0, 0.002, 0.002, 0.006},
	} {
		var seen clocks
		b := sim.NewBench(load(t, demo, nil), &seen)
		ticked(b, 1) // the first scan is done
		require.NoError(t, b.Inject(sim.Fault{At: new(max(at, 250*time.Microsecond)), For: 250 * time.Microsecond, Set: map[string]string{"controller.missed_scan": "true"}}))
		ticked(b, 32)
		assert.InDeltaSlice(t, want, seen.at, 1e-9, "%v", at)
	}
}

// clocks keeps the time that each image of the inputs is of.
type clocks struct{ at []float64 }

func (r *clocks) Row(row *sim.Row) error {
	r.at = append(r.at, row.In.Clock.Seconds())
	return nil
}

// After its controller has stopped a sequence can do nothing more: what it owes then is not broken by
// it, and what it has broken until then stays broken. What the load does is truth. The class of a run
// that has ended is not that of the fault that comes then.
func TestWhatIsJudgedOnceTheControllerHasStopped(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		way, in string // of a sequence that is clumsy
		after   time.Duration
		set     map[string]string
		end     string
		class   sim.Class
		broken  []string
	}{
		"in the middle of a state":           {way: "4", in: "wait", after: time.Second, end: "none", class: sim.Refused},
		"with a torque insufficient":         {way: "7", in: "close_first", after: 90 * time.Millisecond, set: map[string]string{"brake.condition": "0.36"}, end: "none", class: sim.Caught},
		"with a brake that does not hold":    {way: "4", in: "wait", after: time.Second, set: map[string]string{"brake.condition": "0.1"}, end: "none", class: sim.Caught, broken: []string{sim.NoDrop}},
		"after a pass that left a limit":     {way: "3", in: "passed", after: 100 * time.Millisecond, end: "pass", class: sim.FalseAlarm, broken: []string{sim.FreshProof, sim.Restored}},
		"after a failure that let it go on":  {way: "6", in: "failed", after: 100 * time.Millisecond, end: "fail", class: sim.FalseAlarm, broken: []string{sim.LockedOut}},
		"after a failure that inhibited":     {way: "5", in: "failed", after: 100 * time.Millisecond, end: "fail", class: sim.FalseAlarm, broken: []string{sim.BelowCeiling}},
		"after a failure with a weak brake":  {way: "5", in: "failed", after: 100 * time.Millisecond, set: map[string]string{"brake.condition": "0.1"}, end: "fail", class: sim.Caught, broken: []string{sim.NoDrop, sim.BelowCeiling, sim.LockedOut}},
		"ahead of the outputs of the ending": {way: "6", in: "left_open", after: 50 * time.Millisecond, end: "none", class: sim.Refused},
	} {
		set := map[string]string{"controller.overrun": "true"}
		maps.Copy(set, c.set)
		r := runClumsy(t, c.way, sim.Fault{When: &sim.Moment{State: c.in, After: c.after}, Set: set})
		assert.Equal(t, c.end, r.End, name)
		assert.Equal(t, c.class, r.Class, name)
		assert.Equal(t, c.broken, r.Broken(), name)
		assert.Equal(t, "inhibited", r.Operation, name)
	}
}

// The reference has restored everything when it passes.
func TestOverrunAfterThePass(t *testing.T) {
	t.Parallel()
	r := faulted(t, nil, sim.Fault{When: &sim.Moment{State: "passed", After: 100 * time.Millisecond}, Set: map[string]string{"controller.overrun": "true"}})
	assert.Equal(t, "pass", r.End)
	assert.Equal(t, sim.SoundPass, r.Class)
	assert.Empty(t, r.Broken())
}

// A run whose controller has stopped is over some seconds after the last that can change, and says the
// same as at its time limit.
func TestARunWithoutControllerEndsOnceNothingChanges(t *testing.T) {
	t.Parallel()
	stop := map[string]string{"controller.overrun": "true"}
	at := func(when time.Duration, lasts time.Duration, set map[string]string) sim.Fault {
		return sim.Fault{At: &when, For: lasts, Set: set}
	}
	for name, c := range map[string]struct {
		faults   []sim.Fault
		from, to float64 // s, within which the run is over
	}{
		"at rest":                    {[]sim.Fault{at(3*time.Second, 0, stop)}, 6, 8},
		"power lost for good":        {[]sim.Fault{at(3*time.Second, 0, map[string]string{"operator.power_loss": "true"})}, 6, 8},
		"a fault comes later":        {[]sim.Fault{at(3*time.Second, 0, stop), at(12*time.Second, 0, map[string]string{"brake.condition": "0.1"})}, 15, 18},
		"a fault ends later":         {[]sim.Fault{at(3*time.Second, 0, stop), at(4*time.Second, 8*time.Second, map[string]string{"encoder.frozen": "true"})}, 15, 17},
		"a state that never comes":   {[]sim.Fault{at(3*time.Second, 0, stop), {When: &sim.Moment{State: "passed"}, Set: map[string]string{"brake.condition": "0.1"}}}, 6, 8},
		"the load creeps":            {[]sim.Fault{at(3*time.Second, 0, stop), at(0, 0, map[string]string{"brake.creep_deg_per_s": "1"})}, 60, 60},
		"the proof lapses meanwhile": {[]sim.Fault{at(3*time.Second, 0, stop), at(4*time.Second, 0, map[string]string{"judge.proof_left": "20s"})}, 27, 30},
	} {
		r := faulted(t, nil, c.faults...)
		assert.Equal(t, "none", r.End, name)
		assert.GreaterOrEqual(t, r.DurationS, c.from, name)
		assert.LessOrEqual(t, r.DurationS, c.to, name)
		assert.NotContains(t, r.Broken(), sim.Bounded, name)
	}
	back := faulted(t, nil, at(3*time.Second, 0, stop), at(20*time.Second, 300*time.Millisecond, map[string]string{"operator.power_loss": "true"}))
	assert.Equal(t, "stop", back.End, "the controller starts again, and the sequence ends")
	assert.Greater(t, back.DurationS, 20.0)
}
