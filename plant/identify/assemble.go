package identify

import (
	"fmt"
	"math"
	"slices"

	"holdbench/plant"
	"holdbench/plant/problem"
)

// sameLoad is the share of the load torque by which two recordings may differ with the same load.
const sameLoad = 0.03

// gathered is what was found in the recordings, track by track.
type gathered struct {
	rig     *plant.Rig
	massKG  float64 // weighed, without the payload of the rig; 0 if it was not
	tracks  []track
	pieces  [][]Piece
	travels []slow
	windows []window
	movingA float64 // noise of the current in motion
	loadOf  []int   // of a track
	closed  []Closed
}

// gather takes the motion from each track and finds which of them carry the same load.
func gather(tracks []track, pieces [][]Piece, r *plant.Rig, massKG float64) *gathered {
	g := &gathered{rig: r, massKG: max(0, massKG-r.Load.PayloadKG), tracks: tracks, pieces: pieces, loadOf: make([]int, len(tracks))}
	constant := r.Motor.TorqueConstant * r.Motor.TorqueFactor
	for i := range tracks {
		travels, wins := slowPieces(&tracks[i], pieces[i], i, r, constant), windows(&tracks[i], pieces[i], i, r)
		c := closedForm(travels, wins, i, constant, r)
		to := g.load(c)
		for n := range travels {
			travels[n].load = to
		}
		for n := range wins {
			wins[n].load = to
		}
		g.loadOf[i] = to
		g.travels, g.windows = append(g.travels, travels...), append(g.windows, wins...)
	}
	g.movingA = grade(g.windows)
	for i := range g.closed {
		g.closed[i] = closedForm(g.travels, g.windows, i, constant, r)
	}
	return g
}

// load is the place of the load that a track carries. A track without travel up and down carries the first.
func (g *gathered) load(c Closed) int {
	if len(g.closed) > 0 && c.Pairs == 0 {
		return 0
	}
	for i := range g.closed {
		if g.closed[i].Pairs == 0 || math.Abs(c.MassKG-g.closed[i].MassKG) < sameLoad*math.Abs(g.closed[i].MassKG) {
			return i
		}
	}
	g.closed = append(g.closed, c)
	return len(g.closed) - 1
}

// model puts together what is fitted.
func (g *gathered) model() *model {
	r := g.rig
	m := &model{rig: r, perKG: perKG(r), loads: len(g.closed), noise: measureNoise(g.tracks, g.pieces, 2*math.Pi/r.Encoder.IncrementsPerTurn), windows: g.windows}
	m.noise.movingA, m.noise.torqueNM = max(m.noise.currentA, g.movingA), torqueNoise(m.windows)
	m.start(g)
	for i := range g.tracks {
		k := &g.tracks[i]
		m.addPresses(k, presses(k, g.pieces[i], g.loadOf[i], r))
		m.addStops(k, stops(k, g.pieces[i], g.loadOf[i], r))
	}
	m.startRest()
	return m
}

// start gives the values of the motion their first ones.
func (m *model) start(g *gathered) {
	r, first := m.rig, g.closed[0]
	m.unknowns = make([]unknown, named, named+m.loads)
	for i := range m.unknowns {
		m.unknowns[i].name = nameOf(i)
		switch {
		case i >= responseDelay:
			m.unknowns[i].part = ofStop
		case i >= stiffness:
			m.unknowns[i].part = ofPress
		}
	}
	set := func(i int, start, scale float64, free, log bool) {
		m.unknowns[i].start, m.unknowns[i].scale, m.unknowns[i].free, m.unknowns[i].log = start, scale, free, log
	}
	moves := len(m.windows) > 0
	constant := r.Motor.TorqueConstant * r.Motor.TorqueFactor
	if g.massKG > 0 && first.Pairs > 0 { // the holding current at the assumed constant belongs to another mass
		constant *= g.massKG / first.MassKG
	}
	measured := measuredConstant(m.windows)
	if g.massKG == 0 && measured > 0 {
		constant = measured
	}
	set(torqueConstant, constant, constant, moves && (g.massKG > 0 || measured > 0), false)
	scale := constant / (r.Motor.TorqueConstant * r.Motor.TorqueFactor)
	set(inertia, first.Inertia*scale, first.Inertia, moves, false)
	both := moves && g.both() // else load and friction are one sum, and friction stays that of the rig
	set(viscous, first.ViscousNMS*scale, max(first.SlidingNM/100, 1e-6), both, false)
	set(loss, 1/r.Transmission.Efficiency-1, 0.1, moves && m.loads > 1, false)
	set(late, 0, 1e-3, moves, false)
	m.priors = append(m.priors, prior{late, 0, lateKnown})
	if set(transducer, 1, 1, measured > 0, false); measured > 0 {
		m.priors = append(m.priors, prior{transducer, 1, transducerKnown})
	}
	m.startBrake(set, &first)
	for i, c := range g.closed {
		mass := c.MassKG * scale
		if g.massKG > 0 && i == 0 {
			mass = g.massKG
		}
		at := m.add(ofMotion, fmt.Sprintf("mass %d", i+1), mass, max(1, math.Abs(mass)))
		m.unknowns[at].free = moves && (g.massKG == 0 || i > 0)
	}
	set(sliding, 0, max(first.SlidingNM, 1e-3), both, false)
	l := m.load(m.full(m.startPoint()), m.unknowns[named].start)
	m.unknowns[sliding].start = first.SlidingNM*scale - (l.slidingUp+l.slidingDown)/2
}

// both is whether there is travel up and down with one of the loads.
func (g *gathered) both() bool {
	return slices.ContainsFunc(g.closed, func(c Closed) bool { return c.Pairs > 0 })
}

