package probe

import (
	"slices"
	"strings"
)

// Difference is a cell whose outcome differs from that in an earlier probe.
type Difference struct {
	Was, Is *Outcome // nil: there was, or is, no such cell
}

// Worse is whether the cell went from one kind to a more dangerous one, breaks an obligation that
// it kept before, or is a new dangerous one. An excused outcome counts where it was not so
// before: the earlier sequence did better. One that is accepted by name does not.
func (d Difference) Worse() bool {
	return d.Is != nil && d.Is.Accepted == "" && degrades(d.Was, d.Is)
}

// Better is whether the way back would be a change for the worse.
func (d Difference) Better() bool {
	return d.Was != nil && d.Is != nil && !degrades(d.Was, d.Is) && degrades(d.Is, d.Was)
}

// degrades is whether is would be worse than was, which may be nil.
func degrades(was, is *Outcome) bool {
	switch {
	case !is.failed() && is.Kind != FalseAlarm:
		return false
	case was == nil:
		return is.Dangerous()
	case !was.failed() && is.failed():
		return true
	}
	more := func(name string) bool { return !slices.Contains(was.Broken, name) }
	return is.failed() && slices.ContainsFunc(is.Broken, more) || worse(is, was)
}

// Compare compares a probe with an earlier one, cell by cell: by fault, severity, state and
// moment, whatever the route. Changes for the worse come first; within these the order is that
// of the later probe, then of the earlier one. Every change of a sequence shifts times and
// figures a little, so only the outcome counts: end, verdict, cause, class, obligations, whether it
// is excused and whether the controller stopped by itself.
func Compare(was, is []Outcome) []Difference {
	before := map[string]*Outcome{}
	for i := range was {
		before[was[i].positionKey()] = &was[i]
	}
	var list []Difference
	for i := range is {
		old := before[is[i].positionKey()]
		delete(before, is[i].positionKey())
		if old == nil || !alike(old, &is[i]) {
			list = append(list, Difference{old, &is[i]})
		}
	}
	for i := range was {
		if before[was[i].positionKey()] == &was[i] {
			list = append(list, Difference{Was: &was[i]})
		}
	}
	slices.SortStableFunc(list, func(a, b Difference) int { return lastIf(b.Worse()) - lastIf(a.Worse()) })
	return list
}

// Common is how many cells two probes both have.
func Common(was, is []Outcome) int {
	before := map[string]bool{}
	for i := range was {
		before[was[i].positionKey()] = true
	}
	n := 0
	for i := range is {
		if before[is[i].positionKey()] {
			n++
		}
	}
	return n
}

// positionKey identifies a cell when another route leads to its state, or when the moment has
// shifted. The other fault of a pair is no route: its severity distinguishes cells.
func (o *Outcome) positionKey() string {
	c := o.Cell
	c.Route = nil
	if o.With != "" && len(o.Route) > 0 {
		other, _, _ := strings.Cut(o.Route[0], "@")
		c.Route = []string{other}
	}
	return c.Key()
}

func alike(a, b *Outcome) bool {
	return a.End == b.End && a.EndedIn == b.EndedIn && a.Verdict == b.Verdict && a.Cause == b.Cause &&
		a.Class == b.Class && a.Kind == b.Kind && a.Excused() == b.Excused() && a.Accepted == b.Accepted &&
		(a.ControllerStopped == nil) == (b.ControllerStopped == nil) && slices.Equal(a.Broken, b.Broken)
}
