package command

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/sim"
)

// Every class has a meaning.
func TestClassesAreExplained(t *testing.T) {
	for _, c := range sim.Classes() {
		assert.NotEqual(t, string(c), ClassDefinition(c))
	}
}

// Nothing that calms stands beside a broken obligation, a load that was not held, or an operation
// that was released without a proof.
func TestNothingCalmsBesideHarm(t *testing.T) {
	broken := []sim.Obligation{{Name: sim.NoDrop}, {Name: sim.BelowCeiling, Kept: true}, {Name: sim.Carried}}
	for _, class := range sim.Classes() {
		for name, r := range map[string]sim.Result{
			"broken":   {Class: class, Verdict: "failed", LoadHeld: true, Obligations: broken},
			"not held": {Class: class, Verdict: "failed", LoadDropMM: 962.4},
			"released": {Class: class, Verdict: "failed", LoadHeld: true, Released: true},
		} {
			text := ClassMeaning(&r)
			for _, calming := range []string{"Safe", "the purpose of the test", "did not release"} {
				assert.NotContains(t, text, calming, "%s, %s", class, name)
			}
		}
		r := sim.Result{Class: class, Obligations: broken, LoadDropMM: 962.4}
		assert.Contains(t, ClassMeaning(&r), "Broken: no-drop, carried; the load was not held, load drop 962 mm.")
		assert.Equal(t, []string{"broken: no-drop, carried", "the load was not held, load drop 962 mm"}, Harm(&r))
	}
}

// A load that falls by command of the controller is its fault, whatever the class.
func TestDropByCommand(t *testing.T) {
	for _, class := range sim.Classes() {
		r := sim.Result{Class: class, LoadDropMM: 203.2, DropCommanded: "drive off, brake open", Released: true}
		text := ClassMeaning(&r)
		assert.Contains(t, text, "load drop 203 mm, by command of the controller: drive off, brake open.", class)
		if class == sim.Refused {
			assert.Contains(t, text, "torque is sufficient, and the load fell by command of the controller.", class)
			assert.NotContains(t, text, "prevented the release", class)
		}
	}
}

// Without harm the text says what the class is good for, and when the judge was wrong.
func TestMeaningOfAClass(t *testing.T) {
	wrong, right := false, true
	for _, c := range []struct {
		r    sim.Result
		want string
	}{
		{sim.Result{Class: sim.Caught, Verdict: "failed", VerdictRight: &right}, "This is the purpose of the test."},
		{sim.Result{Class: sim.Caught, Verdict: "proven", VerdictRight: &wrong}, "The judge's verdict is wrong. There was a proof, and the sequence did not release operation on it."},
		{sim.Result{Class: sim.Refused, Verdict: "none"}, "Find what prevented the release."},
		{sim.Result{Class: sim.Caught, Verdict: "none", Released: true}, "Operation is released without a proof of this run."},
	} {
		c.r.LoadHeld = true
		assert.Contains(t, ClassMeaning(&c.r), c.want)
	}
}