// startBrake gives the values of press and stop their first ones from the rig. Nothing of them is free yet.
func (m *model) startBrake(set func(i int, start, scale float64, free, log bool), first *Closed) {
	r := m.rig
	d := plant.Derive(r)
	set(stiffness, d.BrakeStiffness, 0, false, true)
	set(play, r.Brake.PlayDeg*math.Pi/180, 1e-4, false, false)
	set(breakaway, max(first.SlidingNM*1.3, 1e-3), 0, false, true)
	set(guideStiffness, max(d.GuideStiffness, d.BrakeStiffness/1000), 0, false, true)
	set(responseDelay, r.Brake.ResponseDelay.Seconds(), 0, false, true)
	set(riseTime, r.Brake.RiseTime.Seconds(), 0, false, true)
	set(brakeSliding, slidingOf(r)*r.Brake.Condition, 0, false, true)
}

func slidingOf(r *plant.Rig) float64 {
	if r.Brake.SlidingNM > 0 {
		return r.Brake.SlidingNM
	}
	return r.Brake.StaticNM
}

func (m *model) free(values ...int) {
	for _, i := range values {
		m.unknowns[i].free = true
	}
}

// The choices of what is known of the values that disturb others, as factors and shares.
const (
	guideKnown      = 2.0   // factor within which the stiffness of the guide is known
	frictionFit     = 1.5   // factor within which its breakaway friction is
	transducerKnown = 0.005 // share within which the gain of a torque transducer is known (common practice: 0.1 % to 1 %)
	lateKnown       = 0.01  // s, within which current and angle are recorded at one time
)

// addPresses adds presses. Guide and brake are springs side by side: where the guide does not slide only the
// sum of their stiffnesses is seen, and that of the guide is taken from the rig, within a factor.
func (m *model) addPresses(k *track, found []press) {
	for i := range found {
		p := &found[i]
		name := problem.Text("of the press at %.4g s of %s", p.t[0], k.name)
		p.centre = m.add(ofPress, "centre "+name, 0, 1e-3)
		p.anchor = m.add(ofPress, "guide "+name, 0, 1e-3)
		reach := m.unknowns[breakaway].start / m.unknowns[guideStiffness].start
		m.priors = append(m.priors, prior{p.anchor, 0, reach})
		if len(m.presses) == 0 {
			m.free(stiffness, play, breakaway, guideStiffness)
			m.known(guideStiffness, guideKnown)
			m.known(breakaway, frictionFit)
		}
		m.presses = append(m.presses, *p)
	}
}

// known adds that a value which is fitted by its logarithm is known within a factor.
func (m *model) known(i int, factor float64) {
	m.priors = append(m.priors, prior{i, math.Log(m.unknowns[i].start), math.Log(factor)})
}

// addStops adds stops and the times of the switch. A command is seen at the first sample after it. How
// much earlier it was is the same for all of a recording, whose samples and commands may have one clock.
func (m *model) addStops(k *track, found []stop) {
	delays, spread := m.delaysOf(k)
	if len(found) == 0 && len(delays) == 0 {
		return
	}
	period := edge{spread: max(spread, k.brakeSignal().period())}
	later, reach := k.after(&period)
	moment := m.add(ofStop, "moment of the commands of "+k.name, later, 1e-3)
	m.priors = append(m.priors, prior{moment, later, reach / math.Sqrt(3)})
	if len(delays) > 0 && m.rig.Brake.Feedback == plant.FeedbackSwitch { // others report the command or the coil
		m.delays = append(m.delays, delay{mean(delays), spread / math.Sqrt(12), reach, moment})
	}
	m.free(responseDelay)
	for i := range found {
		s := &found[i]
		name := problem.Text("of the stop at %.4g s of %s", s.command, k.name)
		s.place, s.late = m.add(ofStop, "angle "+name, 0, 1e-3), moment
		m.add(ofStop, "speed "+name, s.startSpeed(), math.Abs(s.startSpeed()))
		amps := m.add(ofStop, "current "+name, 0, 1e-3)
		m.unknowns[amps].free = !s.off
		m.priors = append(m.priors, prior{amps, 0, max(m.noise.currentA, tiny) / math.Sqrt(float64(len(s.t)))})
		m.stops = append(m.stops, *s)
		m.free(riseTime, brakeSliding)
	}
}

// delaysOf are the times from the close commands of a track to its switch, and the time between samples.
func (m *model) delaysOf(k *track) (delays []float64, spread float64) {
	for _, c := range k.changes() {
		if c.rises && c.commanded && c.follows {
			delays = append(delays, c.felt.t-c.t)
			spread = max(spread, c.felt.spread, c.spread)
		}
	}
	return delays, spread
}

// startRest gives the values of presses and stops their first ones, with those of the motion.
func (m *model) startRest() {
	x := m.full(m.startPoint())
	v := m.spread(x)
	var stiff, plays []float64
	for i := range m.presses {
		p := &m.presses[i]
		s, gap, centre, ok := startPress(p, v, &m.noise)
		if ok {
			stiff, plays = append(stiff, s), append(plays, gap)
			m.unknowns[p.centre].start = centre
		}
	}
	if len(stiff) > 0 {
		m.unknowns[stiffness].start, m.unknowns[play].start = median(stiff), median(plays)
	}
	v = m.spread(m.full(m.startPoint()))
	for i := range m.presses {
		m.presses[i].divide(v, &m.noise)
	}
	if len(m.stops) > 0 {
		x = m.full(m.startPoint())
		m.startStop(x)
		for _, i := range []int{responseDelay, riseTime, brakeSliding} {
			m.unknowns[i].start = x[i]
		}
	}
}
