package life

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
)

// The work of a stop: a brake of constant torque C, which is there at once, takes the
// energy of the mass and what the load gives on the way,
//
//	W = ½ J ω² + τ_L φ = ½ J ω² C/(C − τ_L),  φ = ½ J ω²/(C − τ_L)
//
// lowering; raising, the load helps: C + τ_L in place of C − τ_L. Source: energy balance of
// a braked fall, any text on machine elements. The give of the brake takes part of it.
func TestStopWorkIsKineticAndPotentialEnergy(t *testing.T) {
	rig := simple()
	rig.Drive.CurrentLag = time.Microsecond
	rig.Brake.WindUpDeg = 0.01
	d := plant.Derive(rig)
	capacity, load := d.BrakeCapacityNM, d.LoadTorqueNM
	speed := rig.Drive.SpeedMMS / d.MMPerRad
	kinetic := d.InertiaKGM2 * speed * speed / 2
	for _, lowering := range []bool{true, false} {
		net := capacity + load
		if lowering {
			net = capacity - load
		}
		h := outage(*rig, initial(rig), lowering)
		require.True(t, h.Held)
		assert.InEpsilon(t, kinetic*capacity/net, h.WorkJ, 0.01, "lowering: %v", lowering)
		assert.InEpsilon(t, kinetic/net*d.MMPerRad, h.DistanceMM, 0.01)
		if lowering {
			assert.InEpsilon(t, kinetic+load*h.DistanceMM/d.MMPerRad, h.WorkJ, 0.01)
		}
	}
}

func outage(r plant.Rig, b Brake, lowering bool) StopResult {
	return Stopping{Lowering: lowering, PowerFailure: true}.run(r, b)
}

// In an emergency stop the drive brings the axis to rest, in v²/(2 a) of travel, and closes the
// brakes at rest: they do no work. At STO the brake alone holds the load, with its static torque; one
// below the load torque drops it, from rest.
func TestEmergencyStopIsOfTheDrive(t *testing.T) {
	rig := simple()
	rig.Safety.StopTime, rig.Safety.BrakeTime = time.Second, 200*time.Millisecond
	for _, lowering := range []bool{true, false} {
		h := Stopping{Lowering: lowering}.run(*rig, initial(rig))
		require.True(t, h.Held)
		assert.InDelta(t, 200*200/(2*500.0), h.DistanceMM, 1, "and what the current takes to follow")
		assert.Less(t, h.WorkJ, 0.01)
	}
	weak := initial(rig)
	weak.Condition = 0.9 / 3
	assert.False(t, Stopping{Lowering: true}.run(*rig, weak).Held)
	weak.Condition = 1.1 / 3
	assert.True(t, Stopping{Lowering: true}.run(*rig, weak).Held)
}

// Without any stop time an emergency stop is the stop of a power failure. In one that is too short for
// the drive the brakes close on a moving axis, and the drive that follows its profile works against them.
func TestEmergencyStopWithTooLittleTime(t *testing.T) {
	rig := simple()
	rig.Safety.StopTime, rig.Safety.BrakeTime = 0, 0
	assert.Equal(t, outage(*rig, initial(rig), true), Stopping{Lowering: true}.run(*rig, initial(rig)))
	rig.Safety.StopTime, rig.Safety.BrakeTime = 200*time.Millisecond, 50*time.Millisecond // of 400 ms
	h := Stopping{Lowering: true}.run(*rig, initial(rig))
	require.True(t, h.Held)
	assert.Positive(t, h.WorkJ)
}

// A brake that slides with less than the load torque does not stop it.
func TestStopOfABrakeThatIsTooWeak(t *testing.T) {
	rig := simple()
	b := initial(rig)
	b.Condition = 0.9 / 3
	assert.False(t, outage(*rig, b, true).Held)
	b.Condition = 1.2 / 3
	assert.True(t, outage(*rig, b, true).Held)
}

