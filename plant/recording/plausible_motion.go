package recording

import (
	"iter"
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
		perRad          float64 // of the integral, for a radian of the motor shaft; 0: not known
	}{
		{"position_mm", "speed", 1, l.MMPerRad},
		{"angle_rad", "speed_rad_s", 1, 1},
		{"position_mm", "speed_rad_s", inverse(l.MMPerRad), 1},
		{"angle_rad", "speed", l.MMPerRad, l.MMPerRad},
	} {
		position, speed := r.Values(pair.position), r.Values(pair.speed)
		if position == nil || speed == nil || pair.factor == 0 {
			continue
		}
		moved, integral := r.windows(position, speed)
		for i := range moved {
			moved[i] *= pair.factor
		}
		if reach(moved) < pair.perRad && reach(integral) < pair.perRad {
			continue // at rest: wind-up, increments and noise
		}
		k, correlation := slope(zip(moved, integral))
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

// reach is how far from each other the places are to which steps lead.
func reach(steps []float64) float64 {
	at, low, high := 0.0, 0.0, 0.0
	for _, step := range steps {
		at += step
		low, high = min(low, at), max(high, at)
	}
	return high - low
}

// windows are, of up to 200 parts of a recording, how far the position moved and the integral of the speed, by
// the trapezoidal rule over times that have both. Parts with a gap are left out. Over a part the increments of an encoder matter little.
func (r *Recording) windows(position, speed []float64) (moved, integral []float64) {
	n := 0
	for range r.both(position, speed) {
		n++
	}
	usual := medianStep(n, r.both(position, speed))
	const parts = 200
	width := max(1, n/parts)
	w := window{moved: math.NaN()}
	for t, i := range r.both(position, speed) {
		if math.IsNaN(w.moved) {
			w = window{t: t, speed: speed[i], from: position[i]}
			continue
		}
		w.step(t, position[i], speed[i], longStep*usual)
		if w.samples < width {
			continue
		}
		if !w.gap {
			moved, integral = append(moved, w.moved), append(integral, w.integral)
		}
		w = window{t: t, speed: speed[i], from: position[i]}
	}
	return moved, integral
}

// both are the times, and their places, that have two signals.
func (r *Recording) both(a, b []float64) iter.Seq2[float64, int] {
	return func(yield func(t float64, i int) bool) {
		for i, t := range r.Time {
			if !math.IsNaN(a[i]) && !math.IsNaN(b[i]) && !yield(t, i) {
				return
			}
		}
	}
}

// window is a part of a recording: its newest sample, and what has been summed since its first.
type window struct {
	t, speed        float64
	from            float64 // position
	moved, integral float64
	samples         int
	gap             bool
}

func (w *window) step(t, position, speed, longest float64) {
	w.integral += float64((w.speed + speed) / 2 * (t - w.t))
	w.gap = w.gap || t-w.t > longest
	w.t, w.speed, w.moved = t, speed, position-w.from
	w.samples++
}

// slope is the k of y = k x by least squares, k = Σxy/Σx², and the uncentred correlation Σxy/√(Σx² Σy²); NaN if
// one of them does not move.
func slope(pairs iter.Seq2[float64, float64]) (k, correlation float64) {
	var xx, yy, xy float64
	for x, y := range pairs {
		xx += float64(x * x)
		yy += float64(y * y)
		xy += float64(x * y)
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
	k, correlation := slope(r.pairs(current, torque))
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
func (r *Recording) pairs(a, b string) iter.Seq2[float64, float64] {
	first, second := r.Values(a), r.Values(b)
	return func(yield func(x, y float64) bool) {
		if first == nil || second == nil {
			return
		}
		for x, y := range zip(first, second) {
			if !math.IsNaN(x) && !math.IsNaN(y) && !yield(x, y) {
				return
			}
		}
	}
}

// zip are the values of two lists of one length.
func zip(a, b []float64) iter.Seq2[float64, float64] {
	return func(yield func(x, y float64) bool) {
		for i, x := range a {
			if !yield(x, b[i]) {
				return
			}
		}
	}
}
