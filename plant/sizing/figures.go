package sizing

import (
	"math"
	"time"

	"holdbench/plant"
)

// figures are the values of the lines, each calculated once.
type figures struct {
	rig    *plant.Rig
	params Params
	w      Assumptions

	nominalRig, maximumRig, minimumRig plant.Rig // with the load of the rig, the maximum and the minimum load
	now                                plant.Derived

	load    loadFigures
	press   pressFigures
	ceiling ceilingFigures
	window  windowFigures
	times   timeFigures
}

func newFigures(r *plant.Rig, params Params, w Assumptions) *figures {
	f := &figures{rig: r, params: params, w: w, nominalRig: *r, maximumRig: *r, minimumRig: *r, now: plant.Derive(r)}
	f.maximumRig.Load.MassKG, f.minimumRig.Load.MassKG = w.MaximumLoadKG, w.MinimumLoadKG
	f.maximumRig.Load.CounterbalanceKG *= 1 - w.CounterbalanceLoss
	f.findLoad()
	f.window.samples = scansOf(w.Dwell, f.scan())
	if w.CreepMMS > 0 {
		f.window.samples = 1
	}
	for again := true; again; again = f.extendDwell() { // terminates: the dwell is limited
		f.findAlarmShares()
		f.findPress()
		f.findCeiling()
		f.findWindow()
	}
	f.findTimes()
	return f
}

// loadFigures are load torques in N·m, positive where they lower the load, and positions in
// mm.
type loadFigures struct {
	maximum, maximumMM                        float64    // maximum magnitude over the travel
	of                                        *plant.Rig // with the load of this maximum
	minimum                                   float64    // of the minimum load, minimum over the travel
	test                                      float64    // required test torque
	positionMM                                float64    // test position
	bestMM                                    float64
	lowMM, highMM                             float64 // range with clearance
	nominal, positionMaximum, positionMinimum float64 // at the test position
	sliding, breakaway                        float64 // of the guide, with the loss of the transmission at the maximum load
	allowance                                 float64 // friction that is added to the press
}

// loadTorque is positive where it lowers the load.
func loadTorque(r *plant.Rig, mm float64) float64 { return -plant.LoadTorque(r, mm) }

func (f *figures) findLoad() {
	l, s := &f.load, f.rig.Stops
	l.maximumMM = f.nearestLevel(s.LowMM, s.HighMM)
	l.maximum, l.of = math.Abs(loadTorque(&f.maximumRig, l.maximumMM)), &f.maximumRig
	smallest := loadTorque(&f.minimumRig, l.maximumMM)
	if -smallest > l.maximum {
		l.maximum, l.of = -smallest, &f.minimumRig
	}
	l.test = f.w.Factor * l.maximum
	l.minimum = min(smallest, loadTorque(&f.minimumRig, s.LowMM), loadTorque(&f.minimumRig, s.HighMM))
	f.findPosition()
	l.nominal, l.positionMaximum, l.positionMinimum = loadTorque(&f.nominalRig, l.positionMM), loadTorque(&f.maximumRig, l.positionMM), loadTorque(&f.minimumRig, l.positionMM)
	derived := plant.Derive(&f.maximumRig)
	l.sliding, l.breakaway = derived.GuideSlidingNM, derived.GuideBreakawayNM
	if !f.w.CreditFriction {
		l.allowance = l.breakaway
	}
}

func (f *figures) isArm() bool { return f.rig.Load.ArmMM > 0 }

// nearestLevel is the position in a range in which an arm is closest to horizontal and its load
// torque is maximal. The load torque of a linear axis is constant; the lowest position is
// returned.
func (f *figures) nearestLevel(low, high float64) float64 {
	if !f.isArm() {
		return low
	}
	level := -f.rig.Load.ArmAngleDeg * math.Pi / 180 * f.rig.Load.ArmMM
	return min(max(level, low), high)
}

// armDeg is the angle of an arm above the horizontal at a position, 0 for a linear axis.
func (f *figures) armDeg(mm float64) float64 {
	if !f.isArm() {
		return 0
	}
	deg := f.rig.Load.ArmAngleDeg + mm/f.rig.Load.ArmMM*180/math.Pi
	return math.Round(deg*1e9)/1e9 + 0 // horizontal is 0, without rounding error or sign
}

