package sizing

import (
	"math"
	"time"

	"holdbench/plant"
)

// figures are the numbers behind the lines, each worked out once.
type figures struct {
	rig    *plant.Rig
	params Params
	w      Wishes

	normal, heavy, light plant.Rig // with the rig's own load, the heaviest and the lightest
	now                  plant.Derived

	load    loadFigures
	press   pressFigures
	ceiling ceilingFigures
	window  windowFigures
	times   timeFigures
}

func newFigures(r *plant.Rig, params Params, w Wishes) *figures {
	f := &figures{rig: r, params: params, w: w, normal: *r, heavy: *r, light: *r, now: plant.Derive(r)}
	f.heavy.Load.MassKG, f.light.Load.MassKG = w.HeaviestKG, w.LightestKG
	f.heavy.Load.CounterbalanceKG *= 1 - w.CounterLoss
	f.findLoad()
	f.window.samples = scansOf(w.Dwell, f.scan())
	if w.CreepMMS > 0 {
		f.window.samples = 1
	}
	for again := true; again; again = f.lengthen() { // it ends: the dwell has a longest
		f.findAlarmShares()
		f.findPress()
		f.findCeiling()
		f.findWindow()
	}
	f.findTimes()
	return f
}

// loadFigures are pulls in N·m, positive where the load sinks, and places in mm.
type loadFigures struct {
	worst, worstMM       float64    // largest size over the travel
	of                   *plant.Rig // with the load that it is the pull of
	least                float64    // of the lightest load, the smallest over the travel
	test                 float64    // required test torque
	atMM                 float64    // test position
	bestMM               float64
	lowMM, highMM        float64 // between which there is clearance
	normal, heavy, light float64 // at the test position
	sliding, breakaway   float64 // of the guide, with the loss of the transmission at the heaviest load
	cover                float64 // of it, what is pressed on top
}

// pull is positive where the load sinks.
func pull(r *plant.Rig, mm float64) float64 { return -plant.LoadTorque(r, mm) }

func (f *figures) findLoad() {
	l, s := &f.load, f.rig.Stops
	worst, least := f.levelest(s.LowMM, s.HighMM), pull(&f.light, f.levelest(s.LowMM, s.HighMM))
	l.worstMM = worst
	l.worst, l.of = math.Abs(pull(&f.heavy, worst)), &f.heavy
	if -least > l.worst {
		l.worst, l.of = -least, &f.light
	}
	l.test = f.w.Factor * l.worst
	l.least = min(least, pull(&f.light, s.LowMM), pull(&f.light, s.HighMM))
	f.findPlace()
	l.normal, l.heavy, l.light = pull(&f.normal, l.atMM), pull(&f.heavy, l.atMM), pull(&f.light, l.atMM)
	heavy := plant.Derive(&f.heavy)
	l.sliding, l.breakaway = heavy.GuideSlidingNM, heavy.GuideBreakawayNM
	if !f.w.LendFriction {
		l.cover = l.breakaway
	}
}

func (f *figures) isArm() bool { return f.rig.Load.ArmMM > 0 }

// levelest is the place in a stretch where an arm is nearest to level, and so weighs most;
// a straight axis weighs the same everywhere, and its lowest place is given.
func (f *figures) levelest(low, high float64) float64 {
	if !f.isArm() {
		return low
	}
	level := -f.rig.Load.ArmAngleDeg * math.Pi / 180 * f.rig.Load.ArmMM
	return min(max(level, low), high)
}

// armDeg is how high an arm points at a place, 0 for a straight axis.
func (f *figures) armDeg(mm float64) float64 {
	if !f.isArm() {
		return 0
	}
	deg := f.rig.Load.ArmAngleDeg + mm/f.rig.Load.ArmMM*180/math.Pi
	return math.Round(deg*1e9)/1e9 + 0 // level is 0, without a trace of rounding or a sign
}

