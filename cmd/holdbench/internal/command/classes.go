package command

import (
	"strings"

	"holdbench/sim"
)

// ClassMeaning says in one sentence what a class tells about the test, and where the
// sequence made something else of it.
func ClassMeaning(r *sim.Result) string {
	text := strings.TrimSpace(string(r.Class))
	for _, m := range classMeanings() {
		if m.class == r.Class {
			text = m.text
		}
	}
	switch proof := r.Class == sim.SoundPass || r.Class == sim.Missed; {
	case r.End == "pass" && !proof:
		return text + " The sequence passed it all the same: look at the obligations."
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
		{sim.SoundPass, "the judge gave its proof, the brake is fit and the load was held."},
		{sim.Missed, "the judge gave its proof to a brake that is not fit or did not hold the load. The dangerous kind."},
		{sim.Caught, "the brake is not fit, and it got no proof. This is what the test is for."},
		{sim.Refused, "the brake is fit, and something else kept it from a proof. Safe; find out what it was."},
		{sim.FalseAlarm, "the brake is fit and nothing else was wrong, and yet there is no proof. Too many of these and somebody switches the test off."},
	}
}
