package training

import (
	"fmt"
	"slices"

	"holdbench/sim/catalogue"
)

// Score is what an answer is worth, with a sentence for each part.
type Score struct {
	Cause  int // 0 to 6
	Remedy int // 0 to 4
	Probes int // points lost for looks beyond the free ones, 0 to 3
	Total  int // 0 to 10

	CauseSays, RemedySays, ProbesSays string
}

// What the parts are worth.
const (
	causePoints  = 6
	groupPoints  = 2 // another cause of the same group
	remedyPoints = 4
	partPoints   = 2 // the right remedy, led to by another cause of the same group
	mostLost     = 3
)

// FreeLooks is how many looks cost nothing.
const FreeLooks = 3

// MostPoints is the best total.
const MostPoints = causePoints + remedyPoints

// Score weighs an answer: names of a cause and of a remedy, and how many looks beyond the
// plain signals were taken. Three looks are free, each one more costs a point, and at
// most three are lost.
func (r *Riddle) Score(cause, remedy string, probes int) Score {
	var s Score
	s.Cause, s.CauseSays = r.scoreCause(cause)
	s.Remedy, s.RemedySays = r.scoreRemedy(remedy, s.Cause)
	s.Probes, s.ProbesSays = scoreProbes(probes)
	s.Total = max(0, s.Cause+s.Remedy-s.Probes)
	return s
}

func (r *Riddle) scoreCause(cause string) (points int, says string) {
	group := groupOf(cause)
	switch {
	case cause == r.Fault.Name:
		return causePoints, "Right: " + r.Fault.What
	case group == r.Fault.Group:
		return groupPoints, fmt.Sprintf("Near: the group is right (%s), and it was %s. %s", group, r.Fault.Name, r.Fault.What)
	}
	return 0, fmt.Sprintf("No: it was %s. %s", r.Fault.Name, r.Fault.What)
}

func (r *Riddle) scoreRemedy(remedy string, cause int) (points int, says string) {
	right := remedyText(r.Fault.Remedy)
	switch {
	case remedy != r.Fault.Remedy:
		return 0, "That does not help. " + right
	case cause == causePoints:
		return remedyPoints, "Right: " + right
	case cause == groupPoints:
		return partPoints, "That helps, although the cause was another one: " + right
	}
	return 0, "That helps by luck alone: the cause that was named does not lead there. " + right
}

func scoreProbes(probes int) (lost int, says string) {
	lost = max(0, min(mostLost, probes-FreeLooks))
	if lost == 0 {
		return 0, fmt.Sprintf("%d looks, of which %d are free.", max(0, probes), FreeLooks)
	}
	return lost, fmt.Sprintf("%d looks, of which %d are free; the others cost %d.", probes, FreeLooks, lost)
}

func groupOf(cause string) string {
	list := catalogue.Entries()
	i := slices.IndexFunc(list, func(f catalogue.Entry) bool { return f.Name == cause })
	if i < 0 {
		return ""
	}
	return list[i].Group
}

func remedyText(name string) string {
	list := catalogue.Remedies()
	i := slices.IndexFunc(list, func(r catalogue.Remedy) bool { return r.Name == name })
	if i < 0 {
		return ""
	}
	return list[i].Text
}
