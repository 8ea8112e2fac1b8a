package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A limit that rises again lets the press go on at its rate, without a step.
func TestPressGoesOnFromTheLimit(t *testing.T) {
	r := paneRig()
	r.Encoder.NoiseDeg = 0
	p := New(r, 1)
	press := Command{Mode: Press, PressTorqueNM: 8, PressRateNMS: 10, TorqueLimitNM: 4, CloseBrake: true}
	for range ticks(&r, 2*time.Second) {
		p.Sample()
		p.Step(press)
	}
	require.InDelta(t, 4, p.state.MotorTorqueNM, 1e-9)
	press.TorqueLimitNM = 0
	for range ticks(&r, 100*time.Millisecond) {
		p.Sample()
		p.Step(press)
	}
	lag := 10 * r.Drive.CurrentLag.Seconds() // a ramp behind a first-order lag trails by rate times τ
	require.InDelta(t, 5-lag, p.state.MotorTorqueNM, 0.01)
}

// The drive cannot hold a load with more than its limit, not even at the start.
func TestStartKeepsTheDriveLimit(t *testing.T) {
	r := paneRig()
	r.Load.MassKG = 1000 // 15.6 N·m at the shaft
	p := New(r, 1)
	require.InDelta(t, 11, p.state.MotorTorqueNM, 1e-9, "10 A rms at 1.1 N·m/A")
}

func ticks(r *Rig, length time.Duration) int { return int(length / r.Clock.Tick) }
