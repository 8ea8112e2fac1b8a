package sim_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/safety"
)

// row is a copy of a row of a trace.
type row struct {
	state string
	in    sequence.Inputs
	out   sequence.Outputs
	truth plant.State
}

// rows keep a trace.
type rows []row

func (r *rows) Row(x *sim.Row) error {
	*r = append(*r, row{x.State, *x.In, *x.Out, *x.Truth})
	return nil
}

// runUntilEvent ticks until an event that says something has come.
func runUntilEvent(t *testing.T, b *sim.Bench, says string) *sim.Bench {
	t.Helper()
	seen := len(b.Events())
	for b.Tick() {
		for _, e := range b.Events()[seen:] {
			if strings.Contains(e.What, says) {
				return b
			}
		}
		seen = len(b.Events())
	}
	require.Fail(t, "it never comes", "%q in a run that ended in %s", says, b.Case().Sequence.States[b.StateIndex()].Name)
	return nil
}

// countText counts the events whose text contains some words.
func countText(events []sim.Event, says string) (count int) {
	for _, e := range events {
		if strings.Contains(e.What, says) {
			count++
		}
	}
	return count
}

// count counts the events of a type.
func count(events []sim.Event, of sim.EventType) (n int) {
	for _, e := range events {
		if e.Type == of {
			n++
		}
	}
	return n
}

// losePower takes the power away, keeps the trace of what follows, and gives the power back
// after some ticks.
func losePower(t *testing.T, b *sim.Bench, ticks int64) *rows {
	t.Helper()
	kept := new(rows)
	b.Trace(kept)
	require.NoError(t, b.SetButton("power_loss", true))
	ticked(b, b.Ticks()+ticks)
	require.NoError(t, b.SetButton("power_loss", false))
	return kept
}

// caseOf makes a case of the demo's rig and a sequence of its own.
func caseOf(t *testing.T, text string) *sim.Case {
	t.Helper()
	return withSequence(t, demo, text, set("judge.directions", "down"))
}

// What came of a run that has ended stands, whatever becomes of the power: a pass is not
// taken back, and nothing starts anew.
func TestPowerLostAfterTheEnd(t *testing.T) {
	b := runUntilEvent(t, sim.NewBench(load(t, demo, nil), nil), "check_motion → passed")
	before := b.View()
	losePower(t, b, 400)
	finished(t, b)
	r, err := b.Result()
	require.NoError(t, err)
	assert.Equal(t, "pass", r.End)
	assert.Equal(t, "passed", r.EndedIn)
	assert.Equal(t, "proven", r.Verdict)
	assert.Equal(t, sim.SoundPass, r.Class)
	assert.Empty(t, brokenNames(r))
	after := b.View()
	assert.Equal(t, before.Out, after.Out)
	assert.Equal(t, before.Judge.Verdict.Proof, after.Judge.Verdict.Proof)
	assert.True(t, after.Unpowered, "one that has ended does not start anew")
	assert.False(t, after.In.DriveOn, "and its drive has no power")
}

// After a loss of power there is no proof, from before the test or of it, and no check goes on
// that was asked for before. Signals that were on their way are gone.
func TestPowerLossForgetsProofAndAsk(t *testing.T) {
	for _, k := range []struct {
		name, until string
		busy        bool
	}{
		{"in the travel", "decouple → travel", false},
		{"asked", "asked", true},
		{"verdict on its way", "proven for", false},
		{"proof seen", "verdict_down → withdraw_ask", false},
	} {
		for _, delay := range []string{"1", "8"} {
			t.Run(k.name+", delay "+delay, func(t *testing.T) {
				c := load(t, demo, map[string]string{"judge.proof_left": "4h", "rig.clock.link_delay_scans": delay})
				b := runUntilEvent(t, sim.NewBench(c, nil), k.until)
				before := b.View()
				require.Equal(t, k.busy, before.Judge.Verdict.Busy)
				require.True(t, before.Judge.Verdict.Proof || k.busy)
				seen := len(b.Events())
				kept := losePower(t, b, 4000)
				unpowered := b.View()
				assert.Equal(t, keptVerdict(before), unpowered.Judge.Verdict)
				assert.Zero(t, unpowered.Judge.Received)
				finished(t, b)
				for i, r := range *kept {
					require.False(t, r.in.Proof || r.in.JudgeBusy || r.in.JudgeFailed, "scan %d after the loss", i)
					require.Zero(t, r.in.ProofLeftS)
				}
				after := b.View()
				assert.Equal(t, keptVerdict(before), after.Judge.Verdict)
				assert.Equal(t, keptVerdict(before), after.Judge.Received)
				lost := b.Events()[seen:]
				assert.Zero(t, count(lost, sim.EventAsked), "an ask from before the loss is none")
				checks := map[bool]int{true: 1}[k.busy]
				assert.Equal(t, checks, count(lost, sim.EventCheckLost), "recorded if there was one")
				r, err := b.Result()
				require.NoError(t, err)
				assert.Equal(t, "none", r.Verdict, "a proof of before the loss is none")
				assert.Equal(t, "stop", r.End)
			})
		}
	}
}

