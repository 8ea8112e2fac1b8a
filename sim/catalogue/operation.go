package catalogue

import (
	"time"

	"holdbench/plant"
)

// proofLeft is what a proof that is there from the start has left.
const proofLeft = "judge.proof_left"

// pushDuration is how long a button is pressed.
const pushDuration = 200 * time.Millisecond

// operatorFaults are actions of the operator at a bad moment.
func operatorFaults() []Entry {
	return []Entry{
		{
			Name: "trigger-while-moving", Group: OperationGroup, What: "The test is started while the axis still moves.",
			Scale:    &Scale{Target: "drive.creep_mm_s", Unit: "mm/s", Mild: 0.5, Usual: 5, Severe: 50},
			Duration: 1500 * time.Millisecond, FromStart: true, Remedy: "repeat-the-test",
			DetectedBy: "The sequence, if it checks the speed before it begins.",
		}, {
			Name: "trigger-twice", Group: OperationGroup, What: "The button that starts the test is released and pressed again.",
			Set: map[string]string{"operator.trigger": no}, Duration: pushDuration, Remedy: "repeat-the-test",
			DetectedBy: "The sequence, if it reads the button again before it has ended.",
		}, {
			Name: "cancelled", Group: OperationGroup, What: "The operator aborts the test.",
			Set: map[string]string{"operator.cancel": yes}, Duration: pushDuration, Remedy: "repeat-the-test",
			DetectedBy: "The sequence, by the button; the judge, by an ask that is dropped.",
		}, {
			Name: "emergency-stop", Group: OperationGroup, What: "The emergency stop is pressed and stays latched.",
			Set: map[string]string{"operator.estop": yes}, Remedy: "repeat-the-test",
			DetectedBy: "The safety side, which stops the axis and takes the torque away; the sequence, by safe_stop.",
		}, {
			Name: "power-lost-briefly", Group: OperationGroup, What: "The power fails for a moment and returns.",
			Set: map[string]string{"operator.power_loss": yes}, Duration: 300 * time.Millisecond, Remedy: "check-power",
			DetectedBy: "Both sides, when they start anew: the proof is lost, and the state of the brake is unknown.",
		}, {
			Name: "power-lost", Group: OperationGroup, What: "The power fails and does not return.",
			Set: map[string]string{"operator.power_loss": yes}, Remedy: "check-power",
			DetectedBy: "Not detectable, as no controller runs: the brake alone carries the load.",
		},
	}
}

// proofFaults are proofs that are valid or lapse at a bad moment.
func proofFaults() []Entry {
	return []Entry{
		{
			Name: "proof-lapses", Group: OperationGroup, What: "The proof of the last test lapses in the middle of this one.",
			Scale:     &Scale{Target: proofLeft, Unit: "s from the start", Mild: 6, Usual: 3, Severe: 1, text: asSeconds},
			Permanent: true, FromStart: true, Remedy: "repeat-the-test",
			DetectedBy: "The judge, which withdraws it; the sequence, by the proof, when it needs the old one.",
		}, {
			Name: "previous-proof-valid", Group: OperationGroup, What: "Two tests in a row: the proof of the first is nearly new when the second begins.",
			Scale:     &Scale{Target: proofLeft, Unit: "of the interval", Mild: 0.5, Usual: 0.999, Severe: 1, text: timesPeriod(func(r *plant.Rig) time.Duration { return r.Judge.Interval })},
			Permanent: true, FromStart: true, Remedy: "repeat-the-test",
			DetectedBy: "The sequence, if it accepts only a proof that the judge gave during its ask.",
		},
	}
}
