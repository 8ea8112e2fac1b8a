package probecmd

import (
	"strings"

	"holdbench/sim/probe"
)

// kindLook is how a kind of outcome is shown. The sign is a letter, and in lower case where no
// sequence could have detected or prevented the outcome: letters differ without colours and
// without Unicode.
type kindLook struct {
	kind probe.Kind
	sign string
	what string
}

func kindLooks() []kindLook {
	return []kindLook{
		{probe.Missed, "M", "a proof with insufficient torque, or with a load that is not held"},
		{probe.Dropped, "D", "the load drop exceeded the limit"},
		{probe.Stale, "S", "passed on an old proof"},
		{probe.Endless, "E", "did not end in time"},
		{probe.Broken, "B", "another obligation was broken"},
		{probe.FalseAlarm, "A", "no proof, and nothing was wrong"},
		{probe.Fine, "·", "as required"},
	}
}

// The meaning of the signs that are no kind.
const (
	excusedWhat = "the same, not detectable or not preventable by a sequence"
	blankWhat   = "not tried: the fault itself leads there, or is one of the whole run"
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
