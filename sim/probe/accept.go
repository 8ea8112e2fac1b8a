package probe

import (
	"fmt"
	"slices"

	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// Acceptances are the dangerous outcomes that a reviewer accepts by name, each with the reason.
type Acceptances struct {
	Accept  string            `yaml:"accept"` // a short name
	Note    string            `yaml:"note,omitempty"`
	Renamed map[string]string `yaml:"renamed,omitempty"` // states since the baseline: old name to new
	Entries []Acceptance      `yaml:"entries"`
}

// Acceptance accepts the cells of some faults in some states, as long as they break nothing but
// what it names.
type Acceptance struct {
	Fault    Names  `yaml:"fault"`
	State    Names  `yaml:"state"`              // run: the whole run
	Severity Names  `yaml:"severity,omitempty"` // none: any
	Breaks   Names  `yaml:"breaks"`             // obligations, or missed
	Reason   string `yaml:"reason"`
}

// Names is a name, or several, as a document has them.
type Names []string

// Check refuses names that the catalogue, the obligations or the sequence do not have. The error
// is a [problem.List] with the paths in the document.
func (a *Acceptances) Check(states []string) error {
	var found problem.List
	if a.Accept == "" {
		found.Add("accept", "accept has no name; must be a short name such as that of the sequence")
	}
	if len(a.Entries) == 0 {
		found.Add("entries", "there are no entries; must be a list of {fault, state, breaks, reason}")
	}
	for i := range a.Entries {
		a.Entries[i].check(fmt.Sprintf("entries[%d]", i), states, &found)
	}
	return found.OrNil()
}

func (a *Acceptance) check(path string, states []string, found *problem.List) {
	for _, l := range []struct {
		key      string
		names    Names
		valid    []string
		optional bool
	}{
		{"fault", a.Fault, catalogue.Names(), false},
		{"state", a.State, append([]string{wholeRun}, states...), false},
		{"severity", a.Severity, SeverityWords(), true},
		{"breaks", a.Breaks, Breakable(), false},
	} {
		if len(l.names) == 0 && !l.optional {
			found.Add(path, "%s is missing; must be a name or a list of names", l.key)
		}
		for k, name := range l.names {
			if !slices.Contains(l.valid, name) {
				found.Add(itemPath(path, l.key, len(l.names), k), "%s is %q; %s", l.key, name, sequence.Suggest(name, l.valid))
			}
		}
	}
	if a.Reason == "" {
		found.Add(path, "reason is missing; must be a sentence that a reviewer can sign")
	}
}

// itemPath is the path of one of several names, or of the only one.
func itemPath(path, key string, names, k int) string {
	if names == 1 {
		return path + "." + key
	}
	return fmt.Sprintf("%s.%s[%d]", path, key, k)
}

// SeverityWords are the words for how severe a fault is tried.
func SeverityWords() []string { return []string{"mild", "usual", "severe"} }

// Breakable are the words for what an outcome can break.
func Breakable() []string {
	names := []string{string(Missed)}
	for _, o := range sim.Obligations() {
		names = append(names, o.Name)
	}
	return names
}

// covers is whether an entry is about an outcome and allows all that it breaks.
func (a *Acceptance) covers(o *Outcome) bool {
	if !slices.Contains(a.Fault, o.Fault) || !slices.Contains(a.State, o.stateName()) || len(a.Severity) > 0 && !slices.Contains(a.Severity, o.Severity) {
		return false
	}
	if o.Kind == Missed && !slices.Contains(a.Breaks, string(Missed)) {
		return false
	}
	return !slices.ContainsFunc(o.Broken, func(name string) bool { return !slices.Contains(a.Breaks, name) })
}

// Apply accepts the dangerous outcomes that an entry covers, and returns a problem for each name
// of an entry that no longer applies: nothing is left there to accept. Only a complete probe can
// say so, and only of what its options left in.
func (a *Acceptances) Apply(m *Results, o Options) problem.List {
	var stale problem.List
	for i := range a.Entries {
		used := a.Entries[i].apply(m.Outcomes)
		if m.Complete {
			a.Entries[i].findStale(fmt.Sprintf("entries[%d]", i), o, used, &stale)
		}
	}
	return stale
}

// ApplyTo accepts earlier outcomes in the same way.
func (a *Acceptances) ApplyTo(outcomes []Outcome) {
	for i := range a.Entries {
		a.Entries[i].apply(outcomes)
	}
}

// use is a name that was needed, under its key.
type use struct{ key, name string }

// apply accepts outcomes and returns the names that it needed for that.
func (a *Acceptance) apply(outcomes []Outcome) map[use]bool {
	used := map[use]bool{}
	for i := range outcomes {
		o := &outcomes[i]
		if !o.failed() || o.Excused() || !a.covers(o) {
			continue
		}
		if o.Accepted == "" {
			o.Accepted = a.Reason
		}
		used[use{"fault", o.Fault}], used[use{"state", o.stateName()}], used[use{"severity", o.Severity}] = true, true, true
	}
	return used
}

// findStale finds the names that no cell needed. What the options left out may still need a name.
func (a *Acceptance) findStale(path string, o Options, used map[use]bool, found *problem.List) {
	faultsOut := leftOut(a.Fault, o.Faults)
	statesOut := leftOut(a.State, o.States) || len(o.Through) > 0
	if len(used) == 0 && !faultsOut && !statesOut {
		found.Add(path+".fault", "the entry no longer applies: there is nothing to accept; must be removed")
		return
	}
	for _, l := range []struct {
		key     string
		names   Names
		chosen  []string // none: all
		partial bool     // others that the name goes with were left out
	}{
		{"fault", a.Fault, o.Faults, statesOut},
		{"state", a.State, o.States, faultsOut || len(o.Through) > 0},
		{"severity", a.Severity, nil, faultsOut || statesOut},
	} {
		for k, name := range l.names {
			if !l.partial && !leftOut(Names{name}, l.chosen) && !used[use{l.key, name}] {
				found.Add(itemPath(path, l.key, len(l.names), k), "%s %s no longer applies to the entry: there is nothing to accept; must be removed", l.key, name)
			}
		}
	}
}

// leftOut is whether one of the names was not chosen.
func leftOut(names Names, chosen []string) bool {
	return len(chosen) > 0 && slices.ContainsFunc(names, func(name string) bool { return !slices.Contains(chosen, name) })
}

// Rename gives the states of earlier outcomes the names that they have now.
func Rename(outcomes []Outcome, renamed map[string]string) {
	for i := range outcomes {
		o := &outcomes[i]
		for _, name := range []*string{&o.State, &o.EndedIn} {
			if now, ok := renamed[*name]; ok {
				*name = now
			}
		}
	}
}
