package sim

import (
	"time"

	"holdbench/plant"
	"holdbench/sequence"
)

// brakeSet is a set of the brakes of an axis.
type brakeSet uint8

// The brakes.
const (
	firstBrake brakeSet = 1 << iota
	secondBrake
)

// brakesOf are the brakes of a rig.
func brakesOf(r *plant.Rig) brakeSet {
	if r.Brake2.Exists() {
		return firstBrake | secondBrake
	}
	return firstBrake
}

// name is how texts call the brakes of a set of a rig that has those of all.
func (s brakeSet) name(all brakeSet) string {
	switch {
	case all == firstBrake:
		return "brake"
	case s == firstBrake:
		return "brake 1"
	case s == secondBrake:
		return "brake 2"
	}
	return "brakes 1 and 2"
}

// each says of which brakes a run needs a proof, in a rig with two.
func (s brakeSet) each() string {
	if s == firstBrake {
		return ""
	}
	return " of each brake"
}

// closedBrakes are those whose switches read closed.
func closedBrakes(in *JudgeInput) brakeSet {
	var closed brakeSet
	if in.BrakeClosed {
		closed |= firstBrake
	}
	if in.Brake2Closed {
		closed |= secondBrake
	}
	return closed
}

// checkBrakes finds out which brake is tested: the one that is closed, alone. A check with both
// closed proves nothing of either, as the sound one holds for the weak one; the judge fails it
// unless its data permit it. A brake that opens while it is tested fails the check at once.
func (j *judge) checkBrakes(in JudgeInput, late bool) {
	closed := closedBrakes(&in)
	switch {
	case closed == firstBrake|secondBrake && j.data.OneBrakeAtATime:
		j.fail(sequence.CauseBothClosed)
	case j.tested&^closed != 0, closed == 0 && late:
		j.fail(sequence.CauseBrakeOpen)
	case closed != 0:
		if j.tested == 0 {
			j.tested = closed
		}
		j.evaluate(in, late)
	}
}

// failing are the brakes whose proof a failure withdraws.
func (j *judge) failing() brakeSet {
	if j.tested == 0 {
		return j.brakes
	}
	return j.tested
}

// give sets what the proofs of some brakes have left.
func (j *judge) give(v *Verdict, brakes brakeSet, left time.Duration) {
	for i := range v.Left {
		if brakes&(1<<i) != 0 {
			v.Left[i] = left
		}
	}
	j.sum(v)
}

// sum makes the proof as a whole from those of the brakes: it is valid as long as each is.
func (j *judge) sum(v *Verdict) {
	v.ProofLeft = v.Left[0]
	if j.brakes&secondBrake != 0 {
		v.ProofLeft = min(v.Left[0], v.Left[1])
	}
	v.Proof = v.ProofLeft > 0
}
