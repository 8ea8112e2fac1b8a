package safety

import (
	"time"

	"holdbench/plant"
)

// Brakes is a set of the brakes of an axis.
type Brakes uint8

// The brakes.
const (
	FirstBrake Brakes = 1 << iota
	SecondBrake
)

// brakesOf are the brakes of a rig.
func brakesOf(r *plant.Rig) Brakes {
	if r.Brake2.Exists() {
		return FirstBrake | SecondBrake
	}
	return FirstBrake
}

// Name is how texts call the brakes of a set of a rig that has those of all.
func (s Brakes) Name(all Brakes) string {
	switch {
	case all == FirstBrake:
		return "brake"
	case s == FirstBrake:
		return "brake 1"
	case s == SecondBrake:
		return "brake 2"
	}
	return "brakes 1 and 2"
}

// closedBrakes are those whose switches read closed.
func closedBrakes(in *Inputs) Brakes {
	var closed Brakes
	if in.BrakeClosed {
		closed |= FirstBrake
	}
	if in.Brake2Closed {
		closed |= SecondBrake
	}
	return closed
}

// checkBrakes finds out which brake is tested: the one that is closed, alone. A check with both
// closed proves nothing of either, as the sound one holds for the weak one; the judge fails it
// unless its data permit it. A brake that opens while it is tested fails the check at once.
func (j *judge) checkBrakes(in *Inputs, late bool) {
	closed := closedBrakes(in)
	switch {
	case closed == FirstBrake|SecondBrake && j.data.OneBrakeAtATime:
		j.fail(CauseBothClosed)
	case j.underTest&^closed != 0, closed == 0 && late:
		j.fail(CauseBrakeOpen)
	case closed != 0:
		if j.underTest == 0 {
			j.underTest = closed
		}
		j.evaluate(in, late)
	}
}

// failing are the brakes whose proof a failure withdraws.
func (j *judge) failing() Brakes {
	if j.underTest == 0 {
		return j.brakes
	}
	return j.underTest
}

// give sets what the proofs of some brakes have left.
func (j *judge) give(v *Verdict, brakes Brakes, left time.Duration) {
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
	if j.brakes&SecondBrake != 0 {
		v.ProofLeft = min(v.Left[0], v.Left[1])
	}
	v.Proof = v.ProofLeft > 0
	v.ProofDue = v.ProofLeft <= j.data.WarningTime
}