// findPosition takes the specified test position, or the best one: of an arm the position of
// maximum load torque, of a linear axis that of the sequence if it is clear of stops and
// support, otherwise the lowest such position.
func (f *figures) findPosition() {
	l, s := &f.load, f.rig.Stops
	l.lowMM, l.highMM = max(s.LowMM, f.params.or("support_position_mm", s.LowMM))+f.w.ClearanceMM, s.HighMM-f.w.ClearanceMM
	if l.highMM < l.lowMM { // travel too short: its middle
		l.lowMM = (s.LowMM + s.HighMM) / 2
		l.highMM = l.lowMM
	}
	l.bestMM = f.nearestLevel(l.lowMM, l.highMM)
	l.positionMM = l.bestMM
	if own, ok := f.params["test_position_mm"]; ok && !f.isArm() && f.clear(own) {
		l.positionMM = own
	}
	if !math.IsNaN(f.w.TestPositionMM) {
		l.positionMM = f.w.TestPositionMM
	}
}

func (f *figures) clear(mm float64) bool { return f.load.lowMM <= mm && mm <= f.load.highMM }

// pressFigures are motor torques in N·m, each positive in its own direction.
type pressFigures struct {
	tolerance      float64 // measured torque divided by the true torque that it assures
	trueDown       float64 // true torque that loads the brake with the test torque
	trueUp         float64
	requiredDown   float64 // measured torque that the judge requires
	requiredUp     float64
	down, up       float64 // setpoints
	maximum        float64 // of both; with a small load it can be the press down
	minimumMargin  float64
	noise          float64 // standard deviation of a sample of the measured torque
	dipDeviations  float64
	peakDeviations float64
	maximumBrake   float64 // maximum torque at the brake
}

// findPress calculates the press that assures the test torque at the brake for any load in the
// range and within the tolerances.
func (f *figures) findPress() {
	p, l, w := &f.press, &f.load, &f.w
	p.tolerance = (1 + w.CurrentTolerance) / (1 - w.TorqueConstantTolerance)
	p.trueDown = l.test - l.positionMinimum + l.allowance
	p.trueUp = l.test + l.positionMaximum + l.allowance
	p.requiredDown, p.requiredUp = p.trueDown*p.tolerance, p.trueUp*p.tolerance
	p.down, p.up = p.requiredDown*w.PressMargin, p.requiredUp*w.PressMargin
	p.maximum = max(p.down, p.up)
	p.noise = f.rig.Drive.CurrentNoiseRMSA * f.rig.Motor.TorqueConstant
	p.minimumMargin = (1 + p.dipDeviations*p.noise/min(p.requiredDown, p.requiredUp)) / (1 - w.CurrentTolerance)
	high := 1 + w.TorqueConstantTolerance
	p.maximumBrake = max(p.down*high+l.positionMaximum, p.up*high-l.positionMinimum)
}

// ceilingFigures are measured torques in N·m.
type ceilingFigures struct {
	low, high  float64
	highReason string // meaning of the upper bound
	value      float64
	limit      float64 // torque limit of the drive during the test
}

// findCeiling calculates the ceiling with the same ratio to the torque of the test as to the
// limits of drive, motor and mechanics.
func (f *figures) findCeiling() {
	c, p, w := &f.ceiling, &f.press, &f.w
	c.low = p.maximum*(1+w.CurrentTolerance) + p.peakDeviations*p.noise
	c.high, c.highReason = f.now.DriveTorqueLimitNM*(1-w.CurrentTolerance), "the current limit of the drive as measured; above it the ceiling is never reached"
	share := (1 - w.CurrentTolerance) / (1 + w.TorqueConstantTolerance)
	if w.MotorPeakNM > 0 && w.MotorPeakNM*share < c.high {
		c.high, c.highReason = w.MotorPeakNM*share, "the peak torque of the motor, with the tolerance of the torque constant"
	}
	if w.MechanicalLimitNM > 0 && w.MechanicalLimitNM*share < c.high {
		c.high, c.highReason = w.MechanicalLimitNM*share, "the torque limit of the mechanics, with the tolerance of the torque constant"
	}
	c.value = middle(c.low, c.high)
	c.limit = max(p.maximum, min(1.1*p.maximum, c.value/((1+w.CurrentTolerance)*(1+w.TorqueConstantTolerance))))
}

// middle has the same ratio to both bounds. Of crossed bounds it is the upper one, which is on
// the safe side.
func middle(low, high float64) float64 {
	if low > high {
		return high
	}
	return math.Sqrt(low * high)
}

func (f *figures) scan() time.Duration { return f.rig.Clock.SafetyScan }
