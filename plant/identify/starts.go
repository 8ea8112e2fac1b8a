package identify

import (
	"math"

	optimise "gonum.org/v1/gonum/optimize" //nolint:misspell // a library's name

	"holdbench/plant"
)

// slow is one piece at constant speed: the motor torque with the known part of the load torque, in the mean.
type slow struct {
	torque, perKG, speed float64
	load                 int
}

// Closed is what follows from means by closed formulas, before any fit. The torque of slow travel up and down is
//
//	τ_up = τ_L + C + b v,  τ_down = τ_L − C − b v
//
// so that the load torque is the mean of both, and friction half of their difference: C and b by a straight
// line over the speed, which takes two speeds. The inertia is the slope of the rest of the torque over the
// acceleration. Source: the equation of motion, any text on servo drives; common practice.
type Closed struct {
	MassKG     float64 // of the first load
	SlidingNM  float64 // friction at the shaft with the losses of the transmission
	ViscousNMS float64
	Inertia    float64 // kg·m², at the motor shaft
	Pairs      int     // of travel up and down
	Speeds     bool    // at two speeds or more

	backwards bool // the torque falls with the acceleration
}

// speedsApart is by what factor two speeds must differ to tell viscous friction.
const speedsApart = 1.2

// slowPieces are the pieces of a track at constant speed.
func slowPieces(k *track, pieces []Piece, load int, r *plant.Rig, constant float64) []slow {
	var found []slow
	for _, p := range pieces {
		if p.Kind != TravelUp && p.Kind != TravelDown {
			continue
		}
		angle, current := k.angle.between(p.FromS, p.ToS), k.current.between(p.FromS, p.ToS)
		if len(angle.t) < windowSamples || current.empty() {
			continue
		}
		last := len(angle.t) - 1
		without, perKG := loadTorque(r, mean(angle.x))
		found = append(found, slow{
			torque: constant*mean(current.x) + without, perKG: perKG, load: load,
			speed: (angle.x[last] - angle.x[0]) / (angle.t[last] - angle.t[0]),
		})
	}
	return found
}

// closedForm computes the closed forms of the pieces with one load.
func closedForm(travels []slow, windows []window, load int, constant float64, r *plant.Rig) Closed {
	d := plant.Derive(r)
	c := Closed{MassKG: r.Load.MassKG, SlidingNM: (d.GuideSlidingNM + d.GuideLoweringNM) / 2, ViscousNMS: r.Guide.ViscousNMS, Inertia: d.InertiaKGM2}
	mass, half, speeds := pairs(travels, load)
	if c.Pairs = len(half); c.Pairs > 0 {
		c.MassKG = mean(mass)
		c.SlidingNM, c.ViscousNMS, c.Speeds = line(speeds, half)
	}
	ra, aa := 0.0, 0.0
	for i := range windows {
		w := &windows[i]
		if w.load != load {
			continue
		}
		rest := constant*w.current + w.known + c.MassKG*w.perKG - w.up*c.SlidingNM*w.bump - c.ViscousNMS*w.speed
		ra, aa = ra+rest*w.accel, aa+w.accel*w.accel
	}
	if aa > 0 && ra > 0 {
		c.Inertia = ra / aa
	}
	c.backwards = ra < 0
	return c
}

// pairs are mass and half of the difference of each travel up with the travel down whose speed is nearest.
func pairs(travels []slow, load int) (mass, half, speeds []float64) {
	for _, up := range travels {
		if up.load != load || up.speed <= 0 || up.perKG == 0 {
			continue
		}
		var best *slow
		for i := range travels {
			down := &travels[i]
			if down.load == load && down.speed < 0 && (best == nil || math.Abs(down.speed+up.speed) < math.Abs(best.speed+up.speed)) {
				best = down
			}
		}
		if best == nil {
			continue
		}
		mass = append(mass, -(up.torque+best.torque)/(up.perKG+best.perKG))
		half = append(half, (up.torque-best.torque+mass[len(mass)-1]*(up.perKG-best.perKG))/2)
		speeds = append(speeds, (up.speed-best.speed)/2)
	}
	return mass, half, speeds
}

// line is the straight line of friction over speed, or its mean if the speeds do not differ.
func line(speeds, half []float64) (sliding, viscous float64, two bool) {
	low, high := math.Inf(1), 0.0
	for _, v := range speeds {
		low, high = min(low, v), max(high, v)
	}
	if high < speedsApart*low {
		return mean(half), 0, false
	}
	slope := series{speeds, half}.slopes(len(speeds))
	return mean(half) - slope[0]*mean(speeds), slope[0], true
}

