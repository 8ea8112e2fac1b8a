package probecmd

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/probe"
)

// kindLook is how a kind of outcome is shown. The sign is a letter, and in lower case where the
// outcome needs no review: letters differ without colours and
// without Unicode.
type kindLook struct {
	kind probe.Kind
	sign string
	what string
}

func kindLooks() []kindLook {
	return []kindLook{
		{probe.Missed, "M", "released with insufficient torque, or with a load that was not held"},
		{probe.Dropped, "D", "the load drop exceeded the limit"},
		{probe.Stale, "S", "passed on an old proof"},
		{probe.Endless, "E", "did not end in time"},
		{probe.Broken, "B", "another obligation was broken"},
		{probe.FalseAlarm, "A", "not released, and nothing was wrong"},
		{probe.Fine, "·", "as required"},
	}
}

// The meaning of the signs that are no kind.
const (
	excusedWhat = "the same, not detectable, not preventable, or accepted by name"
	blankWhat   = "not tried: the fault itself leads there, or is one of the whole run"
)

func lookOf(kind probe.Kind) kindLook {
	looks := kindLooks()
	return looks[slices.IndexFunc(looks, func(l kindLook) bool { return l.kind == kind })]
}

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

// tone is the colour that goes with a sign.
func (v *sheet) tone(kind probe.Kind, excused bool) lipgloss.Style {
	switch {
	case kind == probe.Fine:
		return v.Style.Faint
	case excused:
		return v.Style.Plant
	case kind == probe.FalseAlarm:
		return v.Style.Warning
	}
	return v.Style.Bad
}

// sign is the coloured sign of an outcome.
func (v *sheet) sign(o *probe.Outcome) string {
	sign := lookOf(o.Kind).signFor(o.SetAside())
	if v.ASCII && o.Kind == probe.Fine {
		sign = "."
	}
	return v.tone(o.Kind, o.SetAside()).Render(sign)
}

// legend explains the signs.
func (v *sheet) legend(blank string) {
	for _, l := range kindLooks() {
		sign := v.sign(&probe.Outcome{Kind: l.kind})
		v.hang(fmt.Sprintf("%s  %s ", sign, page.Pad(string(l.kind), len(probe.FalseAlarm))), l.what)
	}
	v.hang(v.tone(probe.Missed, true).Render(excusedSigns())+"  ", excusedWhat)
	v.hang("blank      ", blank)
}
