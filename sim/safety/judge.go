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
	Failed    bool             // until the failure has ended as the rig says
	Cause     string           // of the failure
	Tested    Directions       // that the newest test of the closed brake has passed
	TestCount int              // verdicts so far: directions passed, and failures; 0 is read of a link that is down
	ProofDue  bool             // the proof has lapsed, or lapses within the warning time
	ProofLeft time.Duration    // of two brakes the shorter
	Left      [2]time.Duration // of each brake's own proof; the second is 0 without a second brake
}

// judge models the safety-side check. It alone gives and withdraws the proof. One call of step is one
// safety scan. What must be measured in a direction is its [requirement]; the rest is common to all
// kinds.
//
// A test is one check in each required direction, on the same closed brake, which must not open in
// between: only then it gives a proof. An ask for a direction that has passed already begins a new test.
//
// A failure withdraws the proof at once and stays, also over a loss of power, until it is acknowledged
// or, where the rig says so, a complete test passes. Source: on a detected fault the safe state is kept
// until the fault is cleared, ISO 13849-1, 6.2.5 on category 2 (from memory).
type judge struct {
	data        *plant.Judge
	requirement requirement
	needed      Directions // for a proof
	scan        time.Duration
	turn        int64   // increments
	brakes      Brakes  // of the rig
	nominal     float64 // torque constant of the motor, N·m per A rms

	verdict      Verdict
	failed       Brakes // whose failure stands
	acknowledge  pushButton
	asked        Directions // in the scan before
	direction    Directions // of the newest check
	underTest    Brakes     // closed in the first scan of the check in which one was, and since
	passedOn     Brakes     // on which verdict.Tested was passed
	latched      bool
	latch        int64
	elapsed      time.Duration
	dwellElapsed time.Duration // with enough torque inside the window
	dwelling     bool

	last      int64 // position of the scan before
	unchanged time.Duration

	events      Events
	demandsStop bool // in the last scan, as the motor torque is above the ceiling
}

func newJudge(r *plant.Rig) judge {
	j := judge{
		data: &r.Judge, requirement: requirementOf(r.Judge.Kind), needed: requiredDirections(&r.Judge),
		scan: r.Clock.SafetyScan, turn: int64(r.Encoder.IncrementsPerTurn), nominal: r.Motor.TorqueConstant,
		brakes: brakesOf(r),
	}
	if r.Judge.FailedBefore {
		j.failed = j.brakes
		j.verdict = Verdict{Failed: true, Cause: CauseMoved, ProofDue: true}
		return j
	}
	j.setProof(min(r.Judge.ProofLeft, r.Judge.Interval)) // no proof has more left
	return j
}

// constant turns current into motor torque, N·m per A rms.
func (j *judge) constant() float64 {
	if j.data.TorqueConstant > 0 {
		return j.data.TorqueConstant
	}
	return j.nominal
}

// setProof gives the judge a proof with some time left, or takes its proof away. A proof that is given
// ends a failure.
func (j *judge) setProof(left time.Duration) {
	v := &j.verdict
	j.give(v, j.brakes, left)
	if v.Proof {
		j.endFailure(j.brakes)
	}
}

// endFailure ends the failure of some brakes.
func (j *judge) endFailure(brakes Brakes) {
	j.failed &^= brakes
	if v := &j.verdict; j.failed == 0 {
		v.Failed, v.Cause = false, CauseNone
	}
}

// withoutPower is the judge after a loss of power: without a proof and a check. The failure and the
// counter are kept.
func (j *judge) withoutPower(r *plant.Rig) judge {
	n := newJudge(r)
	n.verdict = Verdict{Failed: j.verdict.Failed, Cause: j.verdict.Cause, TestCount: j.verdict.TestCount, ProofDue: true}
	n.failed = j.failed
	n.acknowledge.held() // a button that is held as power returns is no new press
	return n
}

// step is one scan.
func (j *judge) step(in *Inputs) {
	j.events, j.demandsStop = 0, false
	j.ageProof()
	j.watchPosition(in)
	j.watchTested(in)
	if j.acknowledge.released(in.Acknowledge, j.verdict.Failed) {
		j.endFailure(j.brakes)
		j.events |= Acknowledged
	}
	j.readAsk(in)
	if j.verdict.Busy {
		j.elapsed += j.scan
		j.check(in)
	}
}

