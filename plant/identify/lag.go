package identify

import "math"

// step is a step of the commanded current, with the samples of the measured one after it.
type step struct {
	from, to float64 // A, command before and after
	t, x     []float64
	spread   float64 // s, between the samples of the command
}

// The choices of a step.
const (
	stepShare   = 0.05 // of the greatest current, which it must exceed
	stepSamples = 12   // after it at least, in which the command stands still
	longestStep = 0.05 // s, after it
	stepNoise   = 20   // times the noise of the current, which it must exceed
)

// steps are the steps of the command of a track.
func steps(k *track, noise float64) []step {
	var found []step
	c := k.command
	least := max(stepShare*largest(k.current.x), stepNoise*noise)
	for i := 1; i+stepSamples < len(c.x); i++ {
		if math.Abs(c.x[i]-c.x[i-1]) < least || i < 2 || math.Abs(c.x[i-1]-c.x[i-2]) > least/stepNoise {
			continue
		}
		end := i + 1
		for end < len(c.x) && c.t[end] < c.t[i]+longestStep && math.Abs(c.x[end]-c.x[i]) < least/stepNoise {
			end++
		}
		part := k.current.between(c.t[i-1], c.t[end-1])
		if end-i < stepSamples || len(part.t) < stepSamples || !settledAt(part, c.x[i], math.Abs(c.x[i]-c.x[i-1])) {
			continue
		}
		s := step{from: c.x[i-1], to: c.x[i], spread: c.t[i] - c.t[i-1], x: part.x}
		for _, t := range part.t {
			s.t = append(s.t, t-(c.t[i-1]+c.t[i])/2)
		}
		found = append(found, s)
	}
	return found
}

// settledAt is whether a current is at its command after a step of some size.
func settledAt(current series, command, size float64) bool {
	return math.Abs(mean(current.x[len(current.x)-3:])-command) < stepShare*size
}

// lag is the time constant of the current loop by the area between command and current after a step,
//
//	τ = ∫ (i_cmd − i) dt / Δi
//
// which is that of a first-order lag and needs no fit; the area takes in noise of all samples and nothing of the shape
// between them. The moment of the step lies between two samples of the command. Source: area method, any text on
// control; the lag is that of plant/current.go. Limit: several time constants between two steps.
func (f *fitted) lag(g *gathered) Value {
	v := Value{Path: "drive.current_lag", Name: "time constant of the current loop", By: byLag}
	var times []float64
	variance, bound := 0.0, 0.0
	for i := range g.tracks {
		for _, s := range steps(&g.tracks[i], f.m.noise.currentA) {
			area, squares := 0.0, 0.0
			for n, t := range s.t {
				dt := trapezoid(s.t, n)
				command := s.from
				if t > 0 {
					command = s.to
				}
				area += dt * (command - s.x[n])
				squares += dt * dt
			}
			times = append(times, area/(s.to-s.from))
			relative := f.m.noise.currentA / (s.to - s.from)
			variance += squares * relative * relative
			bound = max(bound, s.spread/2)
		}
	}
	if len(times) == 0 {
		return f.value(v, estimate{}, false)
	}
	v.Source = counted(len(times), "step", "steps") + " of the current"
	n := float64(len(times))
	e := estimate{value: mean(times), err: math.Sqrt(variance)/n + bound/math.Sqrt(3), told: true}
	reach := 2*math.Sqrt(variance)/n + bound
	e.low, e.high = e.value-reach, e.value+reach
	return f.value(v, e, true)
}
