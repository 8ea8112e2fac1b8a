package probecmd

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"holdbench/sequence"
	"holdbench/sim/probe"
)

// review accepts what is accepted by name, and finds the entries that no longer apply.
func (s *session) review(r *report) {
	if s.plan.accept == nil {
		return
	}
	r.stale = s.plan.accept.Locate(s.plan.accept.Apply(r.found, s.plan.options))
	if s.was != nil {
		s.plan.accept.ApplyTo(s.was.outcomes)
	}
}

// renames are the states of the baseline that have another name now: those of the document of
// accepted outcomes, and before them those of the command line.
func (s *session) renames() (map[string]string, error) {
	all := map[string]string{}
	if s.plan.accept != nil {
		maps.Copy(all, s.plan.accept.Renamed)
	}
	for _, pair := range s.flags.renamed {
		old, name, _ := strings.Cut(pair, "=")
		all[old] = name
	}
	now := s.plan.ready.Sequence.StateNames()
	states := baselineStates(s.was)
	target := map[string]string{}
	for _, old := range slices.Sorted(maps.Keys(all)) {
		name := all[old]
		switch {
		case !slices.Contains(states, old):
			return nil, fmt.Errorf("renamed %s=%s: the baseline has no state %q; %s", old, name, old, sequence.Suggest(old, states))
		case !slices.Contains(now, name):
			return nil, fmt.Errorf("renamed %s=%s: %s has no state %q; %s", old, name, s.plan.ready.Sequence.Title(), name, sequence.Suggest(name, now))
		case target[name] != "":
			return nil, fmt.Errorf("renamed %s and %s are both %s now; must be one state each", target[name], old, name)
		case slices.Contains(states, name) && all[name] == "":
			return nil, fmt.Errorf("renamed %s=%s: the baseline has a state %s of its own; must be another name", old, name, name)
		}
		target[name] = old
	}
	return all, nil
}

// baselineStates are the states in which an earlier probe tried cells, or ended.
func baselineStates(b *baseline) []string {
	var names []string
	for i := range b.outcomes {
		for _, name := range []string{b.outcomes[i].State, b.outcomes[i].EndedIn} {
			if name != "" && !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	return names
}

// rename gives the states of the baseline their present names.
func (s *session) rename() error {
	renamed, err := s.renames()
	if err != nil || len(renamed) == 0 {
		return err
	}
	probe.Rename(s.was.outcomes, renamed)
	s.was.head.States = slices.Clone(s.was.head.States)
	for i, name := range s.was.head.States {
		if now, ok := renamed[name]; ok {
			s.was.head.States[i] = now
		}
	}
	return nil
}
