package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
)

// supportRig is the bare axis 1 mm above a support of 100 N/mm at 0 mm.
func supportRig() Rig {
	r := bareRig()
	r.Stops.LowMM, r.Stops.HighMM, r.Load.StartMM = -100, 100, 1
	r.Support.StiffnessNPerMM = 100
	return r
}

// setDown lets the axis of a rig come to rest without drive and brake.
func setDown(r Rig) *Plant {
	p := unpowered(New(r, 1))
	run(p, Command{Mode: Off}, 3*time.Second)
	return p
}

// A load that is set down lies 500 N/100 N/mm = 5 mm deep in its support, needs neither torque nor
// brake, and rests on it whole. Source: Hooke's law.
func TestLoadRestsOnItsSupport(t *testing.T) {
	p := setDown(supportRig())
	require.InEpsilon(t, -5, p.LoadMM(), 1e-6)
	require.True(t, p.LoadAtStandstill())
	require.InEpsilon(t, 500, p.SupportN(), 1e-6)
	require.InEpsilon(t, 1, p.SupportShare(), 1e-6)
	require.Zero(t, p.State().StopTorqueNM)
	require.Zero(t, p.State().BrakeTorqueNM)
}

// The motor adds to the weight on the support, or takes from it, by τ_m/0.01 m: 2 N·m are 200 N. The
// share of the load is 1 at most. Once it carries more than the load, the support carries nothing, and
// does not pull. Source: statics.
func TestSupportCarriesWhatIsLeft(t *testing.T) {
	for _, c := range []struct{ press, force, share float64 }{{-2, 700, 1}, {0, 500, 1}, {2, 300, 0.6}, {4.9, 10, 0.02}, {5.1, 0, 0}} {
		p := setDown(supportRig())
		run(p, Command{Mode: Press, PressTorqueNM: c.press, PressRateNMS: 1}, 8*time.Second)
		require.InDelta(t, c.force, p.SupportN(), 1e-3, "%g N·m", c.press)
		require.InDelta(t, c.share, p.SupportShare(), 1e-5)
	}
}

// What was set down cannot drop: the brake opens without torque, and the load stays.
func TestSupportedLoadDoesNotDrop(t *testing.T) {
	r := supportRig()
	r.Brake.Condition = 0.1
	p := setDown(r)
	run(p, Command{Mode: Off, CloseBrake: true}, time.Second)
	before := p.LoadMM()
	run(p, Command{Mode: Off}, time.Second)
	require.InDelta(t, before, p.LoadMM(), 1e-6)
}

// Without damping the support returns the speed with which the load came, as a spring does. Source:
// conservation of energy. The implicit step damps a spring by k h/2 itself (see inTick), so that it
// returns exp(−π ζ) of the speed with ζ = k h/(4√(k J)) = 2e-4; linear oscillator, half a period.
func TestSupportReturnsTheSpeed(t *testing.T) {
	r := supportRig()
	r.Support.StiffnessNPerMM, r.Support.DampingRatio = 1, 0
	r.Load.StartMM, r.Load.GravityMS2, r.Load.StartSpeedMMS = 10, 0, -100
	p := unpowered(New(r, 1))
	pushed := 0.0
	for range 2 * 4000 {
		p.Step(Command{Mode: Off})
		pushed = max(pushed, p.State().SupportTorqueNM)
		require.GreaterOrEqual(t, p.State().SupportTorqueNM, 0.0)
	}
	require.Positive(t, pushed)
	const stiffness = 1000 * 1e-4 // N·m/rad
	ratio := stiffness * 250e-6 / (4 * math.Sqrt(stiffness*bareInertia))
	require.InDelta(t, 10*math.Exp(-math.Pi*ratio), p.State().SpeedRadS, 10*math.Pi*ratio*0.05)
}

// A load whose transmission is severed falls onto its support and rests there; one that starts below it
// falls on. Once the support is removed, the load falls to the lower stop.
func TestSeveredLoadFallsOnItsSupport(t *testing.T) {
	r := supportRig()
	r.Load.StartMM, r.Transmission.Severed = 50, true
	p := setDown(r)
	require.InDelta(t, 0, p.LoadMM(), 1e-12)
	require.InEpsilon(t, 500, p.SupportN(), 1e-12)
	require.InEpsilon(t, 1, p.SupportShare(), 1e-12)
	p.Rig().Support.Removed = true
	p.Reload()
	run(p, Command{Mode: Off}, time.Second)
	require.InDelta(t, -100, p.LoadMM(), 1e-12)
	require.Zero(t, p.SupportN())
}

// A support that is removed under the load lets it fall.
func TestRemovedSupportHoldsNothing(t *testing.T) {
	p := setDown(supportRig())
	p.Rig().Support.Removed = true
	p.Reload()
	run(p, Command{Mode: Off}, 50*time.Millisecond)
	require.Less(t, p.LoadMM(), -5-0.9*10*50*50/1e6*1000/2*0.5, "half of the inertia is the motor's: a = g/2")
	require.Zero(t, p.SupportN())
}

// A support lies at or below the start and has a stiffness; one that is not above the lower stop is doubtful. Messages to the letter, as in
// [TestValidateRefuses].
func TestValidateRefusesSupport(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Rig)
		path   string
		want   string
	}{
		{"NoStiffness", func(r *Rig) { r.Support.AtMM = 20 }, "support.stiffness_n_per_mm",
			"support.stiffness_n_per_mm is missing or 0, and support.at_mm is 20 mm; must be above 0 N/mm, or support.at_mm must be omitted"},
		{"AboveTheStart", func(r *Rig) { r.Support.AtMM, r.Support.StiffnessNPerMM = 300, 100 }, "support.at_mm",
			"support.at_mm is 300 mm; must be at most load.start_mm, which is 200 mm: the load starts above its support"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := paneRig()
			c.change(&r)
			_, err := Validate(&r)
			require.Equal(t, problem.List{{Path: c.path, Message: c.want}}, problem.Of(err))
		})
	}
	r := paneRig()
	r.Support.StiffnessNPerMM = 100
	warnings, err := Validate(&r)
	require.NoError(t, err)
	require.Equal(t, []string{"support.at_mm"}, paths(warnings))
	r = armRig()
	r.Stops.LowMM, r.Stops.HighMM = arcMM(80), arcMM(120)
	r.Load.StartMM, r.Support.AtMM, r.Support.StiffnessNPerMM = arcMM(110), arcMM(100), 100
	_, err = Validate(&r)
	require.Equal(t, []string{"support.at_mm"}, paths(problem.Of(err)))
}
