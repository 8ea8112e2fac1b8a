package identify

import (
	"math"
	"slices"

	"holdbench/plant"
)

// press is a span with the brake closed, from one change of the brake to the next.
//
// A press is slow beside the natural frequency of the brake's spring, so that the torques balance at
// every sample:
//
//	k_t i + τ_g(θ) = σ₀ dz(θ − θ_c, ±play/2) + clamp(σ_g (θ − θ_g), ±C_g)
//
// the brake as a spring with play about the angle θ_c at which it closed, and the guide as a spring that
// slides at its breakaway friction C_g, in which θ_g follows. Known is the current, wanted the angle: the
// error is that of the output, because noise of the current moves the angle by less than a
// hundredth of an increment, while the noise of the encoder would bias a stiffness that is fitted the other
// way round. Equations: plant/slider.go. Limit: below breakaway of the brake, and without creep.
type press struct {
	t, current     []float64 // means of a few samples, as all that follows
	known, perKG   []float64 // load torque, see [window]
	angle          []float64 // rad, less the first
	load           int
	slips          bool // it ends where the brake slips
	elastic        int  // samples from the first on of which the first values are taken, ahead of a slip
	cells          []cell
	last           memory
	centre, anchor int // places of θ_c and θ_g among the values that are fitted
}

// cell is a range of which the mean is compared: samples at nearly one place have nearly one
// error of rounding, which does not become smaller by repetition.
type cell struct {
	from, to int
	sigma    float64
}

// The choices of a press.
const (
	meanSamples = 5     // of which the mean is taken, so that noise of the current does not make the guide slide
	cellMeans   = 2     // in a cell at least
	afterClosed = 0.005 // s

	springFactor = 2 // times the movement of a spring, which the axis only exceeds on its way through the play
	noiseFactor  = 5

	slipFactor = 10  // times the movement of the rig's spring, beyond which the brake slips whatever its stiffness is
	slipShare  = 0.5 // of the greatest torque, above which a fast movement is a slip and not the way through the play

	frictionFactor = 3   // times the friction of the guide, below which it may carry the torque alone
	leastTorque    = 0.1 // of the greatest torque
)

// guide is the element of the guide in a press.
type guideSpring struct{ stiffness, capacity, anchor float64 }

// angleAt is the angle at which brake and guide balance a torque, and moves the anchor of a guide that slides. The
// torque is a rising line of five pieces over the angle.
//
// A fit may pass through a play below 0, which goes on in the same straight lines: the spring then jumps through its
// centre by the torque of that play.
func (g *guideSpring) angleAt(torque, stiffness, halfPlay, centre float64) float64 {
	if halfPlay < 0 {
		torque -= math.Copysign(min(-stiffness*halfPlay, math.Abs(torque)), torque)
		halfPlay = 0
	}
	sum := func(x float64) float64 {
		z := x - centre
		t := 0.0
		if z > halfPlay {
			t = stiffness * (z - halfPlay)
		} else if z < -halfPlay {
			t = stiffness * (z + halfPlay)
		}
		return t + min(max(g.stiffness*(x-g.anchor), -g.capacity), g.capacity)
	}
	reach := g.capacity / g.stiffness
	kinks := [4]float64{centre - halfPlay, centre + halfPlay, g.anchor - reach, g.anchor + reach}
	slices.Sort(kinks[:])
	x := kinks[3] + (torque-sum(kinks[3]))/stiffness
	if low := sum(kinks[0]); torque <= low {
		x = kinks[0] + (torque-low)/stiffness
	} else {
		for i := 1; i < 4; i++ {
			low, high := sum(kinks[i-1]), sum(kinks[i])
			if torque > high {
				continue
			}
			share := 0.5 // of a piece without slope
			if high > low {
				share = (torque - low) / (high - low)
			}
			x = kinks[i-1] + share*(kinks[i]-kinks[i-1])
			break
		}
	}
	g.anchor = min(max(g.anchor, x-reach), x+reach)
	return x
}

// simulate is the angle at each sample.
func (p *press) simulate(v *values, centre, anchor float64, angle []float64) {
	g := guideSpring{stiffness: v.guideStiffness, capacity: v.breakaway, anchor: anchor}
	mass := v.loads[p.load].mass
	for i, amps := range p.current {
		torque := v.torqueConstant*amps + p.known[i] + mass*p.perKG[i]
		angle[i] = g.angleAt(torque, v.stiffness, v.play/2, centre)
	}
}

// predict writes the mean angle of each cell and returns their number.
func (p *press) predict(to []float64, v *values, centre, anchor float64) int {
	inputs := []float64{v.torqueConstant, v.loads[p.load].mass, v.stiffness, v.play, v.breakaway, v.guideStiffness, centre, anchor}
	if p.last.is(inputs) {
		return copy(to, p.last.outputs)
	}
	angle := make([]float64, len(p.t))
	p.simulate(v, centre, anchor, angle)
	for i, c := range p.cells {
		to[i] = mean(angle[c.from:c.to])
	}
	p.last = memory{inputs, slices.Clone(to[:len(p.cells)])}
	return len(p.cells)
}

// torques are the torques at brake and guide together with some values.
func (p *press) torques(v *values) []float64 {
	sum := make([]float64, len(p.current))
	for i, amps := range p.current {
		sum[i] = v.torqueConstant*amps + p.known[i] + v.loads[p.load].mass*p.perKG[i]
	}
	return sum
}

