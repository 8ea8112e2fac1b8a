package sequence

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestReferenceVet(t *testing.T) {
	t.Parallel()
	assert.Empty(t, vetted(document(t, string(Reference())), nil))
}

// hooks are changes by the state on whose entry they happen.
type hooks map[string]func(*fake)

// walkCase is one path through the reference: what fails, in which state, and the
// required end.
type walkCase struct {
	name      string
	values    Values
	poweredUp bool // begins after a loss of power
	before    func(*fake)
	at        hooks // what happens on entry of a state
	end       string
	cause     string
	drive     DriveMode // how it ends
	off       bool      // it ends with the drive off
	brake     BrakeCommand
}

const (
	hold   = DriveHold
	closed = BrakeClosed
)

func referenceWalks() []walkCase {
	both := Values{"coupled": "true"}
	repeat := Values{"run_in_times": "1"}
	onSupport := Values{"support": "true"}
	fails := func(causes ...string) func(*fake) {
		return func(f *fake) { f.verdicts = causes }
	}
	walks := []walkCase{
		{name: "pass"},
		{name: "pass down only", values: Values{"test_up": "false"}, before: func(f *fake) { f.oneDirection = true }},
		{name: "half a test gives no proof", values: Values{"test_up": "false"}, cause: "no-proof"},
		{name: "pass with a partner", values: both},
		{name: "something in the way", before: func(f *fake) { f.wall = 300 }, cause: "excessive-travel-torque"},
		{name: "current frozen", values: Values{"current_noise": "true"}, at: hooks{"press_up": func(f *fake) { f.freezes = true }}, cause: "current-frozen", off: true},
		{name: "encoder jumps under the closed brake", at: hooks{"transfer_load": func(f *fake) { f.in.PositionMM += 1.7 }}, cause: "position-jumped", off: true},
		{name: "encoder slips a little under the closed brake", at: hooks{"hold_position": func(f *fake) { f.in.PositionMM += 0.3 }}, cause: "slipped"},
		{name: "load becomes heavier in the check", at: hooks{"check_motion": func(f *fake) { f.load = 5 }}, cause: "load-deviation"},
		{name: "axis does not follow in the check", at: hooks{"check_motion": func(f *fake) { f.blocked = true }}, cause: "not-settled"},
		{name: "proof does not run down", at: hooks{"check_motion": func(f *fake) { f.in.ProofLeftS = 40000 }}, cause: "no-proof"},
		{name: "set down", values: onSupport, before: func(f *fake) { f.verdicts, f.support = []string{CauseMoved}, 15 }, cause: CauseMoved, off: true},
		{name: "support missing", values: onSupport, before: fails(CauseMoved), cause: CauseMoved},
		{name: "guard opens", at: hooks{"press_down": func(f *fake) { f.in.GuardClosed = false }}, end: "stopped", cause: "guard-open", drive: DriveMove, brake: BrakeOpen},
		{name: "setup mode in travel", at: hooks{"travel": func(f *fake) { f.in.SetupMode = true }}, end: "stopped", cause: "guard-open", drive: DriveMove, brake: BrakeOpen},
		{name: "drive not ready", before: func(f *fake) { f.in.DriveReady = false }, cause: "drive-lost", off: true},
		{name: "load drops at the start", at: hooks{"permissives": func(f *fake) { f.drops = true }}, cause: "load-drop"},
		{name: "load drops while decoupling", at: hooks{"decouple": func(f *fake) { f.drops = true }}, cause: "load-drop"},
		{name: "load drops in the travel up", at: hooks{"travel": func(f *fake) { f.drops = true }}, cause: "load-drop"},
		{name: "load drops at the test position", at: hooks{"settle": func(f *fake) { f.drops = true }}, cause: "load-drop"},
		{name: "load drops as the brake opens", at: hooks{"open_brake": func(f *fake) { f.drops = true }}, cause: "load-drop"},
		{name: "load drops as the failed brake opens", before: fails(CauseMoved), at: hooks{"recover_open": func(f *fake) { f.drops = true }}, cause: CauseMoved},
		{name: "load runs on the way to the support", before: fails(CauseMoved), at: hooks{"move_to_support": func(f *fake) { f.drops = true }}, cause: CauseMoved},
		{name: "moves with too much torque", at: hooks{"travel": func(f *fake) { f.load = 4 }}, cause: "excessive-travel-torque"},
		{name: "pushes and does not move", at: hooks{"travel": func(f *fake) { f.load, f.blocked = 4, true }}, cause: "excessive-travel-torque"},
		{name: "pushes on the way to the support", before: fails(CauseMoved), at: hooks{"move_to_support": func(f *fake) { f.load, f.blocked = 4, true }}, cause: CauseMoved},
		{name: "support with too much torque", before: fails(CauseMoved), at: hooks{"move_to_support": func(f *fake) { f.load = 4 }}, cause: CauseMoved},
		{name: "load too heavy at rest", at: hooks{"settle": func(f *fake) { f.load = 3.3 }}, cause: "load-deviation"},
		{name: "load too light at rest", at: hooks{"settle": func(f *fake) { f.load = 2.3 }}, cause: "load-deviation"},
		{name: "load too light once the brake is open", at: hooks{"open_brake": func(f *fake) { f.lighter = true }}, cause: "load-deviation"},
		{name: "drive pulls at the closed brake", at: hooks{"close_brake": func(f *fake) { f.pulls = true }}, cause: "position-drifts"},
		{name: "brake shut at the start", before: func(f *fake) { f.stuckShut = true }, cause: "brake-not-open"},
		{name: "partner stays", values: both, before: func(f *fake) { f.tied = true }, cause: "not-decoupled"},
		{name: "partner away at the start", values: both, before: func(f *fake) { f.in.PartnerCoupled, f.tied = false, true }, cause: "not-coupled"},
		{name: "axis blocked", at: hooks{"travel": func(f *fake) { f.blocked = true }}, cause: "not-at-test-position"},
		{name: "axis restless", at: hooks{"travel": func(f *fake) { f.restless = true }}, cause: "not-at-test-position"},
		{name: "not settled", at: hooks{"settle": func(f *fake) { f.restless = true }}, cause: "not-settled"},
		{name: "brake shuts while travelling", at: hooks{"travel": func(f *fake) { f.stuckShut = true }}, cause: "brake-not-open"},
		{name: "brake does not close", at: hooks{"close_brake": func(f *fake) { f.stuckOpen = true }}, cause: "brake-not-closed", drive: hold},
		{name: "slips at once", at: hooks{"press_down": func(f *fake) { f.slip = 0.1 }}, cause: "slipped"},
		{name: "slips slowly", at: hooks{"press_down": func(f *fake) { f.slip = 0.004 }}, cause: "slipped"},
		{name: "drive too weak", at: hooks{"press_down": func(f *fake) { f.maxTorque = 0.5 }}, cause: "torque-not-reached"},
		{name: "drive too weak up", before: func(f *fake) { f.maxTorque = 5 }, cause: "torque-not-reached"},
		{name: "brake opens under the press", at: hooks{"press_down": func(f *fake) { f.stuckOpen = true }}, cause: "brake-opened", drive: hold},
		{name: "no answer", before: func(f *fake) { f.judgeMute = true }, cause: "no-answer"},
		{name: "fails without being busy", at: hooks{"verdict_down": func(f *fake) {
			f.judgeMute, f.in.JudgeFailed, f.in.JudgeCause, f.in.TestCount = true, true, CausePositionLost, 1
		}}, cause: CausePositionLost},
		{name: "no verdict", before: func(f *fake) { f.noProof = true }, cause: "no-verdict"},
		{name: "stale proof", before: func(f *fake) { f.noProof, f.in.ProofLeftS = true, 28790 }, cause: "no-verdict"},
		{name: "old proof up", at: hooks{"verdict_up": func(f *fake) { f.noProof = true }}, cause: "no-verdict"},
		{name: "verdict late", before: func(f *fake) { f.judgeSlow = true }, cause: "verdict-late"},
		{name: "no torque", before: fails(CauseNoTorque), cause: CauseNoTorque},
		{name: "moved", before: fails(CauseMoved), cause: CauseMoved},
		{name: "no dwell", before: fails(CauseNoDwell), cause: CauseNoDwell},
		{name: "moved up", before: fails("", CauseMoved), cause: CauseMoved},
		{name: "position lost up", before: fails("", CausePositionLost), cause: CausePositionLost},
		{name: "run in and pass", values: repeat, before: fails(CauseMoved)},
		{name: "run in and fail", values: repeat, before: fails(CauseMoved, CauseMoved), cause: CauseMoved},
		{name: "run in slips off", values: repeat, before: fails(CauseMoved), at: hooks{"run_in_down": func(f *fake) { f.in.PositionMM -= 9 }}, cause: CauseMoved},
		{name: "word of the cause lost", before: fails(CauseMoved), at: hooks{"arrest_load": func(f *fake) { f.in.JudgeCause = "" }}, cause: CauseMoved},
		{name: "load not carried", at: hooks{"transfer_load": func(f *fake) { f.maxTorque = 2 }}, cause: "load-not-carried"},
		{name: "load lost in the hand-over", at: hooks{"hold_position": func(f *fake) { f.in.TorqueNM = 1 }}, cause: "load-not-carried"},
		{name: "brake does not open", at: hooks{"open_brake": func(f *fake) { f.stuckShut = true }}, cause: "brake-not-open"},
		{name: "brake opens neither on failure", before: fails(CauseMoved), at: hooks{"recover_open": func(f *fake) { f.stuckShut = true }}, cause: CauseMoved},
		{name: "partner does not return", values: both, at: hooks{"recouple": func(f *fake) { f.tied = true }}, cause: "not-recoupled"},
		{name: "drive fault", at: hooks{"verdict_down": func(f *fake) { f.in.DriveFault = true }}, cause: "drive-fault", off: true},
		{name: "drive fault before the start", before: func(f *fake) { f.in.DriveFault = true }, cause: "drive-fault", off: true},
		{name: "drive lost", at: hooks{"verdict_up": func(f *fake) { f.in.DriveOn = false }}, cause: "drive-lost", off: true},
		{name: "stopped by the judge", at: hooks{"verdict_up": func(f *fake) {
			f.overTorque, f.in.JudgeFailed, f.in.JudgeCause, f.judgeMute = true, true, CauseOverTorque, true
		}}, cause: CauseOverTorque, off: true},
		{name: "stopped by the judge at once", at: hooks{"verdict_up": func(f *fake) {
			f.in.SafeStop, f.overTorque, f.stopFor = true, true, 8
			f.in.JudgeFailed, f.in.JudgeCause, f.judgeMute = true, CauseOverTorque, true
		}}, cause: CauseOverTorque, off: true},
		{name: "estop while travelling", at: hooks{"travel": pressesStop}, end: "stopped", cause: "estop", off: true},
		{name: "estop, released and reset", at: hooks{"travel": func(f *fake) { f.in.Estop, f.resetAfter = true, 1000 }}, end: "stopped", cause: "estop", off: true},
		{name: "estop under the press", at: hooks{"verdict_down": pressesStop}, end: "stopped", cause: "estop", off: true},
		{name: "estop as the brake opens", at: hooks{"open_brake": pressesStop}, end: "stopped", cause: "estop", off: true},
		{name: "estop and the drive is lost", at: hooks{"travel": pressesStop, "stop_axis": func(f *fake) { f.in.DriveOn = false }}, end: "stopped", cause: "estop", off: true},
		{name: "estop in travel and the load drops", at: hooks{"travel": pressesStop, "stop_axis": func(f *fake) { f.drops, f.in.TorqueNM, f.load = true, 1, 1 }}, end: "stopped", cause: "estop", off: true},
		{name: "estop and never at rest", at: hooks{"travel": pressesStop, "stop_axis": func(f *fake) { f.restless, f.stuckOpen = true, true }, "stop_close": func(f *fake) { f.stuckOpen = false }}, cause: "not-settled", off: true},
		{name: "estop and the brake does not close", at: hooks{"travel": func(f *fake) { f.in.Estop, f.stuckOpen = true, true }}, cause: "brake-not-closed", off: true},
		{name: "estop and the brake does not hold", at: hooks{"travel": pressesStop, "stop_close": func(f *fake) { f.slides = true }}, cause: "slipped", off: true},
		{name: "estop and the brake slips", at: hooks{"settle": pressesStop, "stopped": func(f *fake) { f.restless = true }}, cause: "slipped", off: true},
		{name: "estop and the brake has slipped", at: hooks{"verdict_down": pressesStop, "stop_close": func(f *fake) { f.in.PositionMM -= 0.1 }}, cause: "slipped", off: true},
		{name: "estop and the torque stays", at: hooks{"verdict_down": func(f *fake) { f.in.Estop, f.stays = true, true }}, cause: "torque-not-off", off: true},
		{name: "estop in travel and the torque stays", at: hooks{"travel": func(f *fake) { f.in.Estop, f.stays = true, true }}, cause: "torque-not-off", off: true},
		{name: "estop under the press, never at rest", at: hooks{"verdict_down": func(f *fake) { f.in.Estop, f.restless = true, true }}, cause: "not-settled", off: true},
		{name: "estop and the switch opens", at: hooks{"verdict_down": pressesStop, "stop_close": func(f *fake) { f.stuckOpen = true }}, cause: "brake-not-closed", off: true},
		{name: "estop and the brake opens", at: hooks{"verdict_down": pressesStop, "stopped": func(f *fake) { f.stuckOpen = true }}, cause: "brake-opened", off: true},
		{name: "estop and a late verdict", at: hooks{"verdict_down": pressesStop, "stopped": func(f *fake) { f.in.JudgeFailed, f.in.JudgeCause = true, CauseBrakeOpen }}, cause: CauseBrakeOpen, off: true},
		{name: "estop after a failure", before: fails(CauseMoved), at: hooks{"move_to_support": pressesStop}, cause: CauseMoved, off: true},
		{name: "estop after a failure, never at rest", before: fails(CauseMoved), at: hooks{"move_to_support": pressesStop, "stop_axis": func(f *fake) { f.restless, f.stuckOpen = true, true }}, cause: CauseMoved, off: true},
		{name: "estop after a failure and the load drops", before: fails(CauseMoved), at: hooks{"move_to_support": pressesStop, "stop_axis": func(f *fake) { f.drops, f.load = true, 1 }}, cause: CauseMoved, off: true},
		{name: "estop in doubt", before: fails(CauseMoved), at: hooks{"arrest_load": pressesStop}, cause: CauseMoved, off: true},
		{name: "support not reached", before: fails(CauseMoved), at: hooks{"move_to_support": func(f *fake) { f.blocked = true }}, cause: CauseMoved},
		{name: "cancel while travelling", at: hooks{"travel": func(f *fake) { f.in.Cancel = true }}, end: "stopped", cause: "cancelled", drive: DriveMove, brake: BrakeOpen},
		{name: "cancel under the press", before: func(f *fake) { f.in.ProofLeftS = 3600 }, at: hooks{"press_up": func(f *fake) { f.in.Cancel = true }}, end: "cancelled", cause: "cancelled", drive: hold, brake: BrakeOpen},
		{name: "cancel after half a test", at: hooks{"press_up": func(f *fake) { f.in.Cancel = true }}, end: "stopped", cause: "cancelled", drive: DriveMove, brake: BrakeOpen},
		{name: "cancel with a partner", values: both, at: hooks{"verdict_down": func(f *fake) { f.in.Cancel = true }}, end: "stopped", cause: "cancelled", drive: DriveMove, brake: BrakeOpen},
		{name: "cancel and the brake does not open", at: hooks{"verdict_down": func(f *fake) { f.in.Cancel = true }, "open_brake": func(f *fake) { f.stuckShut = true }}, cause: "brake-not-open"},
		{name: "cancel after a failure", before: fails(CauseMoved), at: hooks{"arrest_load": func(f *fake) { f.in.Cancel = true }}, cause: CauseMoved},
		{name: "power back", poweredUp: true, end: "stopped", cause: "power-lost", drive: DrivePress, brake: closed},
		{name: "power back under an estop", poweredUp: true, before: func(f *fake) { f.in.Estop, f.in.SafeStop, f.in.DriveOn, f.stopFor = true, true, false, 500 }, end: "stopped", cause: "power-lost", off: true},
		{name: "power back and the drive stays away", poweredUp: true, before: func(f *fake) { f.in.DriveOn = false }, cause: "drive-not-ready"},
		{name: "power back and the brake is open", poweredUp: true, before: func(f *fake) { f.stuckOpen = true }, cause: "brake-not-closed"},
		{name: "power back and the axis moves", poweredUp: true, before: func(f *fake) { f.restless = true }, cause: "not-settled"},
		{name: "power back and the drive is faulty", poweredUp: true, before: func(f *fake) { f.in.DriveFault = true }, cause: "drive-fault", off: true},
	}
	for i := range walks {
		walks[i].complete()
	}
	return walks
}

