package sequence

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestScanOrder(t *testing.T) {
	t.Parallel()
	b := newBench(t, `
sequence: s
start: a
states:
  a:
    go:
      - {to: b, when: trigger}
      - {to: c, when: trigger or cancel}
  b: {go: [{to: c, when: trigger}]}
  c: {go: [{to: a, when: proof}]}
  d: {}
any:
  - {to: d, when: estop, cause: estop}
ends: {d: stop}
`)
	require.False(t, b.scan().OK)
	b.in.Trigger = true
	fired := b.scan()
	assert.Equal(t, "a", fired.From)
	assert.Equal(t, "b", fired.To, "the first of the state's transitions")
	assert.Equal(t, "a/0", fired.Event)
	assert.Equal(t, "c", b.scan().To, "one transition a scan")
	b.in.Proof, b.in.Estop = true, true
	fired = b.scan()
	assert.Equal(t, "d", fired.To, "any goes before the state's own")
	assert.Equal(t, "estop", fired.Cause)
	end, ended := b.m.Ended()
	assert.True(t, ended)
	assert.Equal(t, EndStop, end)
	assert.False(t, b.scan().OK, "an end stays")
	assert.Equal(t, "estop", b.m.Cause())
	assert.Empty(t, b.m.Waiting())
}

// The first scan enters the start state and is time zero; in_state_s counts from
// the scan that fired.
func TestScanFirst(t *testing.T) {
	t.Parallel()
	b := newBench(t, `
sequence: s
start: a
states:
  a: {set: {target_mm: position_mm}, go: [{to: b, after: 4ms}]}
  b: {set: {alarm: there}, go: [{to: a, when: trigger}]}
`)
	b.in.PositionMM, b.out.Ask = 7, AskUp
	assert.False(t, b.scan().OK)
	assert.Equal(t, Outputs{Drive: DriveHold, TargetMM: 7}, b.out, "defaults, then the start's settings")
	assert.Zero(t, b.in.InStateS)
	assert.False(t, b.scan().OK)
	assert.InDelta(t, 0.002, b.in.InStateS, 1e-12)
	assert.True(t, b.scan().OK)
	assert.Zero(t, b.m.InState())
	assert.Equal(t, "there", b.out.Alarm)
	b.scan()
	assert.Equal(t, scan, b.m.InState())
}

func TestScanTimes(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name, edge string
		scans      int
	}{
		{"at once", "{to: b}", 1},
		{"condition", "{to: b, when: trigger}", 1},
		{"held zero", "{to: b, when: trigger, for: 0s}", 1},
		{"held", "{to: b, when: trigger, for: 10ms}", 6},
		{"held, rounded up", "{to: b, when: trigger, for: 9ms}", 6},
		{"after", "{to: b, after: 10ms}", 6},
		{"after and condition", "{to: b, when: trigger, after: 10ms}", 6},
		{"held within after", "{to: b, when: trigger, for: 6ms, after: 10ms}", 6},
		{"after within held", "{to: b, when: trigger, for: 10ms, after: 6ms}", 6},
		{"by parameter", "{to: b, after: wait_s}", 11},
		{"never", "{to: b, times: none}", 0},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			b := newBench(t, `
sequence: s
start: a
params: {wait_s: 0.02, none: 0}
states: {a: {go: [`+test.edge+`]}, b: {}}
ends: {b: pass}
`)
			b.in.Trigger = true
			assert.Equal(t, test.scans, b.scansUntil(50))
		})
	}
}

func TestScanHeldWithoutBreak(t *testing.T) {
	t.Parallel()
	b := newBench(t, `
sequence: s
start: a
states: {a: {go: [{to: b, when: trigger, for: 10ms}]}, b: {}}
ends: {b: pass}
`)
	b.in.Trigger = true
	require.Zero(t, b.scansUntil(5))
	b.in.Trigger = false
	b.scan()
	b.in.Trigger = true
	assert.Equal(t, 6, b.scansUntil(20))
}

