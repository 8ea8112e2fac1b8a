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

	nominalRig, maximumRig, minimumRig plant.Rig // at the test: with the load of the rig, the maximum and the minimum load
	mostRig, leastRig                  plant.Rig // in operation: with the most and the least payload as well
	now                                plant.Derived
	down, up                           bool // directions of the test

	load    loadFigures
	press   pressFigures
	ceiling ceilingFigures
	window  windowFigures
	times   timeFigures
	thermal thermalFigures
	drop    dropFigures
}

func newFigures(r *plant.Rig, params Params, w Assumptions) *figures {
	f := &figures{rig: r, params: params, w: w, nominalRig: *r, maximumRig: *r, minimumRig: *r, mostRig: *r, leastRig: *r, now: plant.Derive(r)}
	f.down, f.up = params.directions()
	heavier, lighter := 1+w.MassTolerance, 1-w.MassTolerance
	carry(&f.maximumRig.Load, w.MaximumLoadKG*heavier, 1-w.CounterbalanceLoss)
	carry(&f.minimumRig.Load, w.MinimumLoadKG*lighter, 1)
	carry(&f.mostRig.Load, f.mostKG(), 1-w.CounterbalanceLoss)
	carry(&f.leastRig.Load, min(w.MinimumLoadKG, r.Load.MassKG+r.Load.PayloadLeastKG)*lighter, 1)
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
	f.findThermal()
	f.findDrop()
	return f
}

// mostKG is the most mass in operation or at the test, with its tolerance.
func (f *figures) mostKG() float64 {
	l := &f.rig.Load
	return max(f.w.MaximumLoadKG, l.MassKG+l.PayloadMostKG) * (1 + f.w.MassTolerance)
}

// carry is a load of a mass in kg, payload included, with a share of its counterbalance.
func carry(l *plant.Load, kg, counterbalance float64) {
	l.MassKG, l.PayloadKG, l.PayloadLeastKG, l.PayloadMostKG = kg, 0, 0, 0
	l.CounterbalanceKG *= counterbalance
	l.CounterbalanceN *= counterbalance
	l.CounterbalanceNPerMM *= counterbalance
}

// loadFigures are load torques in N·m, positive where they lower the load, and positions in
// mm.
type loadFigures struct {
	maximum, maximumMM                        float64    // maximum magnitude over the travel, of any load in operation
	of                                        *plant.Rig // with the load of this maximum
	highest, lowest                           float64    // of the loads at the test, over the travel
	minimum                                   float64    // of the least load in operation, minimum over the travel
	test                                      float64    // required test torque
	positionMM                                float64    // test position
	bestMM                                    float64
	lowMM, highMM                             float64 // range with clearance
	nominal, positionMaximum, positionMinimum float64 // at the test position
	sliding, breakaway                        float64 // of the guide, with the loss of the transmission at the maximum load
	lowering                                  float64 // sliding friction of the guide when the load drives it
	allowance                                 float64 // friction that is added to the press
}

// loadTorque is positive where it lowers the load.
func loadTorque(r *plant.Rig, mm float64) float64 { return -plant.LoadTorque(r, mm) }

func (f *figures) findLoad() {
	l, s := &f.load, f.rig.Stops
	for _, r := range []*plant.Rig{&f.mostRig, &f.leastRig} {
		mm := plant.WorstPosition(r, s.LowMM, s.HighMM)
		if torque := math.Abs(loadTorque(r, mm)); l.of == nil || torque > l.maximum {
			l.maximum, l.maximumMM, l.of = torque, mm, r
		}
	}
	l.test = f.w.Factor * l.maximum
	l.minimum, _ = f.overTravel(&f.leastRig)
	l.lowest, _ = f.overTravel(&f.minimumRig)
	_, l.highest = f.overTravel(&f.maximumRig)
	f.findPosition()
	heavy, light := loadTorque(&f.maximumRig, l.positionMM), loadTorque(&f.minimumRig, l.positionMM)
	l.nominal, l.positionMaximum, l.positionMinimum = loadTorque(&f.nominalRig, l.positionMM), max(heavy, light), min(heavy, light)
	derived := plant.Derive(&f.mostRig)
	l.sliding, l.lowering, l.breakaway = derived.GuideSlidingNM, derived.GuideLoweringNM, derived.GuideBreakawayNM
	if !f.w.CreditFriction {
		l.allowance = l.breakaway
	}
}

// overTravel are the lowest and the highest load torque of a rig between the stops.
func (f *figures) overTravel(r *plant.Rig) (lowest, highest float64) {
	s := &f.rig.Stops
	low, high, worst := loadTorque(r, s.LowMM), loadTorque(r, s.HighMM), loadTorque(r, plant.WorstPosition(r, s.LowMM, s.HighMM))
	return min(low, high, worst), max(low, high, worst)
}

