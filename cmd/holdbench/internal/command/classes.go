package command

import (
	"fmt"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
)

// ClassDefinition is the meaning of a class, whatever the run.
func ClassDefinition(class sim.Class) string {
	for _, m := range classMeanings() {
		if m.class == class {
			return m.text
		}
	}
	return string(class)
}

// ClassMeaning is the meaning of the class of a run, with what else must be known of it. Nothing
// that calms stands beside a broken obligation or a load that was not held.
func ClassMeaning(r *sim.Result) string {
	meaning := ClassDefinition(r.Class)
	if r.Class == sim.Refused && r.DropCommanded != "" {
		meaning = "the torque is sufficient, and the load fell by command of the controller."
	}
	return strings.Join(append([]string{meaning}, remarks(r)...), " ")
}

// Harm is what went wrong in a run besides its class, each as a short text; none if nothing did.
func Harm(r *sim.Result) []string {
	var list []string
	if broken := r.Broken(); len(broken) > 0 {
		list = append(list, "broken: "+strings.Join(broken, ", "))
	}
	if !r.LoadHeld {
		text := fmt.Sprintf("the load was not held, load drop %s mm", page.Figure(page.Round(r.LoadDropMM)))
		if how := r.DropCommanded; how != "" {
			text += ", by command of the controller: " + how
		}
		list = append(list, text)
	}
	return list
}

// remarks are the sentences behind the definition of a class.
func remarks(r *sim.Result) []string {
	var list []string
	if r.VerdictRight != nil && !*r.VerdictRight {
		list = append(list, "The judge's verdict is wrong.")
	}
	if r.Released && r.Verdict != "proven" {
		list = append(list, "Operation is released without a proof of this run.")
	}
	if r.Withheld && r.End == "pass" {
		list = append(list, "The sequence passed, and the safety side withholds operation all the same.")
	}
	if d := r.DropAtPowerFailure; d != nil && r.Class == sim.SoundPass && !d.MetAtRest() {
		list = append(list, "A power failure at rest would drop the load by more than the drop limit; see holdbench size.")
	}
	if harm := Harm(r); len(harm) > 0 {
		text := strings.Join(harm, "; ")
		return append(list, strings.ToUpper(text[:1])+text[1:]+".")
	}
	switch {
	case r.Released:
	case r.Class == sim.Caught && r.Verdict == "failed":
		list = append(list, "This is the purpose of the test.")
	case r.Class == sim.Caught && r.Verdict == "proven":
		list = append(list, "There was a proof, and the sequence did not release operation on it.")
	case r.Class == sim.Refused:
		list = append(list, "Find what prevented the release.")
	}
	return list
}

type classNote struct {
	class sim.Class
	text  string
}

func classMeanings() []classNote {
	return []classNote{
		{sim.SoundPass, "operation is released on a proof of this run, the torque is sufficient at the verdict and at the end, and the load was held."},
		{sim.Missed, "operation is released although the torque is insufficient, at the verdict or at the end, or the load was not held. The dangerous class."},
		{sim.Caught, "the torque is insufficient, at the verdict or at the end, and operation is not released on a proof of this run."},
		{sim.Refused, "the torque is sufficient, and another fault, the operator or a load that was not held prevented the release."},
		{sim.FalseAlarm, "the torque is sufficient, no fault was active and the load was held, but operation is not released on a proof of this run. Frequent false alarms lead to tests that are switched off."},
	}
}
