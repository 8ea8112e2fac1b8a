package probecmd

import (
	"strings"

	"holdbench/sim/probe"
)

// kindLook is how a kind of outcome is shown. The sign is a letter where somebody must
// look, and in lower case where no sequence could have known or done anything: letters
// are told apart without colours and without Unicode.
type kindLook struct {
	kind probe.Kind
	sign string
	what string
}

func kindLooks() []kindLook {
	return []kindLook{
		{probe.Missed, "M", "a proof for a brake that is not fit, or for a load that is not held"},
		{probe.Dropped, "D", "the load sank further than it may"},
		{probe.Stale, "S", "passed on an old proof"},
		{probe.Endless, "E", "did not end in its time"},
		{probe.Broken, "B", "another obligation was broken"},
		{probe.FalseAlarm, "A", "no proof, and nothing was wrong"},
		{probe.Fine, "·", "as it should be"},
	}
}

// What stands beside the signs that are no kind.
const (
	excusedWhat = "the same, but no sequence could have known or done anything"
	blankWhat   = "not tried: the fault leads there itself, or comes with the start of a run only"
)

func lookOf(kind probe.Kind) kindLook { return kindLooks()[kind.Rank()] }

func (l kindLook) signFor(excused bool) string {
	if excused {
		return strings.ToLower(l.sign)
	}
	return l.sign
}

// excusedSigns are the letters of all kinds that can be excused.
func excusedSigns() string {
	var signs []string
	for _, l := range kindLooks() {
		if l.kind.Rank() < probe.FalseAlarm.Rank() {
			signs = append(signs, l.signFor(true))
		}
	}
	return strings.Join(signs, " ")
}