// A condition under any is held across states, one of a state is not.
func TestScanHeldAcrossStates(t *testing.T) {
	t.Parallel()
	b := newBench(t, `
sequence: s
start: a
states:
  a: {go: [{to: b, after: 6ms}]}
  b: {go: [{to: a, when: trigger, for: 20ms}]}
  c: {}
any: [{to: c, when: trigger, for: 10ms}]
ends: {c: stop}
`)
	b.in.Trigger = true
	assert.Equal(t, 4, b.scansUntil(20))
	assert.Equal(t, 2, b.scansUntil(20))
	assert.Equal(t, "c", b.m.State())
}

func TestScanOptOut(t *testing.T) {
	t.Parallel()
	b := newBench(t, `
sequence: s
start: a
states:
  a: {go: [{to: b, when: trigger}], opt_out: [c]}
  b: {go: [{to: a, when: proof}]}
  c: {}
any: [{to: c, when: estop}]
ends: {c: stop}
`)
	b.in.Estop = true
	require.False(t, b.scan().OK)
	b.in.Trigger = true
	require.Equal(t, "b", b.scan().To)
	assert.Equal(t, "c", b.scan().To)
}

func TestScanSelfLoop(t *testing.T) {
	t.Parallel()
	b := newBench(t, `
sequence: s
start: a
states:
  a:
    set: {target_mm: position_mm}
    go:
      - {to: a, when: trigger, times: 2}
      - {to: b, after: 10ms}
  b: {}
ends: {b: pass}
`)
	b.scan()
	b.in.Trigger, b.in.PositionMM = true, 5
	fired := b.scan()
	assert.True(t, fired.OK)
	assert.Equal(t, fired.FromIndex, fired.ToIndex)
	assert.InDelta(t, 5, b.out.TargetMM, 0, "the settings are made again")
	assert.True(t, b.scan().OK)
	assert.Equal(t, 5, b.scansUntil(20), "twice at most, and the time starts anew")
	assert.Equal(t, "b", b.m.State())
}

func TestScanCause(t *testing.T) {
	t.Parallel()
	b := newBench(t, `
sequence: s
start: a
states:
  a: {go: [{to: b, when: judge_failed, cause: judge_cause}]}
  b: {go: [{to: c, when: trigger}]}
  c: {go: [{to: d, when: cancel, cause: cancelled}]}
  d: {go: [{to: a, when: proof}]}
`)
	b.in.JudgeFailed, b.in.JudgeCause = true, CauseMoved
	assert.Empty(t, b.m.Cause())
	assert.Equal(t, CauseMoved, b.scan().Cause)
	b.in.Trigger = true
	assert.Empty(t, b.scan().Cause)
	assert.Equal(t, CauseMoved, b.m.Cause(), "a transition without a cause leaves it")
	b.in.Cancel = true
	b.scan()
	assert.Equal(t, "cancelled", b.m.Cause())
}

func TestScanSetHolds(t *testing.T) {
	t.Parallel()
	b := newBench(t, `
sequence: s
start: a
params: {load_nm: 2}
states:
  a: {go: [{to: b, when: trigger}]}
  b: {set: {drive: press, press_torque_nm: load_nm + torque_nm, ask: up, decouple: brake_closed, brake: closed}, go: [{to: c, when: proof}]}
  c: {set: {operation: inhibited}, go: [{to: a, when: cancel}]}
`)
	b.in = Inputs{Trigger: true, TorqueNM: 1, BrakeClosed: true}
	b.scan()
	b.in.TorqueNM, b.in.BrakeClosed, b.in.Proof = 9, false, true
	b.scan()
	want := Outputs{Drive: DrivePress, PressTorqueNM: 3, Ask: AskUp, Decouple: true, Brake: BrakeClosed, Operation: OperationInhibited}
	assert.Equal(t, want, b.out)
	b.out = Outputs{}
	b.scan()
	assert.Equal(t, want, b.out, "the image is written whole in every scan")
	assert.Equal(t, want, b.m.Outputs())
}