// findPlace takes the place that is wished for, or the best one. An arm is best tested
// where it weighs most. A straight axis weighs the same everywhere: the sequence's own
// place if it is clear of stops and support, else the lowest that is.
func (f *figures) findPlace() {
	l, s := &f.load, f.rig.Stops
	l.lowMM, l.highMM = max(s.LowMM, f.params.or("support_position_mm", s.LowMM))+f.w.ClearanceMM, s.HighMM-f.w.ClearanceMM
	if l.highMM < l.lowMM { // too short a travel: half-way
		l.lowMM = (s.LowMM + s.HighMM) / 2
		l.highMM = l.lowMM
	}
	l.bestMM = f.levelest(l.lowMM, l.highMM)
	l.atMM = l.bestMM
	if own, ok := f.params["test_position_mm"]; ok && !f.isArm() && f.clear(own) {
		l.atMM = own
	}
	if !math.IsNaN(f.w.TestPositionMM) {
		l.atMM = f.w.TestPositionMM
	}
}

func (f *figures) clear(mm float64) bool { return f.load.lowMM <= mm && mm <= f.load.highMM }

// pressFigures are motor torques in N·m, both counted as positive in their own direction.
type pressFigures struct {
	tolerance      float64 // measured torque over true torque that makes the true one certain
	needDown       float64 // true torque that loads the brake with the test torque
	needUp         float64
	requiredDown   float64 // measured torque that the judge must see
	requiredUp     float64
	down, up       float64 // setpoints
	larger         float64 // of them: a light load that rises makes it the one down
	leastMargin    float64
	noise          float64 // of one sample of measured torque
	dipDeviations  float64
	peakDeviations float64
	brakeMost      float64 // largest torque at the brake
}

// findPress makes the test torque certain at the brake whatever load hangs on it and
// whichever way the tolerances lie.
func (f *figures) findPress() {
	p, l, w := &f.press, &f.load, &f.w
	p.tolerance = (1 + w.CurrentTolerance) / (1 - w.MagnetTolerance)
	p.needDown = l.test - l.light + l.cover
	p.needUp = l.test + l.heavy + l.cover
	p.requiredDown, p.requiredUp = p.needDown*p.tolerance, p.needUp*p.tolerance
	p.down, p.up = p.requiredDown*w.PressMargin, p.requiredUp*w.PressMargin
	p.larger = max(p.down, p.up)
	p.noise = f.rig.Drive.CurrentNoiseRMSA * f.rig.Motor.TorqueConstant
	p.leastMargin = (1 + p.dipDeviations*p.noise/min(p.requiredDown, p.requiredUp)) / (1 - w.CurrentTolerance)
	strong := 1 + w.MagnetTolerance
	p.brakeMost = max(p.down*strong+l.heavy, p.up*strong-l.light)
}

// ceilingFigures are measured torques in N·m.
type ceilingFigures struct {
	low, high float64
	highIs    string // what the upper bound is
	value     float64
	limit     float64 // torque limit of the drive during the test
}

// findCeiling puts the ceiling as far, by ratio, from the torque of the test as from what
// must not be passed.
func (f *figures) findCeiling() {
	c, p, w := &f.ceiling, &f.press, &f.w
	c.low = p.larger*(1+w.CurrentTolerance) + p.peakDeviations*p.noise
	c.high, c.highIs = f.now.DriveTorqueLimitNM*(1-w.CurrentTolerance), "the drive's current limit as it is measured, or it never comes"
	truly := (1 - w.CurrentTolerance) / (1 + w.MagnetTolerance)
	if w.MotorPeakNM > 0 && w.MotorPeakNM*truly < c.high {
		c.high, c.highIs = w.MotorPeakNM*truly, "the motor's short-time torque, with strong magnets"
	}
	if w.MechanicsNM > 0 && w.MechanicsNM*truly < c.high {
		c.high, c.highIs = w.MechanicsNM*truly, "what the mechanics take, with strong magnets"
	}
	c.value = middle(c.low, c.high)
	c.limit = max(p.larger, min(1.1*p.larger, c.value/((1+w.CurrentTolerance)*(1+w.MagnetTolerance))))
}

// middle is as far from one bound as from the other, by ratio. Of bounds that cross it is
// the upper: what catches too much is on the safe side.
func middle(low, high float64) float64 {
	if low > high {
		return high
	}
	return math.Sqrt(low * high)
}

func (f *figures) scan() time.Duration { return f.rig.Clock.SafetyScan }
