package life

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
)

// slow is simple with a brake that closes 40 ms after its command and stands at once with its full
// torque, without the friction of a guide: the drop is that of a free fall and a constant
// deceleration.
func slow() *plant.Rig {
	r := simple()
	r.Brake.ResponseDelay, r.Brake.WindUpDeg = 40*time.Millisecond, 1e-3
	r.Brake.SlidingNM = r.Brake.StaticNM
	r.Drive.CurrentLag = 10 * time.Microsecond
	return r
}

// shareFor is the torque C over the load torque τ that meets a drop limit s from rest after a delay t:
//
//	s = a t²/2 + (a t)²/(2 (C − τ)/J)  →  C/τ = 1 + a t²/2/(s − a t²/2),  a = τ/J
//
// Source: motion under constant acceleration, solved.
func shareFor(r *plant.Rig, limitMM float64) float64 {
	d := plant.Derive(r)
	t := r.Brake.ResponseDelay.Seconds()
	free := d.LoadTorqueNM / d.InertiaKGM2 * t * t / 2 * d.MMPerRad
	return 1 + free/(limitMM-free)
}

// limitFor is the limit that a torque of so many times the load torque meets.
func limitFor(r *plant.Rig, times float64) float64 {
	d := plant.Derive(r)
	t := r.Brake.ResponseDelay.Seconds()
	free := d.LoadTorqueNM / d.InertiaKGM2 * t * t / 2 * d.MMPerRad
	return free * (1 + 1/(times-1))
}

func watched(t *testing.T, p Plan, rig *plant.Rig, test Tester) Record {
	t.Helper()
	require.Empty(t, p.Check())
	w := &model{plan: &p, rig: rig, test: test, stop: NewStopCache(rig).Stop, drops: NewDropLimits(rig)}
	r, err := w.simulate(t.Context(), 0)
	require.NoError(t, err)
	return r
}

// A lining that loses a hundredth of its rated torque a day, from 3 times the load torque, misses a
// drop limit that takes 2 times of it after 33.3 days, and the test torque of 1.3 times after 56.7
// days: until then it passes every test and drops the load too far. The test that fails then brings
// a new brake, and ends both exposures.
func TestExposureByTheDropLimit(t *testing.T) {
	rig := slow()
	rig.Test.DropLimitMM = limitFor(rig, 2)
	p := quiet()
	p.DeclinePerDay, p.Span = 0.01, 63*day
	r := watched(t, p, rig, finds(rig, 1))
	require.Len(t, r.Exposures, 1)
	assert.InDelta(t, 100*(1-1.3/3), r.Exposures[0].From.Hours()/24, 0.01)
	e := r.Drops[FromRest]
	assert.Equal(t, 1, e.Times)
	assert.InDelta(t, r.Exposures[0].To.Hours()-24*100*(1-2.0/3), e.Time.Hours(), 24*0.01*100*2.0/3, "within a hundredth of the capacity")
	assert.Equal(t, e.Time, e.Production, "around the clock")
}

// The capacity that a drop limit takes is that of the closed form, with the delay of a grown gap too.
func TestNeededCapacityGrowsWithTheGap(t *testing.T) {
	rig := slow()
	rig.Test.DropLimitMM = limitFor(rig, 1.5)
	load := plant.Derive(rig).LoadTorqueNM
	d := NewDropLimits(rig)
	assert.InEpsilon(t, 1.5*load, d.NewBrakeNM(false, FromRest), 0.01)
	late := *rig
	late.Brake.ResponseDelay = rig.Brake.ResponseDelay * 12 / 10
	grown := d.NeededNM(false, FromRest, 1.2*rig.Brake.NewGapMM)
	assert.InEpsilon(t, shareFor(&late, rig.Test.DropLimitMM)*load, grown, 0.01)
	between := d.NeededNM(false, FromRest, 1.1*rig.Brake.NewGapMM)
	late.Brake.ResponseDelay = rig.Brake.ResponseDelay * 11 / 10
	assert.InEpsilon(t, shareFor(&late, rig.Test.DropLimitMM)*load, between, 0.01)
	assert.True(t, math.IsInf(d.NeededNM(false, FromSpeed, rig.Brake.NewGapMM), 1), "at 200 mm/s it moves 8 mm in the delay alone")
}

// Where not even a new brake meets the limit, the whole history counts, whatever is exchanged.
func TestNoBrakeMeetsTheDropLimit(t *testing.T) {
	rig := slow()
	rig.Test.DropLimitMM = limitFor(rig, 4)
	p := around(8*time.Hour, 1)
	p.DaysPerWeek = 5
	r := watched(t, p, rig, finds(rig, 1))
	assert.Equal(t, 1, r.Exchanged)
	for _, from := range Fallings() {
		assert.Equal(t, DropExposure{1, p.Span, p.Scheduled(p.Span)}, r.Drops[from])
	}
}

// A run-in that takes the glaze off ends the exposure, and its return begins it again: soaked to a
// glaze of 0.45 a brake of 3 times the load torque keeps 1.65 times and meets 2 times up to a glaze
// of 1/3, in 8 h ln(0.45/(0.45 − 1/3)) = 10.80 h of each day.
func TestRunInEndsTheDropExposure(t *testing.T) {
	rig := slow()
	rig.Test.DropLimitMM = limitFor(rig, 2)
	rig.Brake.GlazeReturnsTo, rig.Brake.GlazeReturnTime = 0.45, 8*time.Hour
	rig.Brake.WearMMPerMJ, rig.Brake.HeatCapacity = 0, 1e7
	p := around(24*time.Hour, 1)
	p.Span, p.FailureOnce = 10*day+time.Minute, false
	r := watched(t, p, rig, chance{1, func(Brake) float64 { return 2 }}) // a test that does no work
	assert.Empty(t, r.Exposures, "the torque is sufficient")
	assert.Equal(t, DropExposure{1, p.Span, p.Span}, r.Drops[FromRest])
	r = watched(t, p, rig, strokes{})
	e := r.Drops[FromRest]
	assert.Equal(t, 10, e.Times, "from the start, and after each of ten tests but the last")
	wait := 8 * math.Log(0.45/(0.45-1.0/3))
	assert.InDelta(t, 24+9*(24-wait), e.Time.Hours(), 3)
}

// strokes is a test that takes no time, runs every brake in and passes.
type strokes struct{}

func (strokes) Test(Brake, *rand.Rand) (Outcome, error) {
	return Outcome{Passed: true, WorkJ: 1e6}, nil
}

// Of two brakes each must meet the limit alone.
func TestDropLimitOfTheWeakerBrake(t *testing.T) {
	rig := slow()
	rig.Brake2.Brake, rig.Brake2.Place = rig.Brake, plant.PlaceMotor
	rig.Test.DropLimitMM = limitFor(rig, 2)
	d, b := NewDropLimits(rig), initial(rig)
	each := d.ratios(b, b.cold(rig), FromRest)
	assert.InEpsilon(t, 1.5, each[0], 0.01)
	assert.InEpsilon(t, each[0], each[1], 0.001)
	b.Second.Condition = 0.6
	assert.InEpsilon(t, 0.9, d.ratios(b, b.cold(rig), FromRest)[1], 0.01)
	assert.InEpsilon(t, each[0], d.ratios(b, b.cold(rig), FromRest)[0], 1e-12)
}