// complete fills in what most walks have in common: no cause is a pass with all
// restored, a cause is a lockout with the load carried by torque, unless another drive is given,
// and brake closed.
func (w *walkCase) complete() {
	switch {
	case w.cause == "":
		w.end, w.drive, w.brake = "passed", hold, BrakeOpen
	case w.end == "":
		w.end, w.brake = "locked_out", closed
		if w.drive == DriveOff {
			w.drive = DrivePress
		}
	case w.off:
		w.brake = closed
	}
	if w.off {
		w.drive = DriveOff
	}
}

// pressesStop presses the emergency stop.
func pressesStop(f *fake) { f.in.Estop = true }

// walkThrough runs the reference against the fake until it ends.
func walkThrough(t *testing.T, d Document, w walkCase) (*Machine, *fake, []string) {
	t.Helper()
	p, err := Compile(d, w.values)
	require.NoError(t, err)
	f, m := newFake(), NewMachine(p, scan)
	if w.poweredUp {
		m = NewMachineAt(p, scan, p.About().PowerUp)
		f.in.BrakeClosed, f.in.TorqueNM, f.was = true, 0, PowerUpOutputs()
	}
	if w.before != nil {
		w.before(f)
	}
	visited := []string{m.State()}
	out, left := DefaultOutputs(), 0
	for n := range 60_000 {
		f.in.Trigger = n == 50
		fired, err := m.Scan(&f.in, &out)
		require.NoError(t, err)
		if fired.OK {
			visited = append(visited, fired.To)
		}
		change := w.at[m.State()]
		if _, ended := m.Ended(); ended && (change == nil || !fired.OK && n > left) {
			return m, f, visited
		}
		if fired.OK && change != nil {
			change(f)
			left = n + 400 // in an end that something happens in
		}
		f.step(out, p.States()[m.StateIndex()].SlipsBrake)
	}
	require.Fail(t, "no end", "%v", visited)
	return m, f, visited
}

