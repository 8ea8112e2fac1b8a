package export

import (
	"slices"

	"holdbench/sequence"
)

// Groups are the parts into which the diagrams divide a sequence.
func Groups() []string { return []string{groupNormal, groupFailure, groupStop} }

const (
	groupNormal  = "normal"
	groupFailure = "failure"
	groupStop    = "stop"
)

// groupsOf says of each state to which part it belongs. Normal is what a test without a failure can
// come through: what the start leads to and what leads to a pass, both by transitions without a
// cause and not by way of another end. Of the others, those whose nearest end is a stop belong to the stops and the rest to the
// failures.
func groupsOf(p *sequence.Program) []string {
	states := p.States()
	groups := make([]string, len(states))
	from := reach(len(states), []int{p.About().Start}, func(i int) []int { return causeless(&states[i]) })
	var passes []int
	for i := range states {
		if states[i].End == sequence.EndPass {
			passes = append(passes, i)
		}
	}
	to := reach(len(states), passes, func(i int) []int {
		var list []int
		for k := range states {
			if slices.Contains(causeless(&states[k]), i) {
				list = append(list, k)
			}
		}
		return list
	})
	for i := range states {
		switch {
		case from[i] && to[i] || i == p.About().Start:
			groups[i] = groupNormal
		case nearestEnd(states, i) == sequence.EndStop:
			groups[i] = groupStop
		default:
			groups[i] = groupFailure
		}
	}
	return groups
}

// causeless are the states that a state leads to by transitions of its own that name no cause; none
// for an end, where a test is over.
func causeless(s *sequence.DocumentState) []int {
	var list []int
	if s.End != sequence.EndNone {
		return nil
	}
	for i := range s.Edges {
		if s.Edges[i].Cause == "" {
			list = append(list, s.Edges[i].Target)
		}
	}
	return list
}

// reach marks what can be reached from some states.
func reach(count int, from []int, next func(int) []int) []bool {
	seen := make([]bool, count)
	for todo := slices.Clone(from); len(todo) > 0; {
		i := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if seen[i] {
			continue
		}
		seen[i] = true
		todo = append(todo, next(i)...)
	}
	return seen
}

// nearestEnd is the kind of the end that a state leads to by the fewest transitions of its own, of
// two at the same distance a failure.
func nearestEnd(states []sequence.DocumentState, from int) sequence.EndKind {
	seen := make([]bool, len(states))
	for now := []int{from}; len(now) > 0; {
		var next []int
		found := sequence.EndNone
		for _, i := range now {
			seen[i] = true
			if end := states[i].End; end == sequence.EndFail || end != sequence.EndNone && found == sequence.EndNone {
				found = end
			}
			for k := range states[i].Edges {
				if t := states[i].Edges[k].Target; !seen[t] {
					next = append(next, t)
				}
			}
		}
		if found != sequence.EndNone {
			return found
		}
		now = next
	}
	return sequence.EndNone
}