// presses are the spans of a track with the brake closed in which the motor presses.
func presses(k *track, pieces []Piece, load int, r *plant.Rig) []press {
	var found []press
	for i := 0; i < len(pieces); i++ {
		if !pieces[i].Kind.closed() {
			continue
		}
		from, pressed := pieces[i].FromS, false
		for ; i < len(pieces) && pieces[i].Kind.closed(); i++ {
			pressed = pressed || pieces[i].Kind != StandstillClosed
		}
		if to := pieces[i-1].ToS; pressed {
			found = append(found, newPress(k, from+afterClosed, to, load, r))
		}
	}
	return slices.DeleteFunc(found, func(p press) bool { return len(p.t) < 4*cellMeans })
}

func newPress(k *track, from, to float64, load int, r *plant.Rig) press {
	part := k.angle.between(from, to)
	p := press{load: load}
	for i := 0; i+meanSamples <= len(part.t); i += meanSamples {
		t, x := mean(part.t[i:i+meanSamples]), mean(part.x[i:i+meanSamples])
		amps := 0.0
		for _, at := range part.t[i : i+meanSamples] {
			amps += k.current.at(at) / meanSamples
		}
		without, perKG := loadTorque(r, x)
		p.t, p.current, p.angle = append(p.t, t), append(p.current, amps), append(p.angle, x-part.x[0])
		p.known, p.perKG = append(p.known, without), append(p.perKG, perKG)
	}
	return p
}

// divide makes the cells with the values of the start. A cell goes on while the torque moves the angle by
// less than a quarter of an increment. Left out is where friction of the guide alone can carry the torque, so that the
// angle is that of a chance, and where the axis is on its way through the play.
func (p *press) divide(v *values, n *noise) {
	torque := p.torques(v)
	still := v.stiffness * max(n.quantum, n.angleRad) / 4
	fast := p.cutAtSlip(torque, p.transits(torque, v, n))
	torque = torque[:len(p.t)]
	least := max(frictionFactor*v.loads[p.load].friction(), leastTorque*largest(torque))
	for i := range fast {
		fast[i] = fast[i] || math.Abs(torque[i]) < least
	}
	for from := 0; from < len(p.t); {
		to := from
		for to < len(p.t) && !fast[to] && (to < from+cellMeans || math.Abs(torque[to]-torque[from]) < still) {
			to++
		}
		if to-from >= cellMeans {
			p.cells = append(p.cells, cell{from, to, n.ofMean((to - from) * meanSamples)})
		}
		from = max(to, from+1)
	}
}

// transits marks the samples in which the angle changes faster than a spring follows the torque, and those
// beside them.
func (p *press) transits(torque []float64, v *values, n *noise) []bool {
	fast := make([]bool, len(p.t))
	least := n.leastMove()
	for i := cellMeans; i+cellMeans <= len(p.t); i++ {
		moved := mean(p.angle[i:i+cellMeans]) - mean(p.angle[i-cellMeans:i])
		turned := mean(torque[i:i+cellMeans]) - mean(torque[i-cellMeans:i])
		if math.Abs(moved) > springFactor*math.Abs(turned)/v.stiffness+least {
			for j := i - cellMeans; j < i+cellMeans; j++ {
				fast[j] = true
			}
		}
	}
	return fast
}

// cutAtRun ends the press soon after the brake has let the axis run, by the stiffness k of the rig alone. Without it
// a slip of many turns would be fitted as a very soft spring:
//
//	|Δθ| > (10 |Δτ| + τ_top)/k + 5 σ
//
// between means beside each other, with τ_top the greatest torque of the press and σ the noise of the difference.
func (p *press) cutAtRun(torque []float64, k float64, n *noise) {
	p.elastic = len(p.t)
	top, least := largest(torque), n.leastMove()
	for i := cellMeans; i+cellMeans <= len(p.t); i++ {
		moved := math.Abs(mean(p.angle[i:i+cellMeans]) - mean(p.angle[i-cellMeans:i]))
		turned := math.Abs(mean(torque[i:i+cellMeans]) - mean(torque[i-cellMeans:i]))
		if math.Abs(torque[i]) > slipShare*top && moved > (slipFactor*turned+top)/k+least {
			p.elastic = i - cellMeans
			p.cut(i + cellMeans)
			return
		}
	}
}

// leastMove is the movement between two groups of means that is more than noise. Without noise a single increment is none:
// the mean moves by it while the torque hardly changes.
func (n *noise) leastMove() float64 {
	least := noiseFactor * n.ofDifference()
	if n.rounded {
		least = max(least, 1.5*n.quantum)
	}
	return least
}

// ofDifference is the noise of the angle between two groups of means.
func (n *noise) ofDifference() float64 { return math.Sqrt(2.0/(cellMeans*meanSamples)) * n.angleRad }

// cut takes away the samples from i on.
func (p *press) cut(i int) {
	p.t, p.current, p.known, p.perKG, p.angle = p.t[:i], p.current[:i], p.known[:i], p.perKG[:i], p.angle[:i]
	p.slips = true
}

// cutAtSlip ends the press where the brake slips: after it the brake holds at another angle.
func (p *press) cutAtSlip(torque []float64, fast []bool) []bool {
	top := largest(torque)
	for i := range fast {
		if fast[i] && math.Abs(torque[i]) > slipShare*top {
			i += cellMeans // the mark begins before the movement
			i = min(i, len(p.t))
			p.cut(i)
			return fast[:i]
		}
	}
	return fast
}