func TestReferenceWalks(t *testing.T) {
	t.Parallel()
	d := document(t, string(Reference()))
	for _, w := range referenceWalks() {
		t.Run(w.name, func(t *testing.T) {
			t.Parallel()
			m, f, visited := walkThrough(t, d, w)
			out := m.Outputs()
			assert.Equal(t, w.end, m.State(), "%v", visited)
			assert.Equal(t, w.cause, m.Cause(), "%v", visited)
			assert.Equal(t, w.drive, out.Drive)
			assert.Equal(t, w.brake, out.Brake)
			assert.Empty(t, f.violations, "%v", visited)
			assert.Equal(t, AskNone, out.Ask)
			allowed := w.end == "passed" || w.end == "cancelled"
			assert.Equal(t, allowed, out.Operation == OperationAllowed)
			assert.Equal(t, allowed, out.Alarm == "")
			if w.end == "passed" {
				assert.Equal(t, DefaultOutputs(), out, "all is restored")
			}
		})
	}
}

// The walks together visit every state and name every cause of the reference.
func TestReferenceWalksAll(t *testing.T) {
	t.Parallel()
	d := document(t, string(Reference()))
	visited, causes := map[string]bool{}, map[string]bool{}
	for _, w := range referenceWalks() {
		_, _, states := walkThrough(t, d, w)
		for _, s := range states {
			visited[s] = true
		}
		causes[w.cause] = true
	}
	for _, s := range d.States {
		assert.True(t, visited[s.Name], "no walk visits %s", s.Name)
		for _, edge := range slices.Concat(s.Go, d.Any) {
			if edge.Cause != causeOfJudge {
				assert.True(t, edge.Cause == "" || causes[string(edge.Cause)], "no walk ends with %s", edge.Cause)
			}
		}
	}
}

