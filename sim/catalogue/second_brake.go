package catalogue

import (
	"slices"
	"strings"

	"holdbench/plant"
)

// secondBrakeFaults are those of a second brake: the entries of the first one, set on the second,
// and the one that takes two brakes.
func secondBrakeFaults() []Entry {
	first := slices.Concat(brakeForceFaults(), brakeMotionFaults(), feedbackFaults())
	var list []Entry
	for _, like := range []struct{ name, of, what string }{
		{"second-brake-worn", "lining-worn", "The lining of the second brake is worn and holds only a part of the rated torque."},
		{"second-brake-stays-open", "brake-stays-open", "The second brake does not close: it is stuck, or its supply is not removed."},
		{"second-brake-stays-closed", "brake-stays-closed", "The second brake does not open, for lack of voltage or with a broken coil."},
		{"second-feedback-stuck-closed", "feedback-stuck-closed", "The feedback of the second brake reads closed, whatever the brake does."},
		{"second-feedback-stuck-open", "feedback-stuck-open", "The feedback of the second brake reads open, whatever the brake does."},
	} {
		e := first[slices.IndexFunc(first, func(e Entry) bool { return e.Name == like.of })]
		e.Name, e.What = like.name, like.what
		list = append(list, onSecondBrake(e))
	}
	return append(list, Entry{
		Name: "brake-switches-swapped", Group: SensorGroup, What: "The wires of the feedback of both brakes are swapped.",
		Set:   map[string]string{"brake_2.switches_swapped": yes},
		Needs: hasSecondBrake, Remedy: "correct-wiring",
		DetectedBy: "The sequence, if it closes one brake alone: the feedback of the other one comes; not detectable with one command for both.",
	})
}

// onSecondBrake is an entry of the first brake, set on the second. It shares no symptom with those
// of the first: a test of each brake alone tells which one it is.
func onSecondBrake(e Entry) Entry {
	set, needs := map[string]string{}, e.Needs
	for target, text := range e.Set {
		set[secondTarget(target)] = text
	}
	e.Set, e.Symptom = set, ""
	e.Needs = func(r *plant.Rig) bool {
		as := *r
		as.Brake = r.Brake2.Brake
		return hasSecondBrake(r) && (needs == nil || needs(&as))
	}
	if e.Scale != nil {
		scale := *e.Scale
		scale.Target = secondTarget(scale.Target)
		e.Scale = &scale
	}
	return e
}

func secondTarget(target string) string {
	return strings.Replace(target, "brake.", "brake_2.", 1)
}

func hasSecondBrake(r *plant.Rig) bool { return r.Brake2.Exists() }
