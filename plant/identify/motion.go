package identify

import (
	"math"

	"holdbench/plant"
)

// window is the torque balance of an axis that moves in one direction with its brake open, weighted with
// a function φ of time and integrated:
//
//	k_t ∫ i φ dt + ∫ τ_g φ dt = J ∫ θ̈ φ dt + b ∫ θ̇ φ dt ± C ∫ φ dt,  φ = (1 − s²)²,  s from −1 to 1
//
// As φ and its slope are 0 at both ends, integration by parts leaves the angle itself,
//
//	∫ θ̇ φ dt = −∫ θ φ' dt,  ∫ θ̈ φ dt = ∫ θ φ'' dt
//
// so that no measured signal is ever differentiated: the error of the equation is a known weighted sum of
// the noise of the samples, and what noise remains in the terms of J and b is so small beside the
// motion that it does not bias them. Windows do not overlap, so that their errors are independent. The
// balance is that of plant/shaft.go.
//
// Recorders may sample the current later than the angle. That shifts φ, to first order by −late ∫ i φ' dt, and is
// fitted too.
//
// Source: modulating functions, M. Shinbrot, Trans. ASME 79, 1957 (from memory).
type window struct {
	from, to float64 // s
	load     int     // which load is on the axis
	up       float64 // 1 or −1, direction of motion
	current  float64 // ∫ i φ dt in A·s
	slide    float64 // −∫ i φ' dt in A, by which it grows for each second that the current was recorded late
	known    float64 // ∫ τ_g φ dt without the mass, N·m·s
	perKG    float64 // the same for each kg of the mass
	bump     float64 // ∫ φ dt in s
	speed    float64 // ∫ θ̇ φ dt in rad
	accel    float64 // ∫ θ̈ φ dt in rad/s

	torque, torqueNoise, torqueBends float64 // the same as of the current, of a torque that was measured; 0 without one

	accelerates bool // by more than a small share of the greatest acceleration

	// Sums of squares by which noise of the samples enters: that of the current, and that of the angle by
	// the terms of b, of both and of J.
	currentNoise                   float64
	bends                          float64 // A²·s², see bendError
	speedNoise, crossed, jerkNoise float64
}

// The choices of the windows.
const (
	windowTime    = 0.1 // s
	windowSamples = 24  // at least
	noisyBends    = 3   // times the median of the bends of all windows, which those of noise do not exceed
	stribeckAway  = 3   // Stribeck speeds, above which friction no longer falls with speed: e^−9
)

// windows covers the free motion of a track.
func windows(k *track, pieces []Piece, load int, r *plant.Rig) []window {
	var found []window
	half := max(leastSamples, int(smoothingTime/k.period))
	for _, p := range joinedFree(pieces) {
		part := k.angle.between(p.FromS, p.ToS)
		if len(part.t) < windowSamples {
			continue
		}
		speed := part.slopes(half)
		for _, run := range movingRuns(speed, stribeckAway*r.Guide.StribeckRPM*math.Pi/30) {
			found = append(found, tile(k, series{part.t[run.from:run.to], part.x[run.from:run.to]}, run.up, load, r)...)
		}
	}
	return found
}

// grade marks the windows in acceleration, and leaves of the bends of the current what exceeds those of noise. It returns
// that noise in A: that of the current in motion, which is larger than at rest where the drive answers its encoder. The
// second difference of independent samples has six times their variance. Source: any text on statistics.
func grade(windows []window) (noiseA float64) {
	greatest := 0.0
	bends := make([]float64, len(windows))
	for i := range windows {
		greatest = max(greatest, math.Abs(windows[i].accel))
		bends[i] = windows[i].bends / windows[i].currentNoise
	}
	noiseA = math.Sqrt(median(bends) / bendError / 6)
	noise := noisyBends * median(bends)
	for i := range windows {
		w := &windows[i]
		w.accelerates = math.Abs(w.accel) > steadyShare*greatest
		w.bends = max(0, w.bends-noise*w.currentNoise)
	}
	return noiseA
}

// joinedFree are the spans of free motion; travel and acceleration that follow one another are one.
func joinedFree(pieces []Piece) []Piece {
	var found []Piece
	for i := range pieces {
		p := pieces[i]
		if !p.Kind.free() {
			continue
		}
		if n := len(found); n > 0 && found[n-1].ToS == p.FromS {
			found[n-1].ToS = p.ToS
			continue
		}
		found = append(found, p)
	}
	return found
}

