package trend

import (
	"math"
	"slices"

	"holdbench/sim/statistics"
)

// Projection is when a trend meets a limit if it goes on as it is. Places are on the axis, infinite: never.
type Projection struct {
	Limit           float64
	Meets, Earliest float64
	Latest          float64
	Newer           bool // the newer half of the tests gives the earlier end of the interval
}

// project says when the values meet the limit that they approach; nil if there is none. The interval is that
// of [statistics.Project], for values on a straight line. What does not go straight is met in two ways.
//
// A stopping distance s grows more and more as the capacity C of the brake falls,
//
//	s = s_f + v²/(2a),  a = (C − τ_L)/J
//
// with the path s_f until the brake takes hold, the speed v, the deceleration a, the load torque τ_L and the
// inertia J, in units of one shaft. So 1/(s − s_f) falls straight with C, and is what is projected. s_f is not
// known and taken as half of the shortest distance: if it is less, the date comes early, if it is more, late.
// Source: equation of motion; the choice of s_f is ours.
//
// Of any other bend, the newer half of the tests is projected too, if it is enough for a trend, and the earlier
// end of both intervals counts.
func (t *Trend) project(asOf float64) *Projection {
	limit, ok := t.approached()
	if !ok {
		return nil
	}
	p := &Projection{Limit: limit.Value}
	times, values := t.part()
	if t.Series.Quantity.Grows {
		values, limit = straightened(values, limit)
	}
	all, err := statistics.Project(times, values, limit, ProjectionConfidence)
	if err != nil {
		return nil
	}
	p.Meets, p.Earliest, p.Latest = all.Meets, all.Interval.Low, all.Interval.High
	if half := len(values) / 2; len(values)-half >= LeastTests {
		newer, err := statistics.Project(times[half:], values[half:], limit, ProjectionConfidence)
		if err == nil && newer.Interval.Low < p.Earliest {
			p.Earliest, p.Newer = newer.Interval.Low, true
		}
	}
	p.Earliest = max(p.Earliest, asOf)
	return p
}

// straightened are the reciprocals of distances and their limit, as they are if these are none.
func straightened(values []float64, limit statistics.Limit) ([]float64, statistics.Limit) {
	shortest := slices.Min(values)
	fixed := float64(shortest / 2)
	if shortest <= 0 || limit.Value <= fixed {
		return values, limit
	}
	turned := make([]float64, len(values))
	for i, value := range values {
		turned[i] = 1 / (value - fixed)
	}
	return turned, statistics.Limit{Value: 1 / (limit.Value - fixed), Lower: !limit.Lower}
}

// approached is the limit in the direction of the line.
func (t *Trend) approached() (statistics.Limit, bool) {
	l := t.Series.Limit
	switch {
	case l == nil || t.Line.Slope == 0:
		return statistics.Limit{}, false
	case t.Line.Slope > 0:
		return statistics.Limit{Value: l.High}, !math.IsInf(l.High, 0)
	}
	return statistics.Limit{Value: l.Low, Lower: true}, !math.IsInf(l.Low, 0)
}
