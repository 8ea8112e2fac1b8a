package sequence

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// keeping is a sequence that measures the load at rest and uses it: in a setting, in a
// condition, and in a press.
const keeping = `sequence: s
start: wait
after_power_loss: wait
params: {margin: 1.3, tolerance_nm: 0.2}
states:
  wait:
    set: {drive: hold, brake: open, operation: allowed}
    go: [{to: measured, when: trigger}]
  measured:
    note: the load at rest, before the brake closes
    keep: {held_nm: torque_nm, need_nm: margin * held_nm, still: standstill}
    set: {press_torque_nm: need_nm}
    go:
      - {to: lost, when: abs(torque_nm - held_nm) > tolerance_nm}
      - {to: over, when: torque_nm >= need_nm and still}
      - {to: measured, when: cancel}
      - {to: lost, after: 8h}
  lost: {set: {alarm: the load has changed}}
  over: {}
ends: {lost: fail, over: pass}
`

func kept(t *testing.T, p *Program, in *Inputs, name string) string {
	t.Helper()
	for _, s := range p.About().Kept {
		if s.Name == name {
			return string(s.AppendInput(nil, in))
		}
	}
	require.Fail(t, "not kept", name)
	return ""
}

// A value is kept on entry, before the state sets anything, and does not follow its inputs.
// Values of one state are kept in their order, so that one can be made from another.
func TestKeepOnEntry(t *testing.T) {
	t.Parallel()
	require.Empty(t, vetted(document(t, keeping), nil))
	b := newBench(t, keeping)
	b.in = Inputs{TorqueNM: 3, Standstill: true}
	b.scan()
	assert.Equal(t, "0", kept(t, b.m.Program(), &b.in, "held_nm"), "not before a state keeps it")
	b.in.Trigger = true
	require.True(t, b.scan().OK)
	assert.InDelta(t, 1.3*3, b.out.PressTorqueNM, 1e-12, "the setting reads what was just kept")
	b.in.TorqueNM, b.in.Standstill = 3.1, false
	require.False(t, b.scan().OK, "within the tolerance of the kept load")
	assert.Equal(t, "3", kept(t, b.m.Program(), &b.in, "held_nm"))
	assert.Equal(t, "true", kept(t, b.m.Program(), &b.in, "still"))

	clone := b.m.Clone()
	b.in.Cancel = true
	require.Equal(t, "measured", b.scan().To, "entered again")
	assert.Equal(t, "3.1", kept(t, b.m.Program(), &b.in, "held_nm"))
	assert.Equal(t, "false", kept(t, b.m.Program(), &b.in, "still"))

	in, out := Inputs{TorqueNM: 2.7}, Outputs{}
	fired, err := clone.Scan(&in, &out)
	require.NoError(t, err)
	assert.Equal(t, "lost", fired.To, "2.7 differs from the 3 that the copy still holds by more than 0.2")
	assert.Equal(t, "3", kept(t, b.m.Program(), &in, "held_nm"), "a copy has a memory of its own")
}

// The memory is gone with the power.
func TestKeptValuesAreLostWithThePower(t *testing.T) {
	t.Parallel()
	b := newBench(t, keeping)
	b.in = Inputs{TorqueNM: 3, Trigger: true}
	b.scan()
	require.Equal(t, "3", kept(t, b.m.Program(), &b.in, "held_nm"))
	m := NewMachineAt(b.m.Program(), scan, b.m.Program().About().PowerUp)
	b.in.Trigger = false
	_, err := m.Scan(&b.in, &b.out)
	require.NoError(t, err)
	require.Equal(t, "0", kept(t, b.m.Program(), &b.in, "held_nm"), "whatever the image held before")
	b.in.ForgetKept()
	require.Equal(t, "false", kept(t, b.m.Program(), &b.in, "still"))
}

// A kept value is shown like a signal: with unit, kind and the states that keep it, beside its
// limit in a condition.
func TestKeptValuesAreSignals(t *testing.T) {
	b := newBench(t, keeping)
	signals := b.m.Program().About().Kept
	require.Len(t, signals, 3)
	assert.Equal(t, "N·m", signals[1].Unit.String())
	assert.Equal(t, []Kind{KindNumber, KindNumber, KindBoolean}, []Kind{signals[0].Kind, signals[1].Kind, signals[2].Kind})
	assert.Equal(t, "kept on entry of measured", signals[0].Note)
	b.in = Inputs{TorqueNM: 3, Trigger: true}
	b.scan()
	assert.Equal(t, "3.9 N·m", signals[1].InputText(&b.in))
	assert.InDelta(t, 3.9, signals[1].InputNumber(&b.in), 1e-12)
	term := b.m.Waiting()[1].Terms[0]
	assert.Equal(t, []string{"3 N·m", ">=", "3.9 N·m"}, []string{term.Left, term.Op, term.Right})
	*signals[1].in.number(&b.in) = 0.00005
	assert.Equal(t, "0.00005 N·m", signals[1].InputText(&b.in), "small, but no rounding")
	assert.Zero(t, testing.AllocsPerRun(100, func() { b.scan() }), "a scan that fires nothing allocates nothing")
}