func (f *figures) isArm() bool { return f.rig.Load.ArmMM > 0 }

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
// support, otherwise the lowest such position with the maximum load torque.
func (f *figures) findPosition() {
	l, s := &f.load, f.rig.Stops
	l.lowMM, l.highMM = max(s.LowMM, f.supportMM(), f.params.or("support_position", s.LowMM))+f.w.ClearanceMM, s.HighMM-f.w.ClearanceMM
	if l.highMM < l.lowMM { // travel too short: its middle
		l.lowMM = (s.LowMM + s.HighMM) / 2
		l.highMM = l.lowMM
	}
	l.bestMM = plant.WorstPosition(l.of, l.lowMM, l.highMM)
	l.positionMM = l.bestMM
	if own, ok := f.params["test_position"]; ok && !f.isArm() && f.clear(own.Value) {
		l.positionMM = own.Value
	}
	if !math.IsNaN(f.w.TestPositionMM) {
		l.positionMM = f.w.TestPositionMM
	}
}

// supportMM is the position of the support, below all others without one.
func (f *figures) supportMM() float64 {
	if f.rig.Support.StiffnessNPerMM == 0 {
		return math.Inf(-1)
	}
	return f.rig.Support.AtMM
}

func (f *figures) clear(mm float64) bool { return f.load.lowMM <= mm && mm <= f.load.highMM }

// pressFigures are motor torques in N·m, each positive in its own direction; 0 in one that is
// not tested.
type pressFigures struct {
	tolerance      float64 // measured torque divided by the true torque that it assures
	trueDown       float64 // true torque that loads the brake with the test torque
	trueUp         float64
	requiredDown   float64 // measured torque that the judge requires
	requiredUp     float64
	down, up       float64 // setpoints
	travel         float64 // measured torque that moves the load, for a sequence with one limit for all
	maximum        float64 // of all three; with a small load it can be the press down
	minimumMargin  float64
	reading        float64 // maximum ratio of the judge's reading to the drive's, either way
	noise          float64 // standard deviation of a sample of the measured torque
	dipDeviations  float64
	peakDeviations float64
	withoutGuide   float64 // maximum torque at the brake, without the friction of the guide
	maximumBrake   float64 // upper bound: the friction of the guide adds to it
}

// findPress calculates the press that assures the test torque at the brake for any load in the
// range and within the tolerances.
func (f *figures) findPress() {
	p, l, w := &f.press, &f.load, &f.w
	p.tolerance = (1 + w.CurrentTolerance) / (1 - w.TorqueConstantTolerance)
	if f.down {
		p.trueDown = l.test - l.positionMinimum + l.allowance
	}
	if f.up {
		p.trueUp = l.test + l.positionMaximum + l.allowance
	}
	p.requiredDown, p.requiredUp = p.trueDown*p.tolerance, p.trueUp*p.tolerance
	p.down, p.up = p.requiredDown*w.PressMargin, p.requiredUp*w.PressMargin
	p.travel = p.tolerance * (max(math.Abs(l.highest), math.Abs(l.lowest)) + l.breakaway + f.moving())
	p.maximum = max(p.down, p.up, p.travel)
	p.reading = f.judgeReading()
	p.noise = f.judgeNoiseRMSA() * f.rig.Motor.TorqueConstant
	p.minimumMargin = (1 + p.dipDeviations*p.noise/f.ofTested(math.Min, p.requiredDown, p.requiredUp)) * p.reading
	high := (1 + w.TorqueConstantTolerance) / (1 - w.CurrentTolerance)
	p.withoutGuide = f.ofTested(math.Max, float64(p.down*high)+l.positionMaximum, float64(p.up*high)-l.positionMinimum)
	p.maximumBrake = p.withoutGuide + l.breakaway
}

// ofTested is the value of the direction that is tested, or the choice between both.
func (f *figures) ofTested(choose func(a, b float64) float64, down, up float64) float64 {
	switch {
	case !f.up:
		return down
	case !f.down:
		return up
	}
	return choose(down, up)
}

// judgeReading is the maximum ratio of the judge's reading to the drive's. The drive regulates
// what its transducer measures, so that a judge that reads the same transducer reads what was
// commanded; a transducer of its own can deviate by the tolerance of both.
func (f *figures) judgeReading() float64 {
	if f.rig.Judge.Transducer != plant.TransducerOwn {
		return 1
	}
	return (1 + f.w.CurrentTolerance) / (1 - f.w.CurrentTolerance)
}

// judgeNoiseRMSA is the noise of the current that the judge reads.
func (f *figures) judgeNoiseRMSA() float64 {
	if f.rig.Judge.Transducer == plant.TransducerOwn {
		return f.rig.Judge.CurrentNoiseRMSA
	}
	return f.rig.Drive.CurrentNoiseRMSA
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
	c.low = float64(p.maximum*p.reading) + float64(p.peakDeviations*p.noise)
	c.high, c.highReason = f.now.DriveTorqueLimitNM/p.reading, "the current limit of the drive as the judge reads it; above it the ceiling is never reached"
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
