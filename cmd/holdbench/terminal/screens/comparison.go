package screens

import (
	"fmt"
	"math"

	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/player"
	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/compare"
	"holdbench/sim/history"
)

// comparison is run B beside the run on the bench, which is A.
type comparison struct {
	name   string
	run    *compare.Run
	by     compare.Alignment
	shiftS float64 // time of B less that of A

	samples []history.Sample // of B at the times of A
	blocks  []history.Block

	offset  int                 // values that are scrolled over
	result  *compare.Comparison // of A as far as it was run, nil before
	of      *history.Run        // A
	ofTicks int64
	busy    bool
}

// compareWith asks for a run B.
type compareWith struct {
	kind  otherKind
	place int    // of an earlier run
	ref   string // of a scenario
	name  string
}

// otherKind is where run B comes from.
type otherKind int

// Where run B comes from.
const (
	noOther otherKind = iota
	nominalOther
	earlierOther
	scenarioOther
)

type (
	// otherRun is a run B that was recorded, or why it could not be.
	otherRun struct {
		name string
		run  *compare.Run
		err  error
		mask *RiddleMask // of the moment when it was asked for
	}
	// runsCompared is what came of comparing the run on the bench as far as it was run.
	runsCompared struct {
		with   *comparison
		result *compare.Comparison
		of     *history.Run
		ticks  int64
		err    error
	}
)

// cannotCompare is the notice for a controller that takes part in real time, or in one run alone.
const cannotCompare = "the controller is outside and takes part in one run; its run cannot be compared"

// openCompare lets run B be chosen.
func (b *Bench) openCompare() tea.Cmd {
	if b.live() || b.source.chosen.Overrides.Outside != nil {
		b.say(cannotCompare, false)
		return nil
	}
	b.player.Pause()
	return Send(Open{newCompare(b.earlierRuns(), b.nameless(), b.other != nil)})
}

// earlierRuns are the stored runs behind the one on the bench; of a riddle nothing is said but how long they were.
func (b *Bench) earlierRuns() []choice {
	var list []choice
	for i, run := range b.runs.list {
		if i == 0 {
			continue
		}
		about := fmt.Sprintf("%.3f s", b.secondsOf(run))
		if !b.nameless() {
			played := run.PlayedScenario()
			about += ", " + run.Case().Scenario.Scenario
			if counts := counted(differencesOf(b.document(), &played)); counts != "" {
				about += " with " + counts
			}
		}
		list = append(list, choice{group: "runs", name: fmt.Sprintf("earlier run %d", i), about: about, place: i, kind: int(earlierOther)})
	}
	return list
}

func (*Bench) secondsOf(run *history.Run) float64 {
	return float64(run.Ticks()) * run.Case().Rig.Clock.Tick.Seconds()
}

// compareWith records run B.
func (b *Bench) compareWith(order compareWith) tea.Cmd {
	if order.kind == noOther || b.Case() == nil {
		b.endComparison()
		return nil
	}
	load, ticks := b.loaderOf(order)
	mask := b.mask
	b.say("run B is made", false)
	return b.worker.command(func() tea.Msg {
		c, err := load()
		if err != nil {
			return otherRun{name: order.name, err: err, mask: mask}
		}
		run, err := compare.RecordTicks(b.worker.ctx, c, ticks)
		return otherRun{order.name, run, err, mask}
	})
}

// endComparison takes run B away.
func (b *Bench) endComparison() {
	b.other = nil
	b.show.tab = min(b.show.tab, view.TabCount-1)
}

// loaderOf is what makes the case of a run B, and how many ticks are run of it.
func (b *Bench) loaderOf(order compareWith) (load func() (*sim.Case, error), ticks int64) {
	if order.kind == scenarioOther {
		reach := b.source.chosen.Overrides.Reach
		return func() (*sim.Case, error) {
			c, _, err := scenarios.LoadCase(order.ref, scenarios.Overrides{Reach: reach})
			return c, err
		}, math.MaxInt64
	}
	if order.kind == earlierOther && order.place < len(b.runs.list) {
		run := b.runs.list[order.place]
		of, played := run.Case(), run.PlayedScenario()
		return func() (*sim.Case, error) { return playedAs(of, played) }, run.Ticks()
	}
	nominal := b.nominalCase()
	return func() (*sim.Case, error) { return playedAs(nominal, nominal.Scenario) }, math.MaxInt64
}

// playedAs is a case with all that was done to its run.
func playedAs(c *sim.Case, played sim.Scenario) (*sim.Case, error) {
	again, _, err := c.With(played)
	return again, err
}

// takeOther shows a run B that was recorded.
func (b *Bench) takeOther(msg otherRun) {
	if msg.mask != b.mask { // a riddle has begun or ended since
		return
	}
	if msg.err != nil {
		if b.mask == nil {
			b.say("no run B: "+msg.err.Error(), true)
		}
		return
	}
	b.other = &comparison{name: msg.name, run: msg.run}
	b.other.align(compare.Alignment{By: compare.AtTime, Nth: 1}, 0)
	b.show.tab = view.ComparedTab
	b.say("compared with "+msg.name+"; j goes to the first difference, Y aligns", false)
}

