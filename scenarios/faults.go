package scenarios

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// A scenario can name a fault of the catalogue with its severity in place of the targets that
// it sets. What it sets can depend on the rig, so that it is found when a case is made.

// nameFaults fills in what the named faults of a scenario set on its rig. Problems point into
// the scenario.
func nameFaults(sc *sim.Scenario, rig *plant.Rig, logic sequence.Logic) problem.List {
	if !slices.ContainsFunc(sc.Faults, func(f sim.Fault) bool { return f.Fault != "" }) {
		return nil
	}
	sc.Faults = slices.Clone(sc.Faults)
	set := ratedAs(sc, rig, logic)
	var found problem.List
	for i := range sc.Faults {
		f := &sc.Faults[i]
		if f.Fault == "" {
			continue
		}
		if err := nameFault(f, set, logic.About()); err != nil {
			found = append(found, problem.Problem{Path: fmt.Sprintf("faults[%d].fault", i), Message: err.Error()})
		}
	}
	return found
}

// ratedAs is the rig with the settings of a scenario; the rig as it is if they cannot be applied,
// which the case reports.
func ratedAs(sc *sim.Scenario, rig *plant.Rig, logic sequence.Logic) *plant.Rig {
	bare := sc.Clone()
	bare.Faults, bare.Script, bare.Lesson, bare.Expect = nil, nil, nil, sim.Expect{}
	ready, _, err := sim.NewCaseOf(bare, *rig, logic)
	if err != nil {
		return rig
	}
	return &ready.Rig
}

// nameFault fills in one fault.
func nameFault(f *sim.Fault, rig *plant.Rig, about *sequence.Description) error {
	if len(f.Set) > 0 {
		return fmt.Errorf("fault %s and set are both given; must be one of them", f.Fault)
	}
	if strings.Contains(f.Fault, "@") {
		return fmt.Errorf("%q has a moment; in a scenario when or at says it", f.Fault)
	}
	selected, err := catalogue.Parse(f.Fault)
	if err != nil {
		return err
	}
	entry := &selected.Entry
	switch {
	case entry.Settings != nil:
		settings, missing := entry.SettingsOn(rig, about)
		if len(missing) > 0 {
			return fmt.Errorf("%s is wrong data of the sequence, and sequence %s gives no parameter the role %s", entry.Name, about.Name, strings.Join(missing, ", "))
		}
		return fmt.Errorf("%s is wrong data of the sequence, which is there before the run; must be written under set: %s", entry.Name, settingsText(settings))
	case entry.Needs != nil && !entry.Needs(rig):
		return fmt.Errorf("%s does not apply to rig %s; see holdbench show fault %s", entry.Name, rig.Rig, entry.Name)
	case entry.WholeRun() && !fromStart(f):
		return fmt.Errorf("%s is active for the whole run; must be written with when: start", entry.Name)
	}
	f.Set = entry.Values(rig, selected.Severity)
	if f.For == 0 {
		f.For = entry.Duration
	}
	return nil
}

// fromStart is whether a fault is there from the start of the run to its end.
func fromStart(f *sim.Fault) bool {
	atOnce := f.When != nil && *f.When == sim.Moment{} || f.At != nil && *f.At == 0
	return atOnce && f.For == 0
}

func settingsText(set map[string]string) string {
	var parts []string
	for _, key := range slices.Sorted(maps.Keys(set)) {
		parts = append(parts, key+": "+set[key])
	}
	return "{" + strings.Join(parts, ", ") + "}"
}
