package life

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// runIn is a test that takes no time, runs a brake with insufficient torque in until nothing of
// its glaze is left, and passes.
type runIn struct{ ratio func(b Brake) float64 }

func (r runIn) Test(b Brake, _ *rand.Rand) (Outcome, error) {
	o := Outcome{Passed: true}
	if r.ratio(b) < 1 {
		o.WorkJ = 1e6
	}
	return o, nil
}

// A soaked lining that is run in is weak again the next day. Its capacity is 3 times the load of a
// test torque of 1.3 of it, so that it has enough torque up to a glaze of 1 − 1.3/3 = 0.5667. It
// returns to 0.8 in 8 h by 63 %:
//
//	t = 8 h · ln(0.8/(0.8 − 0.5667)) = 9.857 h
//
// Of each interval of 24 h after a run-in 14.143 h are without sufficient torque, and each test
// restores it again: in ten days the first one at the start and ten more, all of them passed.
func TestSoakedLiningIsWeakAgainTheNextDay(t *testing.T) {
	rig := simple()
	rig.Brake.GlazeReturnsTo, rig.Brake.GlazeReturnTime = 0.8, 8*time.Hour
	rig.Brake.WearMMPerMJ, rig.Brake.HeatCapacity = 0, 1e7
	p := around(24*time.Hour, 1)
	p.Span = 10*24*time.Hour + time.Minute
	p.StopsPerShift, p.FailureEvery, p.FailureOnce, p.DeclinePerDay, p.DeclinePerStop = 0, 0, false, 0, 0
	test := runIn{func(b Brake) float64 { return b.coldRatio(rig) }}
	w := &model{plan: &p, rig: rig, test: test}
	r, err := w.simulate(t.Context(), 0)
	require.NoError(t, err)
	assert.Zero(t, r.Missed)
	assert.Zero(t, r.Exchanged)
	require.Equal(t, 10, r.Restored)
	require.Len(t, r.Exposures, 10)
	assert.Zero(t, r.Exposures[0].From, "soaked from the start")
	wait := 8 * math.Log(0.8/(0.8-(1-1.3/3)))
	for i, e := range r.Exposures[1:] {
		assert.InDelta(t, 24*float64(i+1)+wait, e.From.Hours(), 2.0/3600, "to the second of the search")
		assert.InDelta(t, 24*float64(i+2), e.To.Hours(), 1e-9)
	}
}

// At rest the glaze returns as in the plant; slip takes it off, and another brake has none.
func TestRestedBrake(t *testing.T) {
	rig := simple()
	rig.Brake.GlazeReturnsTo, rig.Brake.GlazeReturnTime = 0.6, time.Hour
	b := initial(rig)
	assert.InDelta(t, 0.6, b.Glaze, 1e-12)
	b = b.slipped(rig.Brake.BedInJ, 0, rig)
	assert.InDelta(t, 0.6*math.Exp(-1), b.Glaze, 1e-12)
	b.Lining = b.rested(time.Hour, &rig.Brake)
	assert.InDelta(t, 0.6-(0.6-0.6*math.Exp(-1))*math.Exp(-1), b.Glaze, 1e-12)
	assert.InDelta(t, 0.6, b.rested(100*time.Hour, &rig.Brake).Glaze, 1e-12)
	assert.Zero(t, exchanged(rig).rested(day, &rig.Brake).Glaze)
}
