package sequence

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// After a loss of power a run begins in the state that the document names, without
// counts and causes and with outputs that keep the axis at rest.
func TestMachineAfterPowerLoss(t *testing.T) {
	t.Parallel()
	p := program(t, `
sequence: s
start: a
after_power_loss: b
states:
  a: {set: {brake: open, ask: down}, go: [{to: b, when: trigger}]}
  b: {set: {alarm: back again, drive: hold}, go: [{to: z, when: proof, for: 4ms, times: 1, cause: back}]}
  z: {}
any: [{to: a, when: estop, for: 4ms}]
ends: {z: stop}
`)
	assert.Equal(t, 1, p.About().PowerUp)
	m := NewMachineAt(p, scan, p.About().PowerUp)
	assert.Equal(t, "b", m.State())
	assert.Equal(t, PowerUpOutputs(), m.Outputs())
	in, out := Inputs{Proof: true}, DefaultOutputs()
	fired, err := m.Scan(&in, &out)
	require.NoError(t, err)
	assert.False(t, fired.OK)
	assert.Equal(t, Outputs{Drive: DriveHold, Brake: BrakeClosed, Operation: OperationInhibited, Alarm: "back again"}, out)
	assert.Equal(t, 4*time.Millisecond, m.Waiting()[1].ForLeft, "it holds for the first scan, which is time zero")
	copied := m.Clone()
	for range 2 {
		fired, err = m.Scan(&in, &out)
		require.NoError(t, err)
	}
	assert.Equal(t, "z", fired.To)
	assert.Equal(t, "back", m.Cause())
	assert.Equal(t, "b", copied.State())
	assert.Empty(t, copied.Cause())
}

func TestPowerUpOutputs(t *testing.T) {
	t.Parallel()
	want := map[string]string{"drive": "off", "brake": "closed", "brake_2": "closed", "operation": "inhibited", "decouple": "false", "ask": "none", "alarm": ""}
	out := PowerUpOutputs()
	for _, s := range OutputSignals() {
		value, named := want[s.Name]
		if !named {
			value = "0"
		}
		assert.Equal(t, value, string(s.AppendOutput(nil, &out)), s.Name)
	}
}

func TestAfterPowerLossDefault(t *testing.T) {
	t.Parallel()
	p := program(t, "{sequence: s, start: b, states: {a: {}, b: {go: [{to: a}]}}, ends: {a: pass}}")
	assert.Equal(t, 1, p.About().PowerUp, "the start")
	for _, place := range []int{-1, 2} {
		_, err := NewMachineAt(p, scan, place).Scan(&Inputs{}, &Outputs{})
		require.ErrorContains(t, err, "must be from 0 to 1")
	}
	_, err := NewMachineAt(p, 0, 1).Scan(&Inputs{}, &Outputs{})
	require.ErrorContains(t, err, "above zero")
}

// The reference waits for a drive that needs time to switch on, whatever the operator
// presses, and never opens the brake.
func TestReferenceWakes(t *testing.T) {
	t.Parallel()
	p := program(t, string(Reference()))
	m := NewMachineAt(p, scan, p.About().PowerUp)
	in, out := Inputs{BrakeClosed: true, Standstill: true, Trigger: true, Cancel: true, Estop: true, PositionMM: 100}, Outputs{}
	for n := range 2000 {
		if in.DriveOn = n >= 1000; in.DriveOn {
			in.TorqueNM = out.PressTorqueNM + 1e-6*float64(n%2)
		}
		_, err := m.Scan(&in, &out)
		require.NoError(t, err)
		require.Equal(t, BrakeClosed, out.Brake)
		require.Equal(t, OperationInhibited, out.Operation)
		require.Equal(t, DrivePress, out.Drive, "a position control would wind up against the closed brake")
		require.InDelta(t, 2.8, out.PressTorqueNM, 1e-9)
		if n < 1000 {
			require.Equal(t, "power_up", m.State())
		}
	}
	assert.Equal(t, "stopped", m.State())
	assert.Equal(t, "power-lost", m.Cause())
	assert.Contains(t, out.Alarm, "power was lost")
}