// movingRun is a range of samples that move in one direction, faster than a limit.
type movingRun struct {
	from, to int
	up       float64
}

func movingRuns(speed []float64, limit float64) []movingRun {
	var found []movingRun
	for i, v := range speed {
		if math.Abs(v) <= limit {
			continue
		}
		up := math.Copysign(1, v)
		if n := len(found); n > 0 && found[n-1].to == i && found[n-1].up == up {
			found[n-1].to = i + 1
			continue
		}
		found = append(found, movingRun{i, i + 1, up})
	}
	return found
}

// tile divides a run into windows of equal numbers of samples.
func tile(k *track, part series, up float64, load int, r *plant.Rig) []window {
	n := len(part.t) - 1
	samples := max(windowSamples, int(math.Round(windowTime/k.period)))
	count := n / samples
	var found []window
	for i := range count {
		low, high := i*n/count, (i+1)*n/count
		w := newWindow(k, series{part.t[low : high+1], part.x[low : high+1]}, r)
		w.up, w.load = up, load
		if w.currentNoise > 0 {
			found = append(found, w)
		}
	}
	return found
}

// newWindow integrates one window. The angle is split into a parabola, whose integrals are exact, and
// the small rest, which is summed by the trapezoidal rule.
func newWindow(k *track, angle series, r *plant.Rig) window {
	last := len(angle.t) - 1
	h, centre := (angle.t[last]-angle.t[0])/2, (angle.t[last]+angle.t[0])/2
	w := window{from: angle.t[0], to: angle.t[last], bump: 16.0 / 15 * h}
	s := make([]float64, len(angle.t))
	for i, t := range angle.t {
		s[i] = (t - centre) / h
	}
	c := parabola(s, angle.x)
	w.speed, w.accel = 16.0/15*c[1], 32.0/15*c[2]/h
	for i := range s {
		dt := trapezoid(angle.t, i)
		first, second := -4*s[i]*(1-s[i]*s[i])/h, (12*s[i]*s[i]-4)/(h*h)
		rest := angle.x[i] - c[0] - c[1]*s[i] - c[2]*s[i]*s[i]
		w.speed -= dt * rest * first
		w.accel += dt * rest * second
		w.speedNoise += dt * dt * first * first
		w.crossed += dt * dt * first * second
		w.jerkNoise += dt * dt * second * second
		bump := dt * (1 - s[i]*s[i]) * (1 - s[i]*s[i])
		without, perKG := loadTorque(r, angle.x[i])
		w.known += bump * without
		w.perKG += bump * perKG
	}
	part := k.current.between(w.from, w.to)
	for i, t := range part.t {
		x := (t - centre) / h
		bump := trapezoid(part.t, i) * (1 - x*x) * (1 - x*x)
		w.current += bump * part.x[i]
		w.currentNoise += bump * bump
		w.slide += trapezoid(part.t, i) * part.x[i] * 4 * x * (1 - x*x) / h
		if i > 0 && i+1 < len(part.t) {
			second := part.x[i-1] - 2*part.x[i] + part.x[i+1]
			w.bends += bendError * bump * bump * second * second
		}
	}
	w.addTorque(k.torque, centre, h)
	return w
}

// bendError is the mean square of the error of the trapezoidal rule where the current bends between two samples, as when
// the drive begins or ends an acceleration. A bend of the slope by c at a share u of a period h leaves the error and is
// seen in two second differences,
//
//	c h² u (1 − u)/2,  c h (1 − u) and c h u
//
// so that in the mean over u the square of the error is 1/120 : 2/3 of the sum of their squares, times h². Source: own
// derivation from the trapezoidal rule.
const bendError = 1.0 / 80

// addTorque integrates a torque that was measured.
func (w *window) addTorque(torque series, centre, h float64) {
	part := torque.between(w.from, w.to)
	for i, t := range part.t {
		x := (t - centre) / h
		bump := trapezoid(part.t, i) * (1 - x*x) * (1 - x*x)
		w.torque += bump * part.x[i]
		w.torqueNoise += bump * bump
		if i > 0 && i+1 < len(part.t) {
			second := part.x[i-1] - 2*part.x[i] + part.x[i+1]
			w.torqueBends += bump * bump * second * second
		}
	}
}

