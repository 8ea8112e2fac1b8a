package screens

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"holdbench/sim"
	"holdbench/sim/compare"
	"holdbench/sim/history"
)

// align puts the times of B beside those of A.
func (o *comparison) align(by compare.Alignment, shiftS float64) {
	o.by, o.shiftS, o.result = by, shiftS, nil
	o.samples, o.blocks = samplesOf(o.run, shiftS), nil
	for i := 0; i+history.BlockSamples <= len(o.samples); i += history.BlockSamples {
		o.blocks = append(o.blocks, history.Summary(o.samples[i:i+history.BlockSamples]))
	}
}

// nextAlignment aligns the runs at the state that A is in, then at its last event, then at the same time.
func (b *Bench) nextAlignment() tea.Cmd {
	o := b.other
	if o == nil {
		b.say(chooseOther, false)
		return nil
	}
	var missing []string
	for _, by := range b.alignments() {
		at, err := by.by.Moment(o.run.Result)
		if err != nil {
			missing = append(missing, alignedText(by.by))
			continue
		}
		o.align(by.by, at-by.atS)
		text := "aligned at " + alignedText(by.by)
		if len(missing) > 0 {
			text = "B has no " + strings.Join(missing, " and no ") + "; " + text
		}
		b.say(text, false)
		return nil
	}
	return nil
}

// aligned is a way to align the runs, with its moment of A.
type aligned struct {
	by  compare.Alignment
	atS float64
}

// alignments are the ways behind the present one, in the order in which a key goes round.
func (b *Bench) alignments() []aligned {
	byTime := aligned{by: compare.Alignment{By: compare.AtTime, Nth: 1}}
	state, event := b.stateAtCursor(), b.eventAtCursor()
	switch b.other.by.By {
	case compare.AtTime:
		return []aligned{state, event, byTime}
	case compare.AtState:
		return []aligned{event, byTime}
	}
	return []aligned{byTime}
}

// stateAtCursor is the entry of the state at the cursor.
func (b *Bench) stateAtCursor() aligned {
	v := b.player.Shown().View
	a := aligned{by: compare.Alignment{By: compare.AtState, Name: nameOfState(b.Case(), b.Case().Sequence.Start), Nth: 1}}
	entries := map[string]int{a.by.Name: 1}
	for _, e := range b.player.Shown().Events {
		if e.EntersState() && e.TS <= v.TS {
			entries[e.Snapshot.State]++
			a = aligned{compare.Alignment{By: compare.AtState, Name: e.Snapshot.State, Nth: entries[e.Snapshot.State]}, e.TS}
		}
	}
	return a
}

// nameOfState is a state by its place, empty where the controller does not tell its states.
func nameOfState(c *sim.Case, place int) string {
	if names := stateNames(c); place >= 0 && place < len(names) {
		return names[place]
	}
	return ""
}

// eventAtCursor is the last event up to the cursor that may be seen.
func (b *Bench) eventAtCursor() aligned {
	v := b.player.Shown().View
	a := aligned{by: compare.Alignment{By: compare.AtTime, Nth: 1}}
	counts := map[string]int{}
	for _, e := range b.visible() {
		if e.TS > v.TS || e.Kind == sim.KindState {
			continue
		}
		counts[e.What]++
		a = aligned{compare.Alignment{By: compare.AtEvent, Name: e.What, Nth: counts[e.What]}, e.TS}
	}
	return a
}

// alignedText says what the runs are aligned at.
func alignedText(by compare.Alignment) string {
	switch by.By {
	case compare.AtState:
		return "state " + by.Name + nth(by.Nth)
	case compare.AtEvent:
		return "event " + by.Name + nth(by.Nth)
	}
	return "the same time"
}

func nth(n int) string {
	if n < 2 {
		return ""
	}
	return fmt.Sprintf(" #%d", n)
}