// align puts the times of B beside those of A.
func (o *comparison) align(by compare.Alignment, shiftS float64) {
	o.by, o.shiftS, o.result, o.of = by, shiftS, nil, nil
	o.samples, o.blocks = samplesOf(o.run, shiftS), nil
	for i := 0; i+history.BlockSamples <= len(o.samples); i += history.BlockSamples {
		o.blocks = append(o.blocks, history.Summary(o.samples[i:i+history.BlockSamples]))
	}
}

// compareAgain compares anew once the run on the bench stands still at another length.
func (b *Bench) compareAgain() tea.Cmd {
	o, shown := b.other, b.player.Shown()
	if o == nil || o.busy || b.Case() == nil || b.player.State() != player.Idle || b.player.Busy() {
		return nil
	}
	if o.of == shown.Run && o.ofTicks == shown.Ticks {
		return nil
	}
	o.busy, o.of, o.ofTicks = true, shown.Run, shown.Ticks
	c, played, run, ticks, by := b.Case(), shown.Kept, shown.Run, shown.Ticks, o.by
	return b.worker.command(func() tea.Msg {
		msg := runsCompared{with: o, of: run, ticks: ticks}
		again, err := playedAs(c, played)
		if err != nil {
			msg.err = err
			return msg
		}
		a, err := compare.RecordTicks(b.worker.ctx, again, ticks)
		if err != nil {
			msg.err = err
			return msg
		}
		msg.result, msg.err = compare.Of(a, o.run, by)
		return msg
	})
}

// takeCompared shows what was found, unless the runs are aligned otherwise by now.
func (b *Bench) takeCompared(msg runsCompared) {
	o := msg.with
	o.busy = false
	if o != b.other || msg.of != o.of || msg.ticks != o.ofTicks {
		return
	}
	o.result = msg.result
	if msg.err != nil && b.mask == nil && b.worker.ctx.Err() == nil {
		b.say("not compared: "+msg.err.Error(), true)
	}
}

// nextAlignment aligns the runs at the state that A is in, then at its last event, then at the same time.
func (b *Bench) nextAlignment() tea.Cmd {
	o := b.other
	if o == nil {
		b.say(chooseOther, false)
		return nil
	}
	for _, by := range b.alignments() {
		at, err := by.by.Moment(o.run.Result)
		if err != nil {
			b.say("B has no "+by.by.String()+"; not aligned at it", false)
			continue
		}
		b.notice = Notice{}
		o.align(by.by, at-by.atS)
		b.say("aligned at "+alignedText(by.by), false)
		return nil
	}
	return nil
}

// chooseOther is the notice for keys that need a run B.
const chooseOther = "there is no run B; y chooses one"

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

// toFirst goes to the first difference that may be seen, and from there to the first that the sequence sees.
func (b *Bench) toFirst() tea.Cmd {
	switch {
	case b.other == nil:
		b.say(chooseOther, false)
	case b.other.result == nil:
		b.say("the runs are compared once the run on the bench stands still", false)
	default:
		first := b.firstDifference()
		if first == nil {
			text := fmt.Sprintf("no difference up to %.3f s", b.seconds(b.other.ofTicks))
			if !b.player.Shown().Over {
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

// firstDifference is the first one that may be seen, nil if there is none.
func (b *Bench) firstDifference() *compare.Divergence {
	switch r := b.other.result; {
	case r == nil:
		return nil
	case !b.truthHidden():
		return r.First()
	case len(r.Visible) > 0:
		return &r.Visible[0]
	}
	return nil
}

// compared adds run B to what is shown.
func (b *Bench) compared(s *view.Scene) {
	o := b.other
	if o == nil {
		return
	}
	s.Earlier, s.EarlierBlocks = o.samples, o.blocks
	c := &view.Compared{Name: o.name, Aligned: "at " + alignedText(o.by), BS: s.View.TS + o.shiftS, FirstS: math.NaN()}
	c.Outside = c.BS < 0 || c.BS > o.run.EndS()+s.Case.Rig.Clock.FunctionalScan.Seconds() // of its last scan
	if !c.Outside {
		c.Values = valuesOf(o.run.Beside(s.View, nameOfState(s.Case, s.View.State), c.BS), s.Truth)
	}
	if first := b.firstDifference(); first != nil {
		c.FirstS = first.AtAS
		c.First = fmt.Sprintf("%.3f s in %s: %s", first.AtAS, first.StateA, firstText(first))
	}
	if o.result != nil {
		p := &o.result.Path
		c.Common, c.PathB = len(p.Common), p.OnlyB
		for i := range p.Joined {
			c.PathB = append(c.PathB[:len(c.PathB):len(c.PathB)], p.Joined[i].State)
		}
		c.Parted = len(p.OnlyA) > 0 || b.player.Shown().Over && !p.Same()
	}
	if last := c.Common - 1; last >= 0 {
		c.After = o.result.Path.Common[last].State
	}
	c.Offset = o.offset
	s.Compared = c
}

// valuesScrolled is how many values a key scrolls over.
const valuesScrolled = 4

func scrollValues(by int) func(*Bench) tea.Cmd {
	return func(b *Bench) tea.Cmd {
		if o := b.other; o != nil {
			o.offset = max(0, min(o.offset+by*valuesScrolled, len(o.run.Beside(b.player.Shown().View, "", o.run.EndS()))-1))
			b.show.tab = view.ComparedTab
			return nil
		}
		b.say(chooseOther, false)
		return nil
	}
}
