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

	offset int  // values that are scrolled over
	busy   bool // a comparison is under way

	of      *history.Run // A
	ofTicks int64        // as far as it was compared
	a       *compare.Run // so far, nil where it could not be compared
	result  *compare.Comparison
}

// complete is whether a run is compared as far as it was played.
func (o *comparison) complete(shown *player.Progress) bool {
	return o.result != nil && o.of == shown.Run && o.ofTicks == shown.Ticks
}

// withoutFaults is the nominal run in lists and notices.
const withoutFaults = "run without faults"

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
		by     compare.Alignment
		of     *history.Run
		ticks  int64
		a      *compare.Run
		result *compare.Comparison
		err    error
	}
)

// cannotCompare is the notice for a controller that takes part in real time, or in one run alone.
const cannotCompare = "the controller is outside and takes part in one run; its run cannot be compared"

// openCompare lets run B be chosen.
func (b *Bench) openCompare() tea.Cmd {
	return b.compareUnlessOutside(Send(Open{newCompare(b.earlierRuns(), b.nameless(), b.other != nil)}))
}

// compareUnlessOutside is what leads to a run B, where there can be one.
func (b *Bench) compareUnlessOutside(cmd tea.Cmd) tea.Cmd {
	if b.live() || b.source.chosen.Overrides.Outside != nil {
		b.say(cannotCompare, false)
		return nil
	}
	b.player.Pause()
	return cmd
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

// compareAgain compares anew once the run on the bench stands still at another length. What was compared before is
// compared at once where the runs are aligned otherwise, also while the run plays.
func (b *Bench) compareAgain() tea.Cmd {
	o, shown := b.other, b.player.Shown()
	if o == nil || o.busy || b.Case() == nil {
		return nil
	}
	msg := runsCompared{with: o, by: o.by, of: o.of, ticks: o.ofTicks, a: o.a}
	stands := b.player.State() == player.Idle && !b.player.Busy()
	switch {
	case stands && (o.of != shown.Run || o.ofTicks != shown.Ticks):
		msg.of, msg.ticks, msg.a = shown.Run, shown.Ticks, nil
	case o.result != nil || o.a == nil || !comesTo(o.a, o.by):
		return nil
	}
	o.busy = true
	c, played := b.Case(), shown.Kept
	return b.worker.command(func() tea.Msg {
		if msg.a == nil {
			msg.a, msg.err = b.recordAs(c, played, msg.ticks)
		}
		if msg.err == nil {
			msg.result, msg.err = compare.Of(msg.a, o.run, msg.by)
		}
		return msg
	})
}

// comesTo is whether a run reaches what runs are aligned at.
func comesTo(r *compare.Run, by compare.Alignment) bool {
	_, err := by.Moment(r.Result)
	return err == nil
}

// recordAs records a case with all that was done to its run.
func (b *Bench) recordAs(c *sim.Case, played sim.Scenario, ticks int64) (*compare.Run, error) {
	again, err := playedAs(c, played)
	if err != nil {
		return nil, err
	}
	return compare.RecordTicks(b.worker.ctx, again, ticks)
}

// takeCompared shows what was found, unless the runs are aligned otherwise by now.
func (b *Bench) takeCompared(msg runsCompared) {
	o := msg.with
	o.busy = false
	if o != b.other {
		return
	}
	o.of, o.ofTicks, o.a, o.result = msg.of, msg.ticks, msg.a, nil
	if msg.by == o.by {
		o.result = msg.result
	}
	if msg.err == nil {
		return
	}
	if o.a = nil; b.mask == nil && b.worker.ctx.Err() == nil {
		b.say("not compared: "+msg.err.Error(), true)
	}
}

// chooseOther is the notice for keys that need a run B.
const chooseOther = "there is no run B; y chooses one"
