package sizecmd

import (
	"path/filepath"
	"strings"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/plant/sizing"
	"holdbench/scenarios"
	"holdbench/sim"
)

// sizedRig is a rig with its sequence and the result of the sizing.
type sizedRig struct {
	reference string
	ready     *sim.Case
	params    sizing.Params
	result    *sizing.Sizing
}

// ceilingKey is the value that a rig can be sized without.
const ceilingKey = "judge.ceiling_nm"

// anyCeilingNM is in its place while the case is made, which needs one: the largest of a rig.
const anyCeilingNM = 1e6

// loadSized reads rig and sequence and applies what is set on the command line. What is
// warnings goes to standard error.
func loadSized(a *command.App, reference string, o scenarios.Overrides) (*sizedRig, error) {
	rig, warnings, err := scenarios.LoadRig(reference)
	if err != nil {
		return nil, err
	}
	o.Sequence = scenarios.SequenceFor(rig, o.Sequence)
	logic, more, err := scenarios.LoadLogic(o.Sequence, a.Reach)
	if err != nil {
		return nil, err
	}
	a.TellWarnings(append(warnings, more...))
	s := sim.Scenario{
		Scenario: "sized-" + rig.Rig, Title: "Brake test sized: " + rig.Title,
		Rig: sim.Reference{Name: reference}, Sequence: sim.Reference{Name: o.Sequence}, Set: o.Set,
	}
	unknown := rig.Judge.CeilingNM == 0 && o.Set[ceilingKey] == "" && o.Set["rig."+ceilingKey] == ""
	if unknown {
		rig.Judge.CeilingNM = anyCeilingNM
	}
	ready, warnings, err := scenarios.CaseOfRig(s, reference, rig, logic)
	if err := a.TellProblems(reference, o, warnings, err); err != nil {
		return nil, err
	}
	if unknown {
		ready.Rig.Judge.CeilingNM = 0
	}
	ready.Sources = scenarios.Sources(reference, o.Sequence, a.Reach)
	return &sizedRig{reference: reference, ready: ready, params: command.SizingParams(ready.Sequence)}, nil
}

const sizedHeader = `Values calculated by holdbench size. Nothing is measured, and a simulation proves no machine safe.
Tolerances, factor and interval must be decided by the user.`

// writeSized writes the values as a scenario that runs on the rig.
func writeSized(a *command.App, sized *sizedRig, path string) error {
	s := sized.scenario()
	if !files.IsStdout(path) {
		scenarios.Rebase(&s, "", filepath.Dir(path))
	}
	text, err := scenarios.Format(&s, sizedHeader)
	if err != nil {
		return err
	}
	return files.WriteWhole(path, a.Stdout, text)
}

// scenario is the sized rig with what must come of a good brake.
func (z *sizedRig) scenario() sim.Scenario {
	s := z.ready.Scenario
	s.Teaches = "The brake test of the rig with the values of its sizing: a good brake passes. A brake weaker than the test torque must be caught."
	set := map[string]string{}
	for key, value := range s.Set {
		set[key] = value
		if judge, ok := strings.CutPrefix(key, "rig.judge."); ok { // one key, two names
			delete(set, key)
			set["judge."+judge] = value
		}
	}
	for _, one := range z.result.Settings {
		set[one.Key] = one.Value
	}
	s.Set = set
	s.Expect = sim.Expect{End: "pass", Verdict: "proven", Class: sim.SoundPass}
	return s
}