// measured is whether the window has a measured torque that counts. In acceleration it depends on the place of the
// transducer: behind the rotor it does not see what the rotor takes.
func (w *window) measured() bool { return w.torqueNoise > 0 && !w.accelerates }

// trapezoid is the weight of a sample by the trapezoidal rule, in s.
func trapezoid(t []float64, i int) float64 {
	return (t[min(i+1, len(t)-1)] - t[max(i-1, 0)]) / 2
}

// parabola is c₀ + c₁ s + c₂ s² by least squares.
func parabola(s, x []float64) [3]float64 {
	var p [5]float64
	var y [3]float64
	for i := range s {
		power := 1.0
		for n := range p {
			p[n] += power
			if n < len(y) {
				y[n] += power * x[i]
			}
			power *= s[i]
		}
	}
	return solve3([3][3]float64{{p[0], p[1], p[2]}, {p[1], p[2], p[3]}, {p[2], p[3], p[4]}}, y)
}

// solve3 solves three linear equations of a positive definite matrix.
func solve3(a [3][3]float64, y [3]float64) [3]float64 {
	for i := range 3 {
		for j := i + 1; j < 3; j++ {
			f := a[j][i] / a[i][i]
			for k := i; k < 3; k++ {
				a[j][k] -= f * a[i][k]
			}
			y[j] -= f * y[i]
		}
	}
	for i := 2; i >= 0; i-- {
		for k := i + 1; k < 3; k++ {
			y[i] -= a[i][k] * y[k]
		}
		y[i] /= a[i][i]
	}
	return y
}

// loadTorque is the load torque of a rig at an angle of the motor, apart: without its mass, and for
// each kg of it. It is linear in the mass, see plant/load.go.
func loadTorque(r *plant.Rig, angle float64) (without, perKG float64) {
	mm := angle * plant.Derive(r).MMPerRad
	empty, one := *r, *r
	empty.Load.MassKG, one.Load.MassKG = 0, 1
	without = plant.LoadTorque(&empty, mm)
	return without, plant.LoadTorque(&one, mm) - without
}

// deviation is the standard deviation of the error of the balance in N·m·s, by the noise of the samples.
func (w *window) deviation(v *values, n *noise) float64 {
	torque := v.torqueConstant * n.movingA
	angle := v.viscous*v.viscous*w.speedNoise + 2*v.viscous*v.inertia*w.crossed + v.inertia*v.inertia*w.jerkNoise
	return math.Sqrt(torque*torque*w.currentNoise + v.torqueConstant*v.torqueConstant*w.bends + n.angleRad*n.angleRad*angle)
}

// error is what the balance lacks in N·m·s.
func (w *window) error(v *values) float64 {
	return v.torqueConstant*(w.current+v.late*w.slide) - w.needed(v)
}

// needed is the torque of the motor that load, friction and acceleration take, in N·m·s.
func (w *window) needed(v *values) float64 {
	l := &v.loads[w.load]
	friction := l.slidingUp
	if w.up < 0 {
		friction = -l.slidingDown
	}
	return friction*w.bump + v.viscous*w.speed + l.inertia*w.accel - w.known - l.mass*w.perKG
}

// torqueNoise is the noise of a measured torque in N·m, as [grade] has that of the current.
func torqueNoise(windows []window) float64 {
	var squares, torques []float64
	for i := range windows {
		if w := &windows[i]; w.measured() {
			torques = append(torques, w.torque/w.bump)
			squares = append(squares, w.torqueBends/w.torqueNoise/6)
		}
	}
	return max(math.Sqrt(median(squares)), resolution*largest(torques))
}

// resolution is the share of the greatest torque that a transducer does not resolve.
const resolution = 1e-4

// measuredConstant is a first value of the torque constant: the slope of the measured torque over the current through
// zero. It is 0 without such a torque.
func measuredConstant(windows []window) float64 {
	ti, ii := 0.0, 0.0
	for i := range windows {
		if w := &windows[i]; w.measured() {
			ti, ii = ti+w.torque*w.current, ii+w.current*w.current
		}
	}
	if ii == 0 {
		return 0
	}
	return max(0, ti/ii)
}
