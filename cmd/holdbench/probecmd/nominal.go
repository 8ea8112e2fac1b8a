package probecmd

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
	"holdbench/sim/probe"
)

// nominalWords say whether the run without a fault is as it must be, and what it is otherwise.
func nominalWords(n *probe.Nominal) string {
	text := "the run without a fault is not as expected: "
	switch {
	case n.Sound():
		text = fmt.Sprintf("without a fault, as expected: %s at %s", n.End, page.Seconds(n.DurationS))
	case n.Endless():
		text = "the run without a fault " + endlessWords(n)
	case n.End != n.Expected:
		text += fmt.Sprintf("must be %s, found %s", n.Expected, endedWords(n))
	default:
		text += endedWords(n)
	}
	broken := slices.DeleteFunc(slices.Clone(n.Broken), func(name string) bool { return name == sim.Bounded })
	switch {
	case len(broken) > 0:
		return text + ", breaks " + strings.Join(broken, " and ")
	case n.Sound():
		return text + ", every obligation kept"
	}
	return text
}

// endedWords are the end of a run, its state, time and cause.
func endedWords(n *probe.Nominal) string {
	text := fmt.Sprintf("%s in %s at %s", endWords(n.End), page.CleanLine(n.EndedIn), page.Seconds(n.DurationS))
	if n.Cause != "" {
		text += " (" + page.CleanLine(n.Cause) + ")"
	}
	return text
}

// endlessWords describe a run that does not end.
func endlessWords(n *probe.Nominal) string {
	text := fmt.Sprintf("does not end: state %s since %s, no end at %s", page.CleanLine(n.EndedIn), page.Seconds(n.SinceS), page.Seconds(n.DurationS))
	if n.Untold {
		text = "does not end: the controller tells no states, and no end until " + page.Seconds(n.DurationS)
	}
	if n.ControllerStopped != nil {
		text += "; " + page.CleanLine(n.ControllerStopped.String())
	}
	return text
}

// timedWords say how a controller without states is probed.
const timedWords = "The controller tells no states: each fault begins at eighths of the run, and no routes to further states are searched for."

// checkNominal refuses a probe of a run that does not end, unless it is wanted anyway.
func (p *plan) checkNominal(anyway bool) error {
	n := p.nominal
	if anyway || n.Sound() || !n.Endless() {
		return nil
	}
	return fmt.Errorf("%s; the cells would not end either. Look at it with %s; --anyway probes it as it is", nominalWords(n), strings.Join(p.againParts(), " "))
}

// announce says ahead of a probe, which takes its time, what it starts from.
func (p *plan) announce(w io.Writer) {
	if !p.nominal.Sound() {
		_, _ = fmt.Fprintf(w, "%s; look at it with %s\n", page.Clean(nominalWords(p.nominal)), page.Clean(strings.Join(p.againParts(), " ")))
	}
	if p.nominal.Untold {
		_, _ = fmt.Fprintln(w, timedWords)
	}
}

// unsound prints, ahead of all else, that the run without a fault is not as expected, with the command that
// shows it.
func (v *sheet) unsound(p *plan) {
	if p.nominal.Sound() {
		return
	}
	v.hang(v.Style.Bad.Render(v.Signs().Bad)+" ", nominalWords(p.nominal)+"; look at it first:")
	v.Put(page.BreakCommand(p.againParts(), "    ", v.Width))
	v.Line()
}