// keptVerdict is what a loss of power leaves of a verdict without a failure: the counter.
func keptVerdict(before *sim.View) safety.Verdict {
	return safety.Verdict{TestCount: before.Judge.Verdict.TestCount, ProofDue: true}
}

// That a brake failed stays known: the loss of power heals nothing.
func TestPowerLossKeepsAFailure(t *testing.T) {
	b := runUntilEvent(t, sim.NewBench(load(t, "lining-worn-thin", nil), nil), "failed: moved")
	losePower(t, b, 400)
	finished(t, b)
	r, err := b.Result()
	require.NoError(t, err)
	require.Equal(t, "failed", r.Verdict)
	require.Equal(t, sim.Caught, r.Class)
}

// Without power the drive is off and the brake closes, whatever the sequence had
// commanded; the sensors are still read for the trace.
func TestRowsWithoutPower(t *testing.T) {
	b := runUntilEvent(t, sim.NewBench(load(t, demo, nil), nil), "decouple → travel")
	ticked(b, b.Ticks()+4000) // at speed
	from := b.View().In.PositionMM
	kept := *losePower(t, b, 4000)
	require.Len(t, kept, 500, "a row a scan, as ever")
	for i, r := range kept {
		require.Equal(t, "travel", r.state)
		require.Equal(t, sequence.PowerUpOutputs(), r.out, "scan %d", i)
		require.Equal(t, sequence.AskNone, r.out.Ask)
		require.False(t, r.in.Proof)
		require.Zero(t, r.in.InStateS, "nothing counts the time")
		require.False(t, r.in.DriveOn && i > 0, "scan %d: the drive has no power", i)
	}
	last := kept[len(kept)-1]
	assert.Equal(t, 1.0, last.truth.Engagement, "the brake has closed")
	assert.True(t, last.in.BrakeClosed)
	assert.InDelta(t, 0, last.truth.MotorTorqueNM, 1e-6)
	assert.True(t, last.in.Standstill)
	assert.Greater(t, last.in.PositionMM, from+1, "it ran on until the brake bit, and the encoder says so")
	assert.NotEqual(t, kept[0].in.PositionMM, kept[1].in.PositionMM)
}

// The drive does not wait for a scan to lose its torque.
func TestPowerLossBetweenScans(t *testing.T) {
	for ticks := int64(8000); ticks < 8008; ticks++ {
		b := ticked(sim.NewBench(load(t, demo, nil), nil), ticks)
		losePower(t, b, 10)
		for _, e := range b.Events() {
			if e.Type == sim.EventDriveTorqueOff {
				require.InDelta(t, float64(ticks)*250e-6, e.TS, 1e-9)
			}
		}
		require.Equal(t, 1, count(b.Events(), sim.EventDriveTorqueOff))
	}
}

// A fault can wait for the state in which the controller comes up.
func TestFaultWaitsForThePowerToComeBack(t *testing.T) {
	b := runUntilEvent(t, sim.NewBench(load(t, demo, nil), nil), "press_down → verdict_down")
	require.NoError(t, b.Inject(sim.Fault{When: &sim.Moment{State: "power_up", After: 10 * time.Millisecond}, Set: map[string]string{"brake.feedback_signal": "open"}}))
	losePower(t, b, 2000)
	back := float64(b.Ticks()) * 250e-6
	finished(t, b)
	r, err := b.Result()
	require.NoError(t, err)
	require.Equal(t, 1, countText(r.Events, "verdict_down → power_up (power returned)"))
	for _, e := range r.Events {
		if e.Kind == sim.KindFault {
			require.InDelta(t, back+0.010, e.TS, 1e-9)
		}
	}
	require.Equal(t, 1, countText(r.Events, "brake.feedback_signal = open"))
	require.Equal(t, "brake-not-closed", r.Cause, "the controller wakes to a brake that does not say that it is closed")
}

