package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// heatedRig has a continuous current of 10 A, 10 N·m, a limit of 25 A and a thermal time constant
// of 2 s, on a brake that holds whatever the motor does.
func heatedRig() Rig {
	return transducerRig(func(r *Rig) {
		r.Drive.CurrentLimitRMSA, r.Drive.ContinuousCurrentRMSA, r.Drive.ThermalTime = 25, 10, 2*time.Second
	})
}

// The node warms as a first-order lag, ϑ = r² + (ϑ₀ − r²) e^(−t/τ) with r = i/i_c, and reaches
// 1 after t = τ ln((r² − ϑ₀)/(r² − 1)). Source: lumped node, motor handbooks. It starts with
// the load of holding, (5/10)² = 0.25: with 20 A, 2 s · ln(3.75/3) = 0.446287 s. Then the limit
// falls to the continuous current, at which ϑ decays to 1 and the limit stays.
func TestThermalLimit(t *testing.T) {
	p := New(heatedRig(), 1)
	share, limited := p.ThermalLoad()
	require.InDelta(t, 0.25, share, 1e-12)
	require.False(t, limited)
	p.state.CurrentRMSA, p.drive.mode, p.drive.press = 20, Press, 20
	press := Command{Mode: Press, PressTorqueNM: 20, CloseBrake: true}
	n := 0
	for ; !limited; n++ {
		require.InDelta(t, 4-3.75*math.Exp(-float64(n)*250e-6/2), share, 1e-9)
		p.Sample()
		p.Step(press)
		share, limited = p.ThermalLoad()
	}
	require.InDelta(t, 0.446287, float64(n)*250e-6, 250e-6)
	run(p, press, 5*time.Second)
	share, limited = p.ThermalLoad()
	require.True(t, limited)
	require.InDelta(t, 1, share, 1e-2)
	require.InDelta(t, 10, p.State().CurrentRMSA, 1e-9)
}

// The limit is released below 0.9, not at 1. Without current it falls from 1 to 0.9 in
// τ ln(1/0.9) = 0.210721 s. Source: as above.
func TestThermalLimitIsReleased(t *testing.T) {
	r := heatedRig()
	r.Drive.ThermalLoad = 1
	p := New(r, 1)
	run(p, Command{Mode: Off, CloseBrake: true}, 200*time.Millisecond)
	_, limited := p.ThermalLoad()
	require.True(t, limited)
	run(p, Command{Mode: Off, CloseBrake: true}, 25*time.Millisecond)
	_, limited = p.ThermalLoad()
	require.False(t, limited)
}

// Nothing is limited without a continuous current, nor by one that is the limit of the drive.
func TestNoThermalLimit(t *testing.T) {
	for _, continuous := range []float64{0, 25} {
		r := heatedRig()
		r.Drive.ContinuousCurrentRMSA, r.Drive.ThermalTime = continuous, 100*time.Millisecond
		p := New(r, 1)
		run(p, Command{Mode: Press, PressTorqueNM: 30, CloseBrake: true}, 10*time.Second)
		require.InDelta(t, 25, p.State().CurrentRMSA, 1e-9, "continuous current %g A", continuous)
	}
}

// A fault sets the thermal load once, and it cools from there.
func TestThermalLoadFromAFault(t *testing.T) {
	p := New(heatedRig(), 1)
	run(p, Command{Mode: Off, CloseBrake: true}, time.Second)
	p.Rig().Drive.ThermalLoad = 0.95
	p.Reload()
	share, _ := p.ThermalLoad()
	require.InDelta(t, 0.95, share, 1e-12)
	run(p, Command{Mode: Off, CloseBrake: true}, time.Second)
	p.Reload()
	share, _ = p.ThermalLoad()
	require.InDelta(t, 0.95*math.Exp(-0.5), share, 1e-6)
}

// A drive that cannot hold its load for long is worth a word.
func TestContinuousCurrentBelowTheLoad(t *testing.T) {
	r := paneRig()
	r.Drive.ContinuousCurrentRMSA = 2.5 // holding takes 2.55 A
	warnings, err := Validate(&r)
	require.NoError(t, err)
	require.Len(t, warnings, 1)
	require.Contains(t, warnings[0].Message, "drive.continuous_current_rms_a is 2.5 A rms, below the 2.554 A rms that hold the load")
}
