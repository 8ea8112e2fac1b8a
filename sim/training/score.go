package training

import (
	"fmt"
	"slices"
	"strings"

	"holdbench/sim/catalogue"
)

// Score is the score of an answer, with a sentence for each part.
type Score struct {
	Cause       int // 0 to 6
	Remedy      int // 0 to 4
	LookPenalty int // points for looks beyond the free ones, 0 to 3
	Total       int // 0 to 10

	CauseText, RemedyText, LooksText string
}

// The points of the parts.
const (
	CausePoints  = 6
	groupPoints  = 2 // another cause of the same group, or one fault of two
	RemedyPoints = 4
	partPoints   = 2 // the right remedy, with another cause of the same group
	maxPenalty   = 3
)

// FreeLooks is the number of looks without a penalty.
const FreeLooks = 3

// MaxPoints is the best total.
const MaxPoints = CausePoints + RemedyPoints

// Score scores an answer: the names of a cause and of a remedy, and the number of looks beyond
// the first run. Three looks are free; each further one costs a point, up to three.
func (r *Riddle) Score(cause, remedy string, probes int) Score {
	var s Score
	s.Cause, s.CauseText = r.scoreCause(cause)
	s.Remedy, s.RemedyText = r.scoreRemedy(remedy, s.Cause)
	s.LookPenalty, s.LooksText = scoreLooks(probes)
	s.Total = max(0, s.Cause+s.Remedy-s.LookPenalty)
	return s
}

func (r *Riddle) scoreCause(cause string) (points int, says string) {
	truth := r.Truth.Name()
	switch {
	case cause == truth:
		return CausePoints, "Right: " + r.Truth.What()
	case sharesFault(cause, truth):
		return groupPoints, fmt.Sprintf("Close: one of the faults is right; it was %s. %s", truth, r.Truth.What())
	case len(r.Truth) == 1 && groupOf(cause) == r.Truth[0].Entry.Group:
		return groupPoints, fmt.Sprintf("Close: the group is right (%s); it was %s. %s", r.Truth[0].Entry.Group, truth, r.Truth.What())
	}
	return 0, fmt.Sprintf("Wrong: it was %s. %s", truth, r.Truth.What())
}

// sharesFault is whether two causes have a fault in common.
func sharesFault(a, b string) bool {
	names := strings.Split(b, joint)
	return slices.ContainsFunc(strings.Split(a, joint), func(name string) bool { return slices.Contains(names, name) })
}

func (r *Riddle) scoreRemedy(remedy string, cause int) (points int, says string) {
	right := remedyText(r.Truth.Remedy())
	switch {
	case remedy != r.Truth.Remedy():
		return 0, "Wrong remedy. " + right
	case cause == CausePoints:
		return RemedyPoints, "Right: " + right
	case cause == groupPoints:
		return partPoints, "Right remedy, although the cause was another one: " + right
	}
	return 0, "Right remedy, but not for the cause that was named. " + right
}

func scoreLooks(probes int) (lost int, says string) {
	lost = max(0, min(maxPenalty, probes-FreeLooks))
	switch {
	case lost > 0:
		return lost, fmt.Sprintf("%d looks, of which %d are free; penalty %d.", probes, FreeLooks, lost)
	case probes == 1:
		return 0, fmt.Sprintf("1 look; %d are free.", FreeLooks)
	}
	return 0, fmt.Sprintf("%d looks; %d are free.", max(0, probes), FreeLooks)
}

func groupOf(cause string) string {
	list := catalogue.Entries()
	i := slices.IndexFunc(list, func(f catalogue.Entry) bool { return f.Name == cause })
	if i < 0 {
		return ""
	}
	return list[i].Group
}

// remedyText is the text of a remedy, or of two.
func remedyText(names string) string {
	list := catalogue.Remedies()
	var texts []string
	for name := range strings.SplitSeq(names, joint) {
		if i := slices.IndexFunc(list, func(r catalogue.Remedy) bool { return r.Name == name }); i >= 0 {
			texts = append(texts, list[i].Text)
		}
	}
	return strings.Join(texts, " ")
}