func TestWaiting(t *testing.T) {
	t.Parallel()
	b := newBench(t, `
sequence: s
start: a
states:
  a: {go: [{to: b, when: trigger, for: 10ms, times: 3}, {to: b, after: 20ms, cause: late}]}
  b: {}
any: [{to: b, when: estop}]
ends: {b: pass}
`)
	b.in.Trigger = true
	b.scan()
	b.scan()
	want := []Condition{
		{Event: "any/0", To: "b", Text: "estop", Terms: []Term{{Text: "estop"}}, TimesLeft: -1, Any: true},
		{
			Event: "a/0", To: "b", Text: "trigger", Met: true, Terms: []Term{{Text: "trigger", Met: true}},
			For: 10 * time.Millisecond, ForLeft: 8 * time.Millisecond, TimesLeft: 3,
		},
		{Event: "a/1", To: "b", Met: true, After: 20 * time.Millisecond, AfterLeft: 18 * time.Millisecond, TimesLeft: -1, Cause: "late"},
	}
	assert.Equal(t, want, b.m.Waiting())
}

func TestScanAllocatesNothing(t *testing.T) {
	b := newBench(t, string(Reference()))
	b.in.DriveOn = true
	b.scan()
	assert.Zero(t, testing.AllocsPerRun(1000, func() { b.scan() }))
}

func TestProgramQueries(t *testing.T) {
	t.Parallel()
	p := program(t, string(Reference()))
	assert.Equal(t, "reference", p.About().Name)
	assert.Equal(t, "ready", p.About().States[p.About().Start].Name)
	assert.Equal(t, EndFail, p.About().End("locked_out"))
	assert.Equal(t, EndNone, p.About().End("travel"))
	assert.Equal(t, EndNone, p.About().End("nowhere"))
	i, ok := p.About().StateIndex("travel")
	require.True(t, ok)
	assert.Equal(t, "travel", p.States()[i].Name)
	down, ok := p.About().Param("required_down_a")
	require.True(t, ok)
	assert.InDelta(t, -1.074*(0.84+0.12)/1.1*1.4142135623730951, down.Number, 1e-12)
	assert.Equal(t, "A", down.Unit.String())
	_, ok = p.About().Param("nothing")
	assert.False(t, ok)
}

func BenchmarkScan(b *testing.B) {
	run := newBench(b, string(Reference()))
	run.in.DriveOn = true
	run.scan()
	b.ReportAllocs()
	for b.Loop() {
		_, _ = run.m.Scan(&run.in, &run.out)
	}
}

func BenchmarkNewMachine(b *testing.B) {
	p := program(b, string(Reference()))
	for b.Loop() {
		NewMachine(p, scan)
	}
}

// The first cause of a failure is kept: a transition under any sets a cause only if there is
// none yet. A state's own transition always sets its cause.
func TestFirstCauseStands(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		first, second, want string
	}{
		"any after own":       {"moved", "any-word", "moved"},
		"any without own":     {"", "any-word", "any-word"},
		"own without another": {"", "own-word", "own-word"},
		"own after another":   {"moved", "own-word", "own-word"},
	} {
		own, anyCause := c.second, ""
		if c.second == "any-word" {
			own, anyCause = "", c.second
		}
		b := newBench(t, `
sequence: s
start: a
states:
  a: {go: [{to: b, when: trigger, cause: "`+c.first+`"}], opt_out: [c]}
  b: {go: [{to: d, when: cancel, cause: "`+own+`"}]}
  c: {}
  d: {}
any: [{to: c, when: estop, cause: "`+anyCause+`"}]
ends: {c: fail, d: stop}
`)
		b.in.Trigger = true
		require.True(t, b.scan().OK)
		b.in.Cancel, b.in.Estop = own != "", own == ""
		require.True(t, b.scan().OK, name)
		assert.Equal(t, c.want, b.m.Cause(), name)
	}
}
