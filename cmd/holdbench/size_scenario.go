package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"holdbench/plant/sizing"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
)

// sizedRig is a rig with the sequence that tests it, and what was worked out.
type sizedRig struct {
	reference string
	ready     *sim.Case
	params    sizing.Params
	result    *sizing.Sizing
}

// loadSized reads rig and sequence and applies what is set on the command line. What is
// doubtful goes to standard error.
func (a *app) loadSized(reference string, o scenarios.Overrides) (*sizedRig, error) {
	rig, doubts, err := scenarios.LoadRig(reference)
	if err != nil {
		return nil, err
	}
	document, more, err := scenarios.LoadSequence(o.Sequence)
	if err != nil {
		return nil, err
	}
	for _, d := range append(doubts, more...) {
		_, _ = fmt.Fprintln(a.stderr, clean(d.Error()))
	}
	s := sim.Scenario{
		Scenario: "sized-" + rig.Rig, Title: "Brake test sized: " + rig.Title,
		Rig: sim.Reference{Name: reference}, Sequence: sim.Reference{Name: o.Sequence}, Set: o.Set,
	}
	ready, problems := sim.NewCase(s, *rig, *document)
	if err := a.tellProblems(reference, o.Set, problems); err != nil {
		return nil, err
	}
	return &sizedRig{reference: reference, ready: ready, params: paramsOf(ready.Program)}, nil
}

// tellProblems puts problems with a rig and its settings into words; doubts of them go to
// standard error.
func (a *app) tellProblems(reference string, set map[string]string, problems []sim.Problem) error {
	var found []error
	for _, p := range problems {
		place := reference
		for _, key := range sortedKeys(set) {
			if p.Path == sim.SetPath(key) {
				place = "--set " + key + "=" + set[key]
			}
		}
		if p.Warning {
			_, _ = fmt.Fprintln(a.stderr, clean(place+": warning: "+p.Message))
			continue
		}
		found = append(found, errors.New(place+": "+p.Message))
	}
	return errors.Join(found...)
}

// paramsOf are the parameters of a sequence as numbers.
func paramsOf(p *sequence.Program) sizing.Params {
	params := sizing.Params{}
	for _, v := range p.Params() {
		params[v.Name] = v.Number
		if v.Kind == sequence.KindBoolean && v.Boolean {
			params[v.Name] = 1
		}
	}
	return params
}

const sizedHeader = `Values worked out by holdbench size. They are advice for a desk: nothing was measured, and a
simulation proves no machine safe. Tolerances, factor and interval are yours to set.`

// writeSized writes the values as a scenario that runs on the rig.
func (a *app) writeSized(sized *sizedRig, path string) error {
	s := sized.scenario()
	if !isStdout(path) {
		scenarios.Rebase(&s, "", filepath.Dir(path))
	}
	text, err := scenarios.Format(&s, sizedHeader)
	if err != nil {
		return err
	}
	out, err := openTarget(path, a.stdout)
	if err != nil {
		return err
	}
	if _, err := out.Write(text); err != nil {
		out.abandon()
		return cannotWrite(path, err)
	}
	return out.close()
}

// scenario is the sized rig with what must come of a good brake.
func (z *sizedRig) scenario() sim.Scenario {
	s := z.ready.Scenario
	s.Teaches = "The brake test of the rig as it was sized: a good brake passes. Make the brake weaker than the test torque, and it must be caught."
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
