package identify

import (
	"math"
	"slices"

	"holdbench/plant"
)

// stop is a brake that closes on an axis in motion, from the command until the axis is slow.
//
//	J dω/dt = k_t i + τ_g − b ω − (C + e(t) T_k) sgn ω,  e = 0.9 (t − t_c − t₁₁)/t₁₂ from 0 to 1
//
// with t_c the moment of the command and T_k the sliding torque of the brake. It is simulated from
// the recorded current, and the error is that of the angle: what noise of the current adds over some
// hundredths of a second is far below an increment. It begins when the current has settled: between
// two samples a drive that is switched off loses a torque that nobody recorded. Angle and speed at the start are
// fitted too, and the moment of the command within the two samples between which it lies. Equations: plant/shaft.go,
// plant/armature.go. Limit: above three times the Stribeck speed of the brake.
type stop struct {
	t, current   []float64
	known, perKG []float64
	angle        []float64 // rad, less the first
	command      float64   // s, in the middle between two samples
	up           float64
	load         int
	off          bool // the drive is off
	last         memory
	// Places among the values that are fitted: of angle, speed and error of the current, and of the moment of
	// the command.
	place, late int
}

// The choices of a stop.
const (
	settledAmps = 0.02   // of the greatest current in the stop, by which it changes from sample to sample once settled
	offShare    = 0.01   // of the greatest current, below which the drive is off
	leastOfStop = 12     // samples
	substep     = 0.0005 // s
	shortStep   = 1e-9   // s, which joins the step before it
	fullAt      = 0.9    // share of the torque at t₁₂
	afterStop   = 4      // samples in half of a slope near the start
	speedTime   = 0.002  // s, at least, over which the speed near the end is taken: only ahead, as the axis becomes slower
)

// stops are the stops by brake of a track.
func stops(k *track, pieces []Piece, load int, r *plant.Rig) []stop {
	var found []stop
	for _, p := range pieces {
		if p.Kind != StopByBrake {
			continue
		}
		for _, c := range k.changes() {
			if c.rises && c.commanded && c.t >= p.FromS-c.spread && c.t < p.ToS {
				if s := newStop(k, &c, p.ToS, load, r); len(s.t) >= leastOfStop {
					found = append(found, s)
				}
				break
			}
		}
	}
	return found
}

func newStop(k *track, c *change, until float64, load int, r *plant.Rig) stop {
	limit := stribeckAway * max(r.Brake.StribeckRPM, r.Guide.StribeckRPM) * math.Pi / 30
	part := k.angle.between(settled(k.current.between(c.t-c.spread, until), c.t), until)
	speed := part.slopes(afterStop)
	s := stop{command: c.t, load: load}
	for i, t := range part.t {
		if on := part.speedAfter(i, speedTime); math.Abs(on) < limit || on*speed[0] < 0 {
			break
		}
		without, perKG := loadTorque(r, part.x[i])
		s.t, s.current = append(s.t, t), append(s.current, k.current.at(t))
		s.known, s.perKG = append(s.known, without), append(s.perKG, perKG)
		s.angle = append(s.angle, part.x[i]-part.x[0])
	}
	if len(s.t) > 0 {
		s.up = math.Copysign(1, speed[0])
	}
	if s.off = math.Abs(mean(s.current)) < offShare*largest(k.current.x); s.off {
		s.current = make([]float64, len(s.current))
	}
	return s
}

// settled is when the current no longer changes from sample to sample after a moment.
func settled(current series, from float64) float64 {
	limit := settledAmps * largest(current.x)
	for i := 2; i < len(current.x); i++ {
		if current.t[i-1] > from && math.Abs(current.x[i]-current.x[i-1]) <= limit {
			return current.t[i]
		}
	}
	return from
}

// startSpeed is a first value of the speed at the start.
func (s *stop) startSpeed() float64 {
	n := min(len(s.t), 2*afterStop)
	line := series{s.t[:n], s.angle[:n]}
	slope := line.slopes(n)
	return slope[0]
}

// simulate is the angle at each sample, by the midpoint rule. A step ends where the torque of the brake begins to rise and
// where it is full: a step across would move either moment by a part of its length.
func (s *stop) simulate(v *values, at []float64, late float64, angle []float64) {
	x, w, amps := at[0], at[1], at[2]
	begins := s.command + late + v.responseDelay
	kinks := [2]float64{begins, begins + v.riseTime/fullAt}
	angle[0] = x
	for i := 1; i < len(s.t); i++ {
		t, to := s.t[i-1], s.t[i]
		for t < to {
			h := min(substep, to-t)
			for _, kink := range kinks {
				if t < kink && kink < t+h {
					h = kink - t
				}
			}
			if to-(t+h) < shortStep {
				h = to - t
			}
			share := func(of float64) float64 { return (t + of*h - s.t[i-1]) / (s.t[i] - s.t[i-1]) }
			middle := w + h/2*s.acceleration(v, i, share(0.25), t+h/4, w, late, amps)
			w += h * s.acceleration(v, i, share(0.5), t+h/2, middle, late, amps)
			x += h * middle
			t += h
		}
		angle[i] = x
	}
}

// predict writes the angle of each sample and returns their number.
func (s *stop) predict(to []float64, v *values, at []float64, late float64) int {
	l := &v.loads[s.load]
	inputs := []float64{
		v.torqueConstant, l.mass, l.inertia, l.slidingUp, l.slidingDown, v.viscous,
		v.responseDelay, v.riseTime, v.brakeSliding, at[0], at[1], at[2], late,
	}
	if s.last.is(inputs) {
		return copy(to, s.last.outputs)
	}
	s.simulate(v, at, late, to[:len(s.t)])
	s.last = memory{inputs, slices.Clone(to[:len(s.t)])}
	return len(s.t)
}

// acceleration is dω/dt at a share of the way from the sample before i to i.
func (s *stop) acceleration(v *values, i int, share, t, w, late, amps float64) float64 {
	between := func(x []float64) float64 { return x[i-1] + share*(x[i]-x[i-1]) }
	l := &v.loads[s.load]
	e := min(1, max(0, fullAt*(t-s.command-late-v.responseDelay)/v.riseTime))
	against := e * v.brakeSliding
	if s.up > 0 {
		against += l.slidingUp
	} else {
		against += l.slidingDown
	}
	torque := v.torqueConstant*(between(s.current)+amps) + between(s.known) + l.mass*between(s.perKG)
	return (torque - v.viscous*w - s.up*against) / l.inertia
}
