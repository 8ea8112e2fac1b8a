package screens

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"holdbench/sim/compare"
)

// toFirst goes to the first difference that may be seen, and from there to the first that the sequence sees. Without
// a run B, the nominal run becomes it where it is shown.
func (b *Bench) toFirst() tea.Cmd {
	switch {
	case b.other == nil && b.nominal.wanted:
		return b.compareUnlessOutside(Send(compareWith{kind: nominalOther, name: withoutFaults}))
	case b.other == nil:
		b.say(chooseOther, false)
	case b.other.result == nil || b.other.of != b.player.Shown().Run:
		b.say("the runs are compared once the run on the bench stands still", false)
	default:
		first := b.firstDifference()
		if first == nil {
			text := fmt.Sprintf("no difference up to %.3f s", b.seconds(b.other.ofTicks))
			switch shown := b.player.Shown(); {
			case !b.other.complete(shown):
				text += "; the rest is compared once the run on the bench stands still"
			case !shown.Over:
				text += ", as far as the run was played; the key end plays it to its end"
			}
			b.say(text, false)
			return nil
		}
		at := min(b.ticks(first.AtAS), b.player.Shown().Ticks)
		if seen := b.other.result.Visible; len(seen) > 0 && b.player.Cursor() == at {
			at = max(at, min(b.ticks(seen[0].AtAS), b.player.Shown().Ticks))
		}
		b.goTo(at)
	}
	return nil
}

// firstDifference is the first one of the run on the bench that may be seen, nil if none was found.
func (b *Bench) firstDifference() *compare.Divergence {
	switch r := b.other.result; {
	case r == nil, b.other.of != b.player.Shown().Run:
		return nil
	case !b.truthHidden():
		return r.First()
	case len(r.Visible) > 0:
		return &r.Visible[0]
	}
	return nil
}

func firstText(d *compare.Divergence) string {
	if d.Frozen != "" {
		return d.Signal + " stands still in " + strings.ToUpper(d.Frozen)
	}
	signal := compare.SignalName(d.Signal)
	if a, b, _, ok := compare.Figures(d.A, d.B, true); ok {
		return signal + " " + a + ", B " + b
	}
	return signal + " " + orNone(d.A) + ", B " + orNone(d.B)
}

func orNone(text string) string {
	if text == "" {
		return "none"
	}
	return text
}
