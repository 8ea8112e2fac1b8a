package life

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
)

// pair is simple with a second brake of half the torque of the first, on the motor shaft.
func pair() *plant.Rig {
	rig := simple()
	rig.Brake2.Brake = rig.Brake
	rig.Brake2.Place = plant.PlaceMotor
	rig.Brake2.StaticNM /= 2
	rig.Brake2.SlidingNM /= 2
	return rig
}

// The torque is that of the weaker brake, as each must hold alone, and a service renews the one
// that is insufficient.
func TestWeakerOfTwoBrakes(t *testing.T) {
	rig := pair()
	d := plant.Derive(rig)
	full := d.BrakeCapacityNM / d.RequiredTestNM
	b := initial(rig)
	assert.InEpsilon(t, full/2, b.coldRatio(rig), 1e-12)
	b.Condition = 0.9 / full
	b.Second.Condition = 0.97
	assert.InEpsilon(t, 0.9, b.coldRatio(rig), 1e-12)
	after := b.renewed(rig)
	assert.Equal(t, 1.0, after.Condition)
	assert.Equal(t, 0.97, after.Second.Condition, "the sound one stays")
	assert.Equal(t, exchanged(rig), after.renewed(rig), "both, if neither is insufficient")
}

// The first of two brakes that decline at different distances from the limit counts: 1.5 to 0.5
// crosses 1 at a half, 1.2 to 0.2 at a fifth.
func TestFirstCrossingOfTwo(t *testing.T) {
	assert.InEpsilon(t, 0.5, crossing([2]float64{1.5, 2}, [2]float64{0.5, 1.8}), 1e-12)
	assert.InEpsilon(t, 0.2, crossing([2]float64{1.5, 1.2}, [2]float64{0.5, 0.2}), 1e-12)
}

// Both brakes take the work of a stop, and share it in proportion to their torque: two to one, and
// together as much as one takes alone for the longer way.
func TestBothBrakesWearInAStop(t *testing.T) {
	rig := pair()
	h := outage(*rig, initial(rig), true)
	require.True(t, h.Held)
	assert.InEpsilon(t, 2, h.WorkJ/h.SecondWorkJ, 0.01, "but for the wind-up")
	alone := outage(*simple(), initial(simple()), true)
	assert.Less(t, h.DistanceMM, alone.DistanceMM)
	worn := initial(rig).slipped(h.WorkJ, h.SecondWorkJ, rig)
	assert.Greater(t, worn.GapMM, worn.Second.GapMM)
	assert.Greater(t, worn.Second.GapMM, rig.Brake2.NewGapMM)
}

// Either brake fails, at the rate of its own: over many histories twice as often as one, and half of
// them on each. Poisson: the relative deviation of n events is 1/sqrt(n), and four of them are
// allowed.
func TestEitherBrakeFails(t *testing.T) {
	const every, span = 20 * day, 20000 * day
	count := func(rig *plant.Rig) (first, second int) {
		j := &simulation{
			model:    &model{plan: &Plan{FailureEvery: every, FailureTo: [2]float64{0.1, 0.2}}, rig: rig},
			failures: rand.New(rand.NewPCG(1, 2)), brake: exchanged(rig), insufficientSince: never,
		}
		for j.planFailure(); j.failure < span; {
			j.now, j.brake = j.failure, exchanged(rig)
			require.NoError(t, j.suddenFailure())
			if j.brake.Condition < 1 {
				first++
			} else {
				second++
			}
		}
		return first, second
	}
	one, none := count(simple())
	assert.Zero(t, none)
	assert.InEpsilon(t, 1000, one, 4/31.6)
	first, second := count(pair())
	assert.InEpsilon(t, 1000, first, 4/31.6)
	assert.InEpsilon(t, 1000, second, 4/31.6)
}