// readAsk starts a check with an ask that was none or the other direction before, and drops a check
// whose ask has gone.
func (j *judge) readAsk(in *Inputs) {
	if in.Ask == j.asked {
		return
	}
	j.asked = in.Ask
	if j.verdict.Busy {
		j.verdict.Busy = false
		j.events |= AskDropped
	}
	switch {
	case in.Ask == 0:
	case j.verdict.Failed && j.data.FailureEnds != plant.FailureEndsTest:
		j.events |= AskRefused
	default:
		j.start(in)
	}
}

// ageProof advances the age of the proof.
func (j *judge) ageProof() {
	v := &j.verdict
	if v.Left == [2]time.Duration{} {
		j.sum(v) // the warning time may change
		return
	}
	valid, due := v.Proof, v.ProofDue
	for i := range v.Left {
		v.Left[i] = max(0, v.Left[i]-j.scan)
	}
	j.sum(v)
	switch {
	case valid && !v.Proof:
		j.events |= ProofLapsed
	case !due && v.ProofDue:
		j.events |= ProofBecameDue
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

// watchTested forgets what a brake has passed that opens.
func (j *judge) watchTested(in *Inputs) {
	if j.verdict.Tested != 0 && j.passedOn&^closedBrakes(in) != 0 {
		j.verdict.Tested = 0
	}
}

// start begins a check.
func (j *judge) start(in *Inputs) {
	j.verdict.Busy = true
	j.direction = in.Ask
	if j.verdict.Tested&in.Ask != 0 {
		j.verdict.Tested = 0
	}
	j.elapsed, j.dwellElapsed, j.unchanged = -j.scan, 0, 0
	j.underTest, j.latched, j.dwelling = 0, false, false
	j.events |= AskRose
	j.last = in.SingleTurn
}

// check is one scan of a check that is running.
func (j *judge) check(in *Inputs) {
	late := j.elapsed >= j.data.Deadline
	switch {
	case math.Abs(in.CurrentAmpA)/math.Sqrt2*j.constant() > j.data.CeilingNM: // first: it stops the drive
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

// evaluate compares what is measured, and the position, with requirement and window.
func (j *judge) evaluate(in *Inputs, late bool) {
	met := j.met(in)
	if met && !j.latched {
		j.latched, j.latch = true, in.SingleTurn
		j.events |= PositionLatched
	}
	if j.latched && j.moved(in.SingleTurn) {
		j.fail(CauseMoved)
		return
	}
	j.advanceDwell(met)
	switch {
	case met && j.dwellElapsed >= j.data.Dwell:
		j.pass()
	case late && j.latched:
		j.fail(CauseNoDwell)
	case late:
		j.fail(CauseNoTorque)
	}
}

// met is whether the requirement of the direction that is asked for is met in a scan.
func (j *judge) met(in *Inputs) bool {
	required := j.requirement.required(j.data, &in.Request)
	return j.requirement.met(j.data, required, j.requirement.measured(j.data, in.CurrentAmpA, j.constant()))
}

// advanceDwell counts the dwell from the first scan with enough torque; too little torque
// resets it.
func (j *judge) advanceDwell(met bool) {
	if met && j.dwelling {
		j.dwellElapsed += j.scan
	} else {
		j.dwellElapsed = 0
	}
	j.dwelling = met
}

// moved is whether the position is outside the window around the latch, taken the shorter
// way round the turn.
func (j *judge) moved(position int64) bool {
	away := plant.TurnDifference(position, j.latch, j.turn)
	return math.Abs(float64(away))*360/float64(j.turn) > j.data.WindowDeg
}

// pass ends the check of a direction that was passed. Once each required direction has passed, it gives
// the proof of the brakes that were closed throughout.
func (j *judge) pass() {
	v := &j.verdict
	v.Busy = false
	v.TestCount++
	if v.Tested == 0 {
		j.passedOn = j.underTest
	}
	j.passedOn &= j.underTest
	v.Tested |= j.direction
	if v.Tested&j.needed != j.needed {
		j.events |= DirectionPassed
		return
	}
	j.endFailure(j.passedOn)
	j.give(v, j.passedOn, j.data.Interval)
	j.events |= ProofGiven
}

// testing is whether a test is running: a check, or one direction has passed and another is still to come.
func (j *judge) testing() bool {
	v := &j.verdict
	return v.Busy || v.Tested != 0 && v.Tested&j.needed != j.needed
}

// fail ends the check without a proof, and withdraws the one from before: that of the brakes that
// were tested, and of every brake if none was closed yet.
func (j *judge) fail(cause string) {
	v := &j.verdict
	v.Busy, v.Failed, v.Cause, v.Tested = false, true, cause, 0
	v.TestCount++
	j.failed |= j.failing()
	j.give(v, j.failing(), 0)
	j.events |= CheckFailed
}