// Power that is lost and returns is no reset: the drive stays off, and the axis ends as stopped.
func TestPowerLossKeepsTheStop(t *testing.T) {
	b := runUntilEvent(t, sim.NewBench(load(t, demo, map[string]string{"judge.ceiling_nm": "4"}), nil), "failed: over-torque")
	require.Equal(t, "SS1", b.View().Judge.Stop)
	require.Contains(t, b.Case().Sequence.States[b.StateIndex()].Name, "_up", "only the pressing up is so strong")
	kept := losePower(t, b, 2000)
	require.Equal(t, "STO", b.View().Judge.Stop)
	require.False(t, b.View().Judge.Latched)
	finished(t, b)
	last := (*kept)[len(*kept)-1]
	require.Equal(t, "locked_out", last.state, "the failure stands as well")
	require.True(t, last.in.SafeStop && last.in.ResetNeeded)
	require.False(t, last.in.DriveOn)
}

// The first state means to travel against the closed brake. The one after the loss does
// not, and must not profit from it.
const rubs = `
sequence: rubs
start: rub
after_power_loss: back
states:
  rub:
    set: {brake: closed, operation: inhibited, drive: move, target_mm: 210, torque_limit_nm: 4}
    go: [{to: stopped, after: 5s}]
    slips_brake: true
  back:
    set: {drive: move, target_mm: 210, torque_limit_nm: 4}
    go: [{to: stopped, after: 1s}]
  stopped:
    set: {drive: hold}
ends: {stopped: stop}
`

func TestTravelAgainstTheBrakeAfterAPowerLoss(t *testing.T) {
	c := caseOf(t, rubs)
	b := ticked(sim.NewBench(c, nil), 4000)
	losePower(t, b, 2000)
	finished(t, b)
	r, err := b.Result()
	require.NoError(t, err)
	require.Equal(t, "stopped", r.EndedIn)
	require.Contains(t, brokenNames(r), sim.NoFight)
	for _, o := range r.Obligations {
		if o.Name == sim.NoFight {
			require.Contains(t, o.Detail, "first in state back", "where it was meant it is none")
		}
	}
}

// This sequence passes as soon as it has a proof, and comes up where it waits for one
// without asking.
const waitsForProof = `
sequence: waits-for-proof
start: ready
after_power_loss: wait
params: {load_torque_nm: 2.81}
states:
  ready:
    go: [{to: clamp, when: trigger}]
  clamp:
    set: {brake: closed, operation: inhibited}
    go: [{to: press_once, when: brake_closed, for: 100ms}]
  press_once:
    set: {drive: press, press_torque_nm: -0.95, press_rate_nm_s: 20, required_current_a: -1.1}
    go: [{to: asked_once, after: 500ms}]
  asked_once:
    set: {ask: down}
    go: [{to: carry, when: proof and not judge_busy, after: 2s}]
  carry:
    set: {ask: none, press_torque_nm: load_torque_nm}
    go: [{to: release, after: 1s}]
  wait:
    set: {drive: hold, press_torque_nm: load_torque_nm, press_rate_nm_s: 20}
    go: [{to: release, CONDITION}, {to: stopped, after: 2s}]
  release:
    set: {drive: hold, brake: open, ask: none}
    go: [{to: passed, after: 300ms}]
  passed:
    set: {drive: hold, operation: allowed}
  stopped:
    set: {ask: none}
ends: {passed: pass, stopped: stop}
`

// Without a new ask there is nothing to pass on after a loss; and a sequence that passes
// all the same does so without a fresh proof, although this run has seen one.
func TestNoPassOnAProofOfBeforeThePowerLoss(t *testing.T) {
	for _, k := range []struct {
		condition, end string
		broken         bool
	}{
		{"when: proof", "stop", false},
		{"after: 1s", "pass", true},
	} {
		for _, lost := range []bool{false, true} {
			c := caseOf(t, strings.Replace(waitsForProof, "CONDITION", k.condition, 1))
			b := runUntilEvent(t, sim.NewBench(c, nil), "asked_once → carry")
			if lost {
				losePower(t, b, 2000)
			}
			finished(t, b)
			r, err := b.Result()
			require.NoError(t, err)
			if !lost {
				require.Equal(t, "pass", r.End, "with its power, it passes")
				require.NotContains(t, brokenNames(r), sim.FreshProof)
				continue
			}
			require.Equal(t, k.end, r.End, k.condition)
			require.Equal(t, "none", r.Verdict)
			require.Equal(t, k.broken, strings.Contains(strings.Join(brokenNames(r), " "), sim.FreshProof), "%s: %v", k.condition, brokenNames(r))
		}
	}
}