// The gap after n stops is k W n (Archard, J. Appl. Phys. 24, 1953), and what the plant
// does tick by tick is the same but for the heat that flows off within the second.
func TestWearOfStops(t *testing.T) {
	rig := simple()
	rig.Brake.WearMMPerMJ, rig.Brake.Glaze, rig.Brake.BedInJ = 400, 0.3, 40
	const stops = 25
	b := initial(rig)
	h := outage(*rig, b, true)
	for range stops {
		b = b.slipped(h.WorkJ, 0, rig)
	}
	assert.InEpsilon(t, rig.Brake.WearMMPerMJ*1e-6*h.WorkJ*stops, b.GapMM-rig.Brake.NewGapMM, 1e-9)

	r := *rig
	r.Load.StartMM, r.Load.StartSpeedMMS = 500, -r.Drive.SpeedMMS
	p := plant.New(r, 1)
	require.True(t, comesToRest(p, &r))
	once := initial(rig).slipped(h.WorkJ, 0, rig)
	assert.InEpsilon(t, p.State().BrakeGapMM-rig.Brake.NewGapMM, once.GapMM-rig.Brake.NewGapMM, 1e-6)
	assert.InEpsilon(t, p.State().BrakeGlaze, once.Glaze, 1e-3)
	assert.InEpsilon(t, p.State().BrakeTempC-rig.Brake.AmbientC, once.TempC-rig.Brake.AmbientC, 2e-3)
}

// After the time constant R_th C_th a third of the heat is left, e⁻¹.
func TestBrakeCools(t *testing.T) {
	rig := simple()
	b := initial(rig)
	b.TempC += 100
	constant := time.Duration(rig.Brake.ThermalResistance * rig.Brake.HeatCapacity * float64(time.Second))
	assert.InDelta(t, rig.Brake.AmbientC+100*math.Exp(-1), b.cooled(constant, &rig.Brake).TempC, 1e-9)
	assert.InDelta(t, rig.Brake.AmbientC, b.cooled(day, &rig.Brake).TempC, 1e-9)
}

// Wear alone, past the limit gap, makes a brake unfit, and the exposure begins then: with
// W the work of a stop, after the stops that take the gap to
//
//	h = h_limit (2 − need),  need = τ_test/C
func TestWearMakesTheTorqueInsufficient(t *testing.T) {
	rig := simple()
	work := outage(*rig, initial(rig), true).WorkJ
	d := plant.Derive(rig)
	rig.Brake.GapLimitMM = rig.Brake.NewGapMM
	rig.Brake.WearMMPerMJ = 0.01 * rig.Brake.NewGapMM / (work * 1e-6) // a hundredth of the gap a stop
	need := d.RequiredTestNM / d.BrakeCapacityNM
	p := around(8*hour, 1)
	p.FailureOnce, p.StopsPerShift = false, 1
	w := &model{plan: &p, rig: rig, test: finds(rig, 1), stop: func(Brake, Stopping) StopResult { return StopResult{WorkJ: work, Held: true} }}
	r, err := w.simulate(t.Context(), 0)
	require.NoError(t, err)
	require.NotEmpty(t, r.Exposures)
	perBrake := math.Ceil((1-need)/0.01) + 1 // the gap is at its limit after none
	assert.InDelta(t, float64(r.Stops)/perBrake, float64(len(r.Exposures)), 1)
}

// A decline by the day crosses the required torque at a time that can be told, and the
// exposure begins then, not at the event that comes next.
func TestDeclineCrossesWhenItShould(t *testing.T) {
	rig := simple()
	d := plant.Derive(rig)
	p := around(30*hour, 1)
	p.FailureOnce, p.DeclinePerDay, p.Span = false, 0.011, 20*week
	records := lived(t, p, rig, finds(rig, 1))
	need := d.RequiredTestNM / d.BrakeCapacityNM
	crosses := (1 - need) / p.DeclinePerDay * 24
	require.NotEmpty(t, records[0].Exposures)
	e := records[0].Exposures[0]
	assert.InDelta(t, crosses, e.From.Hours(), 1e-6)
	assert.InDelta(t, math.Ceil(crosses/30)*30, e.To.Hours(), 1e-6, "the test after it")
}

// The stops of a study are those of a full axis, whatever is on it now: 20 kg of payload on 100 kg take
// more of the brake than none. A support below the middle of the travel is out of reach of the fall, and
// one above it is out of its way.
func TestStopsAreThoseOfTheMostPayload(t *testing.T) {
	empty, full := *simple(), *simple()
	full.Load.PayloadMostKG = 20
	loaded := full
	loaded.Load.PayloadKG = 20
	a, b, c := outage(empty, initial(&empty), true), outage(full, initial(&full), true), outage(loaded, initial(&loaded), true)
	assert.Greater(t, b.WorkJ, 1.1*a.WorkJ)
	assert.Equal(t, c, b)
	for _, at := range []float64{400, 600} {
		supported := full
		supported.Support.AtMM, supported.Support.StiffnessNPerMM = at, 1000
		assert.Equal(t, b, outage(supported, initial(&supported), true))
	}
}
