package command

import (
	"strings"

	"holdbench/sim"
)

// ClassMeaning is the meaning of a class in one sentence, and of an end of the sequence that
// differs from it.
func ClassMeaning(r *sim.Result) string {
	text := strings.TrimSpace(string(r.Class))
	for _, m := range classMeanings() {
		if m.class == r.Class {
			text = m.text
		}
	}
	switch proof := r.Class == sim.SoundPass || r.Class == sim.Missed; {
	case r.End == "pass" && !proof:
		return text + " The sequence ended with a pass all the same: see the obligations."
	case r.End == "fail" && r.Class == sim.SoundPass:
		return text + " The sequence failed for another reason, see the cause; the judge's proof stands."
	}
	return text
}

type classNote struct {
	class sim.Class
	text  string
}

func classMeanings() []classNote {
	return []classNote{
		{sim.SoundPass, "the judge gave a proof, the torque is sufficient and the load was held."},
		{sim.Missed, "the judge gave a proof although the torque is insufficient or the load was not held. The dangerous class."},
		{sim.Caught, "the torque is insufficient, and there is no proof. This is the purpose of the test."},
		{sim.Refused, "the torque is sufficient, and another fault prevented a proof. Safe; find the fault."},
		{sim.FalseAlarm, "the torque is sufficient and there is no other fault, but no proof. Frequent false alarms lead to tests that are switched off."},
	}
}