// Counting how often a state was entered needs a first value.
func TestKeptCount(t *testing.T) {
	t.Parallel()
	text := `sequence: s
start: a
states:
  a: {keep: {tries: 0}, go: [{to: b, when: trigger}]}
  b: {keep: {tries: tries + 1}, go: [{to: b, when: tries < 3}, {to: c, when: tries >= 3}, {to: c, after: 1s}]}
  c: {}
ends: {c: stop}
`
	assert.Empty(t, vetted(document(t, text), nil))
	b := newBench(t, text)
	b.in.Trigger = true
	require.Equal(t, 1, b.scansUntil(10))
	require.Equal(t, "b", b.scan().To)
	require.Equal(t, "b", b.scan().To)
	require.Equal(t, "c", b.scan().To)
}

func TestKeepFindings(t *testing.T) {
	t.Parallel()
	const e, w = false, true
	at := func(rest string) string { return "$.states.measured." + rest }
	tests := []struct {
		name, from, to string
		warning        bool
		path, says     string
	}{
		{"unknown name", "held_nm: torque_nm", "held_nm: torqe_nm", e, at("keep.held_nm"), `"torque_nm"`},
		{"not kept anywhere", "- held_nm) >", "- hold_nm) >", e, at("go[0].when"), "hold_nm"},
		{"unit", "held_nm: torque_nm", "held_nm: position_mm", e, at("keep.held_nm"), "position_mm is in mm, held_nm is in N·m"},
		{"a word", "still: standstill", "still: judge_cause", e, at("keep.still"), "judge_cause is a word; a kept value must be a number, true or false"},
		{"another kind", "held_nm: torque_nm", "held_nm: standstill", e, at("keep.held_nm"), "standstill is a boolean, and held_nm is a number by its name"},
		{"an input", "still: standstill", "still: standstill, speed: 1", e, at("keep.speed"), "speed is the name of an input"},
		{"an output", "still: standstill", "still: standstill, torque_limit_nm: 1", e, at("keep.torque_limit_nm"), "is the name of an output"},
		{"a parameter", "still: standstill", "still: standstill, margin: 1", e, at("keep.margin"), "is the name of a parameter"},
		{"a function", "still: standstill", "still: standstill, max: 1", e, at("keep.max"), "is the name of a function"},
		{"no name", "still: standstill", "still: standstill, Held: 1", e, at("keep.Held"), "lower-case letters"},
		{"in a parameter", "margin: 1.3", "margin: 1.3 * held_nm / held_nm", e, "$.params.margin", "held_nm is kept during the run; a parameter is fixed before the run"},
		{"in a time", "when: cancel", "after: held_nm", e, at("go[2].after"), "held_nm is kept during the run; a duration is fixed before it"},
		{"as a count", "when: cancel", "when: cancel, times: held_nm", e, at("go[2].times"), `"held_nm" is not a count`},
		{"not used", "still: standstill", "still: standstill, spare_s: in_state_s", w, at("keep.spare_s"), "spare_s is kept and not used"},
		{"read before it is kept", "held_nm: torque_nm, need_nm: margin * held_nm", "need_nm: margin * held_nm, held_nm: torque_nm", w, at("keep.need_nm"),
			"held_nm is read in measured, and not on every path to it a state has kept it: there it is 0"},
		{"not kept on every path", "go: [{to: measured, when: trigger}]", "go: [{to: measured, when: trigger}, {to: other, when: cancel}]\n  other: {go: [{to: over, when: still}, {to: over, after: 1s}]}", w,
			"$.states.other.go[0].when", "still is read in other, and not on every path to it a state has kept it: there it is false"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			checkFinding(t, keeping, test.from, test.to, test.warning, test.path, test.says)
		})
	}
}

// More than the memory holds is refused.
func TestKeepTooMuch(t *testing.T) {
	t.Parallel()
	d := document(t, keeping)
	for _, c := range "abcdefghijklmno" {
		d.States[1].Keep = append(d.States[1].Keep, Keep{string(c) + "_nm", "torque_nm"})
	}
	_, err := d.Vet(nil)
	require.ErrorContains(t, err, "o_nm is one value too many; a sequence can keep 16 numbers and 16 booleans")
	require.NotContains(t, err.Error(), "n_nm is one")
}

// checkFinding breaks a sound document in one place and looks for the finding there.
func checkFinding(t *testing.T, text, from, to string, warning bool, path, says string) {
	t.Helper()
	require.Contains(t, text, from)
	d := document(t, strings.Replace(text, from, to, 1))
	found := vetted(d, nil)
	f := problemAt(found, path, says)
	require.NotNil(t, f, "%v", found)
	assert.Equal(t, warning, f.Warning)
	_, err := Compile(d, nil)
	assert.Equal(t, !warning, err != nil, "%v", err)
}