// startPress gives stiffness and play their first values: by straight lines of the angle over the torque where
// the press is strong. The play is the jump between the lines of both directions.
func startPress(p *press, v *values, n *noise) (stiffness, play, centre float64, ok bool) {
	torque := p.torques(v)
	p.cutAtRun(torque, v.stiffness, n)
	torque = torque[:p.elastic]
	up, down := branch(torque, p.angle[:p.elastic], 1), branch(torque, p.angle[:p.elastic], -1)
	switch {
	case up.n > 1 && down.n > 1:
		return 2 / (up.slope + down.slope), max(0, up.offset-down.offset), (up.offset + down.offset) / 2, up.slope+down.slope > 0
	case up.n > 1:
		return 1 / up.slope, 0, up.offset, up.slope > 0
	case down.n > 1:
		return 1 / down.slope, 0, down.offset, down.slope > 0
	}
	return 0, 0, 0, false
}

// branchLine is the angle over the torque in one direction.
type branchLine struct {
	slope, offset float64
	n             int
}

// branch is the line through the samples above half of the greatest torque in a direction.
func branch(torque, angle []float64, sign float64) branchLine {
	top := 0.0
	for _, t := range torque {
		top = max(top, sign*t)
	}
	var x, y []float64
	for i, t := range torque {
		if sign*t > top/2 {
			x, y = append(x, t), append(y, angle[i])
		}
	}
	if len(x) < cellMeans || deviation(x) < 0.02*top {
		return branchLine{}
	}
	slope := series{x, y}.slopes(len(x))
	return branchLine{slope[0], mean(y) - slope[0]*mean(x), len(x)}
}

// startStop gives t₁₁, t₁₂ and the sliding torque of the brake their first values. From afar a fit ends beside the right
// one: an axis that stops before the brake has its full torque shows the slope of the torque alone. So the best of a grid
// is taken for each rise time, and refined by the simplex of Nelder and Mead, The Computer Journal 7, 1965.
func (m *model) startStop(x []float64) {
	best := math.Inf(1)
	first := [3]float64{x[responseDelay], x[riseTime], x[brakeSliding]}
	found := first
	try := func(logs []float64) float64 {
		for i, at := range [3]int{responseDelay, riseTime, brakeSliding} {
			x[at] = first[i] * math.Exp(logs[i])
		}
		return m.stopError(x)
	}
	for _, rise := range []float64{0.6, 1, 1.6} {
		logs, least := bestOfGrid(try, math.Log(rise))
		end, err := optimise.Minimize(optimise.Problem{Func: try}, logs, &optimise.Settings{FuncEvaluations: refinements}, &optimise.NelderMead{SimplexSize: simplex}) //nolint:misspell // a library's name
		if err == nil && end.F < least {
			logs, least = end.X, end.F
		}
		if least < best {
			try(logs)
			best, found = least, [3]float64{x[responseDelay], x[riseTime], x[brakeSliding]}
		}
	}
	x[responseDelay], x[riseTime], x[brakeSliding] = found[0], found[1], found[2]
}

// The choices of the first values of stops.
const (
	refinements = 200  // evaluations for each rise time
	simplex     = 0.15 // of the logarithms, half the way from one value of the grid to the next
)

// bestOfGrid are the logarithms of the factors of t₁₁ and of the torque with the least error, for one rise time.
func bestOfGrid(try func(logs []float64) float64, rise float64) (logs []float64, least float64) {
	least = math.Inf(1)
	for _, delay := range []float64{0.2, 0.4, 0.7, 1, 1.5, 2.5} {
		for _, torque := range []float64{0.5, 0.7, 1, 1.4, 2} {
			now := []float64{math.Log(delay), rise, math.Log(torque)}
			if e := try(now); e < least || logs == nil {
				logs, least = now, e
			}
		}
	}
	return logs, least
}

// stopError is the sum of squares about a straight line, as angle and speed at the start are not known either.
func (m *model) stopError(x []float64) float64 {
	v, sum := m.spread(x), 0.0
	for i := range m.stops {
		s := &m.stops[i]
		e := series{s.t, make([]float64, len(s.t))}
		s.simulate(v, x[s.place:], x[s.late], e.x)
		for n := range e.x {
			e.x[n] -= s.angle[n]
		}
		sum += e.aboutLine()
	}
	return sum
}
