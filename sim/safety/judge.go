package safety

import (
	"math"
	"time"

	"holdbench/plant"
)

// Verdict is the state of the judge as its outputs show it.
type Verdict struct {
	Busy      bool
	Proof     bool
	Failed    bool
	Cause     string
	ProofLeft time.Duration    // of two brakes the shorter
	Left      [2]time.Duration // of each brake's own proof; the second is 0 without a second brake
}

// judge models the safety-side check. It alone gives and withdraws the proof. One call of
// step is one safety scan.
type judge struct {
	data   *plant.Judge
	scan   time.Duration
	turn   int64  // increments
	brakes Brakes // of the rig

	verdict      Verdict
	asked        bool
	tested       Brakes // closed in the first scan of the check in which one was, and since
	latched      bool
	latch        int64
	elapsed      time.Duration
	dwellElapsed time.Duration // with enough torque inside the window
	dwelling     bool

	last      int64 // position of the scan before
	unchanged time.Duration

	// constant turns current into motor torque for the ceiling, N·m per A rms.
	constant    float64
	events      Events
	demandsStop bool // in the last scan, as the motor torque is above the ceiling
}

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
func (j *judge) step(in *Inputs) {
	j.events, j.demandsStop = 0, false
	j.ageProof()
	j.watchPosition(in)
	rising := in.Ask && !j.asked
	j.asked = in.Ask
	switch {
	case rising:
		j.start(in)
	case j.verdict.Busy && !in.Ask:
		j.verdict.Busy = false
		j.events |= AskDropped
	}
	if j.verdict.Busy {
		j.elapsed += j.scan
		j.check(in)
	}
}

// ageProof advances the age of the proof.
func (j *judge) ageProof() {
	v := &j.verdict
	if v.Left == [2]time.Duration{} {
		return
	}
	valid := v.Proof
	for i := range v.Left {
		v.Left[i] = max(0, v.Left[i]-j.scan)
	}
	j.sum(v)
	if valid && !v.Proof {
		j.events |= ProofLapsed
	}
}

// watchPosition measures for how long the position has not changed by a single increment.
func (j *judge) watchPosition(in *Inputs) {
	if in.SingleTurn == j.last {
		j.unchanged += j.scan
	} else {
		j.unchanged = 0
	}
	j.last = in.SingleTurn
}

// start begins a check with a rising ask.
func (j *judge) start(in *Inputs) {
	j.verdict.Busy, j.verdict.Failed, j.verdict.Cause = true, false, ""
	j.elapsed, j.dwellElapsed, j.unchanged = -j.scan, 0, 0
	j.tested, j.latched, j.dwelling = 0, false, false
	j.events |= AskRose
	j.last = in.SingleTurn
}

// check is one scan of a check that is running.
func (j *judge) check(in *Inputs) {
	late := j.elapsed >= j.data.Deadline
	switch {
	case math.Abs(in.CurrentAmpA)/math.Sqrt2*j.constant > j.data.CeilingNM: // first: it stops the drive
		j.fail(CauseOverTorque)
		j.demandsStop = true
	case in.PositionLost || j.frozen():
		j.fail(CausePositionLost)
	default:
		j.checkBrakes(in, late)
	}
}

// frozen is whether the position has not changed for longer than an encoder's noise allows.
func (j *judge) frozen() bool {
	return j.data.FrozenAfter > 0 && j.unchanged >= j.data.FrozenAfter
}

// evaluate compares torque and position with requirement and window.
func (j *judge) evaluate(in *Inputs, late bool) {
	currentMet := j.currentMet(in)
	if currentMet && !j.latched {
		j.latched, j.latch = true, in.SingleTurn
		j.events |= PositionLatched
	}
	if j.latched && j.moved(in.SingleTurn) {
		j.fail(CauseMoved)
		return
	}
	j.advanceDwell(currentMet)
	switch {
	case currentMet && j.dwellElapsed >= j.data.Dwell:
		j.prove()
	case late && j.latched:
		j.fail(CauseNoDwell)
	case late:
		j.fail(CauseNoTorque)
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
func (j *judge) currentMet(in *Inputs) bool {
	required := j.required(in.RequiredAmpA)
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

// required is the current that the judge requires: its own parameter, or what was sent to it.
func (j *judge) required(sent float64) float64 {
	if j.data.Requirement == plant.RequirementFixed {
		return j.data.RequiredA
	}
	return sent
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
	j.events |= ProofGiven
}

// fail ends the check without a proof, and withdraws the one from before: that of the brakes that
// were tested, and of every brake if none was closed yet.
func (j *judge) fail(cause string) {
	v := Verdict{Failed: true, Cause: cause, Left: j.verdict.Left}
	j.give(&v, j.failing(), 0)
	j.verdict = v
	j.events |= CheckFailed
}