// A clone continues exactly like its original from any scan.
func TestCloneGoesOnAlike(t *testing.T) {
	t.Parallel()
	p := program(t, string(Reference()))
	for _, at := range []int{0, 1, 700, 1500, 2300, 3000} {
		f, m, out := newFake(), NewMachine(p, scan), DefaultOutputs()
		var copied *Machine
		for n := range 12_000 {
			if n == at {
				copied = m.Clone()
			}
			f.in.Trigger = n == 50
			in, outCopied := f.in, out
			fired, err := m.Scan(&f.in, &out)
			require.NoError(t, err)
			if copied != nil {
				firedCopied, err := copied.Scan(&in, &outCopied)
				require.NoError(t, err)
				require.Equal(t, fired, firedCopied)
				require.Equal(t, out, outCopied)
				require.Equal(t, m.Waiting(), copied.Waiting())
			}
			f.step(out, false)
		}
		require.Equal(t, "passed", copied.State())
	}
}

// The two do not share counts.
func TestCloneIsApart(t *testing.T) {
	t.Parallel()
	b := newBench(t, `
sequence: s
start: a
states: {a: {go: [{to: a, when: trigger, times: 1}, {to: b, when: cancel}]}, b: {}}
ends: {b: pass}
`)
	b.scan()
	c := b.m.Clone()
	b.in.Trigger = true
	require.True(t, b.scan().OK)
	require.False(t, b.scan().OK)
	fired, err := c.Scan(&b.in, &b.out)
	require.NoError(t, err)
	assert.True(t, fired.OK, "the clone has its own firing left")
}
