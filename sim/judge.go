package sim

import (
	"math"
	"time"

	"holdbench/plant"
	"holdbench/sequence"
)

// JudgeInput is what the safety side sees in one of its scans.
type JudgeInput struct {
	Ask          bool
	BrakeClosed  bool
	Brake2Closed bool
	SingleTurn   int64 // increments
	PositionLost bool
	CurrentAmpA  float64
	RequiredAmpA float64 // signed by direction; 0 asks for nothing and is never met
}

// Verdict is the state of the judge as its outputs show it.
type Verdict struct {
	Busy      bool
	Proof     bool
	Failed    bool
	Cause     string
	ProofLeft time.Duration    // of two brakes the shorter
	Left      [2]time.Duration // of each brake's own proof; the second is 0 without a second brake
}

// stop is the stop function that the safety side has applied to the drive.
type stop uint8

const (
	running   stop = iota
	ramping        // SS1: the drive holds, the brake closes
	torqueOff      // STO
)

// judge models the safety-side check. It alone gives and withdraws the proof. One call of
// step is one safety scan.
type judge struct {
	data   *plant.Judge
	scan   time.Duration
	turn   int64    // increments
	brakes brakeSet // of the rig

	verdict      Verdict
	asked        bool
	tested       brakeSet // closed in the first scan of the check in which one was, and since
	latched      bool
	latch        int64
	elapsed      time.Duration
	dwellElapsed time.Duration // with enough torque inside the window
	dwelling     bool

	last      int64   // position of the scan before
	currentA  float64 // amplitude read in the last scan, A
	unchanged time.Duration
	stop      stop
	sinceStop time.Duration

	// constant turns current into motor torque for the ceiling, N·m per A rms.
	constant float64
	events   judgeEvents
}

// judgeEvents is the set of what happened in the last scan.
type judgeEvents uint8

// The events of the judge, in the order in which they can happen within one scan.
const (
	proofLapsed judgeEvents = 1 << iota
	askDropped              // before the check was over
	askRose
	positionLatched
	proofGiven
	checkFailed
)

func newJudge(r *plant.Rig) judge {
	j := judge{
		data: &r.Judge, scan: r.Clock.SafetyScan,
		turn: int64(r.Encoder.IncrementsPerTurn), constant: r.Motor.TorqueConstant,
		brakes: brakesOf(r),
	}
	j.setProof(r.Judge.ProofLeft)
	return j
}

// setProof gives the judge a proof with some time left, or takes its proof away. There is no
// failure beside a proof.
func (j *judge) setProof(left time.Duration) {
	v := &j.verdict
	j.give(v, j.brakes, left)
	if v.Proof {
		v.Failed, v.Cause = false, ""
	}
}

// step is one scan.
func (j *judge) step(in JudgeInput) {
	j.events = 0
	j.advanceTimers()
	j.watchPosition(in)
	j.currentA = in.CurrentAmpA
	rising := in.Ask && !j.asked
	j.asked = in.Ask
	switch {
	case rising:
		j.start(in)
	case j.verdict.Busy && !in.Ask:
		j.verdict.Busy = false
		j.events |= askDropped
	}
	if j.verdict.Busy {
		j.elapsed += j.scan
		j.check(in)
	}
}

// advanceTimers advances the age of the proof and the ramp of a stop.
func (j *judge) advanceTimers() {
	if v := &j.verdict; v.Left != [2]time.Duration{} {
		valid := v.Proof
		for i := range v.Left {
			v.Left[i] = max(0, v.Left[i]-j.scan)
		}
		j.sum(v)
		if valid && !v.Proof {
			j.events |= proofLapsed
		}
	}
	if j.stop == ramping {
		j.sinceStop += j.scan
		if j.sinceStop >= j.data.RampDown {
			j.stop = torqueOff
		}
	}
}

