package recording

import (
	"math"
	"strings"

	"holdbench/plant/problem"
)

// mistakes are factors that a wrong unit or sign brings, with what is then likely.
func mistakes() []mistake {
	return []mistake{
		{1000, "the column may be in thousandths of the unit that was taken"}, {1e-3, "the column may be in a unit a thousand times larger"},
		{60, "the column may be a value a minute"}, {1 / 60.0, "the position or the time may be of another unit: the factor is 1/60"},
		{60 / radPerRev, "the column may be in rpm"}, {radPerRev / 60, "the speed may be in rev/s times 60 or the angle in turns: the factor is 2π/60"},
		{1 / radPerDeg, "the column may be in deg/s"}, {radPerDeg, "the angle may be in degrees"},
		{radPerRev, "the angle may be in turns"}, {1 / radPerRev, "the column may be in turns a second"},
	}
}

type mistake struct {
	factor float64
	likely string
}

// explained is what a factor that should be 1 says: empty within a tenth of 1.
func explained(k float64, known []mistake) string {
	sign := ""
	if k < 0 {
		sign = "the sign may be another, as with -"
	}
	size := math.Abs(k)
	if math.Abs(size-1) < 0.1 {
		return sign
	}
	for _, m := range known {
		if math.Abs(size/m.factor-1) < 0.05 {
			return strings.TrimPrefix(sign+"; "+m.likely, "; ")
		}
	}
	return strings.TrimPrefix(sign+"; the unit may be another, or one of the columns", "; ")
}

// doubtSpeeds compares each speed with the derivative of each position.
func (r *Recording) doubtSpeeds(list *problem.List, l Limits) {
	for _, pair := range []struct {
		position, speed string
		factor          float64 // from the unit of the position to that of the integral of the speed
	}{
		{"position_mm", "speed", 1},
		{"angle_rad", "speed_rad_s", 1},
		{"position_mm", "speed_rad_s", inverse(l.MMPerRad)},
		{"angle_rad", "speed", l.MMPerRad},
	} {
		position, speed := r.Values(pair.position), r.Values(pair.speed)
		if position == nil || speed == nil || pair.factor == 0 {
			continue
		}
		moved, integral := r.windows(position, speed)
		for i := range moved {
			moved[i] *= pair.factor
		}
		k, correlation := slope(moved, integral)
		switch text := explained(k, mistakes()); {
		case math.IsNaN(correlation):
		case math.Abs(correlation) < 0.9:
			list.Warn(pair.speed, "is not the derivative of %s: the correlation of their movements is %s; one of the columns may be another signal", pair.position, short(correlation))
		case text != "":
			list.Warn(pair.speed, "is %s times the derivative of %s; %s", short(k), pair.position, text)
		}
	}
}

func inverse(x float64) float64 {
	if x == 0 {
		return 0
	}
	return 1 / x
}

// windows are, of up to 200 parts of a recording, how far the position moved and the integral of the speed, by
// the trapezoidal rule over times that have both. Parts with a gap are left out. Over a part the increments of an encoder matter little.
func (r *Recording) windows(position, speed []float64) (moved, integral []float64) {
	var both []int
	var times []float64
	for i := range r.Time {
		if !math.IsNaN(position[i]) && !math.IsNaN(speed[i]) {
			both, times = append(both, i), append(times, r.Time[i])
		}
	}
	usual := usualStep(times)
	const parts = 200
	width := max(1, len(both)/parts)
	for from := 0; from+width < len(both); from += width {
		sum, whole := 0.0, true
		for k := from; k < from+width; k++ {
			a, z, step := both[k], both[k+1], times[k+1]-times[k]
			sum += float64((speed[a] + speed[z]) / 2 * step)
			whole = whole && step <= longStep*usual
		}
		if !whole {
			continue
		}
		moved = append(moved, position[both[from+width]]-position[both[from]])
		integral = append(integral, sum)
	}
	return moved, integral
}

// slope is the k of y = k x by least squares, k = Σxy/Σx², and the uncentred correlation Σxy/√(Σx² Σy²); NaN if
// one of them does not move.
func slope(x, y []float64) (k, correlation float64) {
	var xx, yy, xy float64
	for i := range x {
		xx += float64(x[i] * x[i])
		yy += float64(y[i] * y[i])
		xy += float64(x[i] * y[i])
	}
	if xx == 0 || yy == 0 {
		return math.NaN(), math.NaN()
	}
	return xy / xx, xy / math.Sqrt(xx*yy)
}

// doubtCurrents compares currents with the torque, and with each other.
func (r *Recording) doubtCurrents(list *problem.List, l Limits) {
	torques := []string{"torque_nm", "torque_motor_nm"}
	for _, current := range []struct {
		signal    string
		toRMS     float64
		other     string
		otherwise float64 // factor of the other on this
	}{{"current_rms_a", 1, "an amplitude", math.Sqrt2}, {"current_amp_a", 1 / math.Sqrt2, "an rms value", 1 / math.Sqrt2}} {
		for _, torque := range torques {
			r.doubtCurrent(list, current.signal, torque, l.TorqueConstant*current.toRMS, current.other, current.otherwise)
		}
	}
	k, correlation := slope(r.pairs("current_rms_a", "current_amp_a"))
	if !math.IsNaN(correlation) && math.Abs(k/math.Sqrt2-1) > 0.1 {
		list.Warn("current_amp_a", "is %s times current_rms_a, and an amplitude is 1.414 times an rms value; one of the columns may be the other or of another unit", short(k))
	}
}

// doubtCurrent compares a current with a torque; the constant is 0 if it is not known.
func (r *Recording) doubtCurrent(list *problem.List, current, torque string, constant float64, other string, otherwise float64) {
	x, y := r.pairs(current, torque)
	k, correlation := slope(x, y)
	times := constant / k // what the current is of that which the torque asks for
	switch size := math.Abs(times); {
	case math.IsNaN(correlation):
	case math.Abs(correlation) < 0.9:
		list.Warn(current, "is not proportional to %s: the correlation is %s; one of the columns may be another signal", torque, short(correlation))
	case constant == 0:
		if k < 0 {
			list.Warn(current, "has the other sign than %s; one of them may have to be turned round, as with -", torque)
		}
	case math.Abs(size/otherwise-1) < 0.1:
		list.Warn(current, "gives %s N·m for an ampere, and %s is %s by the torque constant; the column may be %s", short(k), torque, short(constant), other)
	case times < 0, math.Abs(size-1) > 0.25:
		list.Warn(current, "gives %s N·m for an ampere, and %s is %s by the torque constant; %s", short(k), torque, short(constant), explained(times, mistakes()[:2]))
	}
}

// pairs are the values of two signals at the times that have both.
func (r *Recording) pairs(a, b string) (x, y []float64) {
	first, second := r.Values(a), r.Values(b)
	if first == nil || second == nil {
		return nil, nil
	}
	for i := range r.Time {
		if !math.IsNaN(first[i]) && !math.IsNaN(second[i]) {
			x, y = append(x, first[i]), append(y, second[i])
		}
	}
	return x, y
}
