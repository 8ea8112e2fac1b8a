package identify

import (
	"math"
	"slices"

	"holdbench/plant"
	"holdbench/plant/identify/leastsquares"
)

// model is all that is fitted together: the balances of the motion, the angles of presses and stops, and the
// times of the switch, on the values that they share.
type model struct {
	rig      *plant.Rig
	perKG    float64 // kg·m² for each kg
	loads    int
	noise    noise
	windows  []window
	presses  []press
	stops    []stop
	delays   []delay
	priors   []prior
	unknowns []unknown
	rows     []row
}

// unknown is one value of a fit.
type unknown struct {
	name  string
	part  part    // that mainly determines it
	start float64 // also its value if it is not fitted
	free  bool
	log   bool // fitted is its logarithm, as it is above 0
	scale float64
}

// delay is the time from the close command to the switch, t₁₁ + t₁₂ (plant/armature.go).
type delay struct {
	time, sigma float64
	reach       float64 // s, within which the command lies about its moment
	late        int     // place of the moment of the commands among the values that are fitted
}

// prior is what is known of a value without the recordings, in the mean and by its standard deviation. It
// counts like one measurement more. Values that only disturb others have one: without it, what
// the recordings do not tell of them would make the others seem unknown.
type prior struct {
	at          int
	mean, sigma float64 // as fitted: of the logarithm where that is fitted
}

// part says of what a row of the fit is.
type part uint8

const (
	ofMotion part = iota
	ofPress
	ofStop
	ofKnown // times of the switch, and what is known beside the recordings
	parts
)

// group are the rows of which the residuals have one deviation. Acceleration has one of its own: between the samples the
// current of a drive that changes its speed is another than a straight line, and an axis has more that is not in the model.
type group uint8

const (
	inTravel group = iota // at constant speed
	inAcceleration
	inPress
	inStop
	inTorque // measured by a transducer
	inKnown
	groups
)

// row is one observed value of the fit.
type row struct {
	part            part
	group           group
	observed, sigma float64
	rough           bool    // most of sigma is a bound: it says nothing of the noise
	t               float64 // s, in its recording
}

// names of the values in messages and correlations.
func nameOf(i int) string {
	return [named]string{
		"torque constant", "inertia", "sliding friction", "viscous friction", "transmission loss", "lateness of the current", "gain of the torque transducer", "brake stiffness", "brake play",
		"breakaway friction of the guide", "guide stiffness", "t11", "t12", "sliding torque of the brake",
	}[i]
}

// add makes a value of a single piece.
func (m *model) add(of part, name string, start, scale float64) int {
	m.unknowns = append(m.unknowns, unknown{name: name, part: of, start: start, free: true, scale: scale})
	return len(m.unknowns) - 1
}

// full are all values at a point of the fit.
func (m *model) full(p []float64) []float64 {
	x := slices.Clone(p)
	for i := range x {
		if m.unknowns[i].log {
			x[i] = math.Exp(x[i])
		}
	}
	return x
}

// startPoint is the point of the starts.
func (m *model) startPoint() []float64 {
	p := make([]float64, len(m.unknowns))
	for i, u := range m.unknowns {
		p[i] = u.start
		if u.log {
			p[i] = math.Log(u.start)
		}
	}
	return p
}

// predict writes what the values predict for each row.
func (m *model) predict(to, p []float64) {
	x := m.full(p)
	v := m.spread(x)
	n := 0
	for i := range m.windows {
		w := &m.windows[i]
		to[n] = w.current - w.error(v)/v.torqueConstant
		n++
	}
	for i := range m.windows {
		if w := &m.windows[i]; w.measured() {
			to[n] = v.transducer * w.needed(v) / w.bump
			n++
		}
	}
	for i := range m.presses {
		s := &m.presses[i]
		n += s.predict(to[n:], v, x[s.centre], x[s.anchor])
	}
	for i := range m.stops {
		s := &m.stops[i]
		n += s.predict(to[n:], v, x[s.place:s.place+3], x[s.late])
	}
	for _, d := range m.delays {
		to[n] = v.responseDelay + v.riseTime + x[d.late]
		n++
	}
	for _, q := range m.priors {
		to[n] = p[q.at]
		n++
	}
}

// observe makes the rows, in the order of predict, with standard deviations by the noise of the samples.
func (m *model) observe(p []float64) {
	v := m.spread(m.full(p))
	m.rows = m.rows[:0]
	for i := range m.windows {
		w := &m.windows[i]
		in := inTravel
		if w.accelerates {
			in = inAcceleration
		}
		m.rows = append(m.rows, row{ofMotion, in, w.current, w.deviation(v, &m.noise) / v.torqueConstant, w.bends > m.noise.movingA*m.noise.movingA*w.currentNoise, w.from})
	}
	for i := range m.windows {
		if w := &m.windows[i]; w.measured() {
			m.rows = append(m.rows, row{ofMotion, inTorque, w.torque / w.bump, max(m.noise.torqueNM, tiny) * math.Sqrt(w.torqueNoise) / w.bump, false, w.from})
		}
	}
	for i := range m.presses {
		s := &m.presses[i]
		for _, c := range s.cells {
			m.rows = append(m.rows, row{ofPress, inPress, mean(s.angle[c.from:c.to]), c.sigma, false, s.t[c.from]})
		}
	}
	for i := range m.stops {
		s := &m.stops[i]
		for n, x := range s.angle {
			m.rows = append(m.rows, row{ofStop, inStop, x, m.noise.angleRad, false, s.t[n]})
		}
	}
	for _, d := range m.delays {
		m.rows = append(m.rows, row{ofKnown, inKnown, d.time, d.sigma, false, 0})
	}
	for _, q := range m.priors {
		m.rows = append(m.rows, row{ofKnown, inKnown, q.mean, q.sigma, false, 0})
	}
}

// problem is the model as the solver takes it, from a point, with a factor for the standard deviations
// of each group, and which of the values it fits. A part that is not used is left out, with the values that it
// determines.
func (m *model) problem(p []float64, use [parts]bool, factor [groups]float64) (q leastsquares.Problem, fitted []int) {
	for i, u := range m.unknowns {
		if !u.free || !use[u.part] {
			continue
		}
		a := leastsquares.Parameter{Name: u.name, Start: p[i], Typical: u.scale}
		if u.log {
			a.Bounds = &leastsquares.Bounds{Lower: math.Log(u.start) - logReach, Upper: math.Log(u.start) + logReach}
			a.Typical = 1
		}
		q.Parameters, fitted = append(q.Parameters, a), append(fitted, i)
	}
	for _, r := range m.rows {
		weight := 0.0
		if use[r.part] {
			weight = math.Pow(max(r.sigma*factor[r.group], tiny), -2)
		}
		q.Observed, q.Weights = append(q.Observed, r.observed), append(q.Weights, weight)
	}
	all := slices.Clone(p)
	q.Model = func(predicted, values []float64) {
		for n, i := range fitted {
			all[i] = values[n]
		}
		m.predict(predicted, all)
	}
	return q, fitted
}

const (
	logReach = 5     // e⁵ is 150 times the start
	tiny     = 1e-12 // a deviation of signals without noise
)