// watchPosition measures for how long the position has not changed by a single increment.
func (j *judge) watchPosition(in JudgeInput) {
	if in.SingleTurn == j.last {
		j.unchanged += j.scan
	} else {
		j.unchanged = 0
	}
	j.last = in.SingleTurn
}

// start begins a check with a rising ask.
func (j *judge) start(in JudgeInput) {
	j.verdict.Busy, j.verdict.Failed, j.verdict.Cause = true, false, ""
	j.elapsed, j.dwellElapsed, j.unchanged = -j.scan, 0, 0
	j.tested, j.latched, j.dwelling = 0, false, false
	j.events |= askRose
	j.last = in.SingleTurn
}

// check is one scan of a check that is running.
func (j *judge) check(in JudgeInput) {
	late := j.elapsed >= j.data.Deadline
	switch {
	case math.Abs(in.CurrentAmpA)/math.Sqrt2*j.constant > j.data.CeilingNM: // first: it stops the drive
		j.fail(sequence.CauseOverTorque)
		j.stop, j.sinceStop = ramping, 0
	case in.PositionLost || j.frozen():
		j.fail(sequence.CausePositionLost)
	default:
		j.checkBrakes(in, late)
	}
}

// frozen is whether the position has not changed for longer than an encoder's noise allows.
func (j *judge) frozen() bool {
	return j.data.FrozenAfter > 0 && j.unchanged >= j.data.FrozenAfter
}

// evaluate compares torque and position with requirement and window.
func (j *judge) evaluate(in JudgeInput, late bool) {
	currentMet := j.currentMet(in)
	if currentMet && !j.latched {
		j.latched, j.latch = true, in.SingleTurn
		j.events |= positionLatched
	}
	if j.latched && j.moved(in.SingleTurn) {
		j.fail(sequence.CauseMoved)
		return
	}
	j.advanceDwell(currentMet)
	switch {
	case currentMet && j.dwellElapsed >= j.data.Dwell:
		j.prove()
	case late && j.latched:
		j.fail(sequence.CauseNoDwell)
	case late:
		j.fail(sequence.CauseNoTorque)
	}
}

// advanceDwell counts the dwell from the first scan with enough torque; too little torque
// resets it.
func (j *judge) advanceDwell(currentMet bool) {
	if currentMet && j.dwelling {
		j.dwellElapsed += j.scan
	} else {
		j.dwellElapsed = 0
	}
	j.dwelling = currentMet
}

// currentMet compares the current amplitude with the required one. By magnitude alone, a
// current that merely carries the load can meet it; a scenario shows that.
func (j *judge) currentMet(in JudgeInput) bool {
	required := in.RequiredAmpA
	if j.data.Requirement == plant.RequirementFixed {
		required = j.data.RequiredA
	}
	switch {
	case required == 0:
		return false
	case j.data.Sense == plant.SenseMagnitude:
		return math.Abs(in.CurrentAmpA) >= math.Abs(required)
	case required < 0:
		return in.CurrentAmpA <= required
	}
	return in.CurrentAmpA >= required
}

// moved is whether the position is outside the window around the latch, taken the shorter
// way round the turn.
func (j *judge) moved(position int64) bool {
	away := plant.TurnDifference(position, j.latch, j.turn)
	return math.Abs(float64(away))*360/float64(j.turn) > j.data.WindowDeg
}

// prove gives the proof of the brakes that were closed throughout the check.
func (j *judge) prove() {
	v := Verdict{Left: j.verdict.Left}
	j.give(&v, j.tested, j.data.Interval)
	j.verdict = v
	j.events |= proofGiven
}

// fail ends the check without a proof, and withdraws the one from before: that of the brakes that
// were tested, and of every brake if none was closed yet.
func (j *judge) fail(cause string) {
	v := Verdict{Failed: true, Cause: cause, Left: j.verdict.Left}
	j.give(&v, j.failing(), 0)
	j.verdict = v
	j.events |= checkFailed
}
