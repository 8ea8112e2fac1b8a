package screens

import (
	"errors"
	"fmt"
	"maps"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/player"
	"holdbench/plant/problem"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/history"
)

// source is where the runs on the bench come from.
type source struct {
	chosen Chosen
	loaded *sim.Case // as it was chosen, before anything was done to it
	mine   bool      // the case on the bench is of what was chosen, not of a riddle
	// Of a riddle: the case without its faults, and the data that are wrong in its own.
	nominal *sim.Case
	data    map[string]string
	without struct{ of, c *sim.Case } // the last one that was made of nominal, for a case on the bench
}

// The errands that wait for the run, beside [loaded].
type (
	// rerun runs again from the start, with other values if set is not nil, or as another scenario has it.
	rerun struct {
		set      map[string]string
		scenario *sim.Scenario
	}
	// swap puts another of the runs at hand on the bench.
	swap struct{ place int }
)

// onErrand does what no job may have the run for.
func (b *Bench) onErrand(errand any) tea.Cmd {
	switch errand := errand.(type) {
	case loaded:
		return b.takeOver(errand)
	case rerun:
		return b.rerun(errand)
	case swap:
		b.swap(errand.place)
	}
	return nil
}

// onProgress takes over what a job brought, unless another run has come to the bench since.
func (b *Bench) onProgress(p *player.Progress) tea.Cmd {
	wasOver, running := b.player.Shown().Over && b.player.Shown().Run == p.Run, b.player.State() == player.Running
	if !b.player.Done(*p) {
		return nil
	}
	b.changed = b.changed || p.Kind == player.Change && p.Err == nil
	if p.Branch {
		b.push(p.Run)
	}
	b.report(p, running)
	return b.announce(p, wasOver)
}

// report notes the result of a job.
func (b *Bench) report(p *player.Progress, running bool) {
	switch {
	case p.Err != nil:
		b.say(p.Err.Error(), true)
	case p.Again > 0:
		b.say(againText(p), false)
	case p.Branch:
		b.say("a branch from here; the earlier run is shown behind it", false)
	case running && p.GaveUp && p.View.Buttons["power_loss"]:
		b.say("without power nothing more happens; p restores it", false)
	case running && p.GaveUp:
		b.say("no event within ten seconds of the run", false)
	}
}

// againText says what it costs that the controller cannot be copied.
func againText(p *player.Progress) string {
	took := time.Duration(p.Again) * p.Run.Case().Rig.Clock.Tick
	text := fmt.Sprintf("the controller cannot be copied: %.1f s were run again, with copies at most 1 s", took.Seconds())
	if p.Branch {
		text = "a branch from here; " + text
	}
	return text
}

// announce tells the other screens that the run came to a stop of the lesson or to its end: the
// stop first, as it can be the last tick.
func (b *Bench) announce(p *player.Progress, wasOver bool) tea.Cmd {
	var list []tea.Cmd
	if stop, ok := b.reached(p); ok {
		list = append(list, Send(Stopped{stop}))
	}
	if p.AtEnd() && !wasOver && p.Result != nil {
		list = append(list, Send(runOver{b.Case(), p.Result}))
	}
	return tea.Sequence(list...)
}

// reached is the stop of the lesson that a job brought the run to.
func (b *Bench) reached(p *player.Progress) (stop sim.ShownStop, ok bool) {
	if !p.Stopped || b.lesson.shown == nil {
		return stop, false
	}
	return b.lesson.shown.take()
}

// Stopped tells that the run came to a stop of the lesson.
type Stopped struct{ Stop sim.ShownStop }

// caseReplaced tells that another case is on the bench.
type caseReplaced struct {
	Case   *sim.Case
	Before *sim.Scenario // the run before as it was played, nil if it had not gone on from its start
}

// runOver tells that the run on the bench is over.
type runOver struct {
	Case   *sim.Case
	Result *sim.Result
}

// push puts a run on the bench.
func (b *Bench) push(run *history.Run) {
	if b.runs.push(run) {
		b.say(fmt.Sprintf("%d runs are stored at most; the oldest was removed", maxRuns), false)
	}
}

// bring puts another run on the bench; the one that was there is shown behind it.
func bring(place int) func(*Bench) tea.Cmd {
	return func(b *Bench) tea.Cmd {
		b.player.WhenFree(swap{place})
		return nil
	}
}

func (b *Bench) swap(place int) {
	before := b.Case()
	if !b.runs.bring(place) {
		b.say("there is no other run; a branch or a changed value makes one", false)
		return
	}
	if b.Case() != before { // with other values it has another nominal run
		b.nominal = nominal{}
	}
	b.player.Swap(b.runs.now())
}

func (b *Bench) runAgain() tea.Cmd {
	b.again(nil)
	return nil
}

// again runs the scenario as it was played from its start, with other values if set is not
// nil; the run before is shown behind it.
func (b *Bench) again(set map[string]string) {
	if b.Case() == nil {
		return
	}
	b.player.Pause()
	b.player.WhenFree(rerun{set: set})
}

// chosen is the scenario as it was chosen, with the values of the command line.
func (b *Bench) chosen() *sim.Scenario {
	if b.source.loaded == nil {
		return &b.Case().Scenario
	}
	return &b.source.loaded.Scenario
}

// document is the scenario as its document has it: what a run is compared with.
func (b *Bench) document() *sim.Scenario {
	if loaded := b.source.loaded; loaded != nil && loaded.Document != nil {
		return loaded.Document
	}
	return b.chosen()
}

// differences are what the run on the bench has otherwise than its document.
func (b *Bench) differences() []difference {
	played := b.runs.now().PlayedScenario()
	return differencesOf(b.document(), &played)
}

// rerun runs the scenario again on the same rig and sequence. Their documents are read again, as
// they may have been edited; so is the scenario's, unless the run was changed by hand.
func (b *Bench) rerun(with rerun) tea.Cmd {
	s := b.runs.now().PlayedScenario()
	if with.set != nil {
		b.changed = b.changed || !maps.Equal(with.set, s.Set)
		s.Set = with.set
	}
	if with.scenario != nil {
		s = *with.scenario
		b.changed = len(differencesOf(b.chosen(), &s)) > 0
	}
	from, c, masked, touched := b.source, b.Case(), b.mask != nil, b.Changed()
	return b.worker.command(func() tea.Msg {
		if from.mine {
			fresh, _, err := scenarios.LoadCase(from.chosen.Reference, from.chosen.Overrides)
			if err != nil {
				return loaded{err: err}
			}
			c = fresh
			if !touched {
				return loaded{c: c, again: true}.start()
			}
		}
		return caseOf(c, s, masked).start()
	})
}

// caseOf is a case with another scenario; under a mask an error has no details.
func caseOf(c *sim.Case, s sim.Scenario, masked bool) loaded {
	again, _, err := c.With(s)
	switch {
	case err != nil && masked:
		return loaded{err: errors.New("the run cannot be built with these values")}
	case err != nil:
		p := problem.Of(err)[0]
		return loaded{err: fmt.Errorf("%s: %s", p.Path, p.Message)}
	}
	return loaded{c: again, again: true}
}

// loaded is a case that a command made, or why it could not.
type loaded struct {
	chosen   Chosen
	c        *sim.Case
	again    bool      // the runs before stay at hand
	plays    bool      // it is begun by a lesson or a riddle
	nominal  *sim.Case // of a riddle, with the data that are wrong in it
	data     map[string]string
	stop     *shownStops // of a lesson
	warnings string
	err      error
	first    player.Progress
}

// load reads a scenario.
func (b *Bench) load(chosen Chosen) tea.Cmd {
	return b.worker.command(func() tea.Msg {
		c, warnings, err := scenarios.LoadCase(chosen.Reference, chosen.Overrides)
		return loaded{chosen: chosen, c: c, warnings: Warnings(warnings), err: err}.start()
	})
}

// Warnings are the warnings about a case in one line.
func Warnings(list problem.List) string {
	switch len(list) {
	case 0:
		return ""
	case 1:
		return "warning: " + list[0].Message
	}
	return fmt.Sprintf("warning: %s (and %d more; see holdbench vet)", list[0].Message, len(list)-1)
}

// start makes the run of a case and looks at its first tick.
func (l loaded) start() tea.Msg {
	if l.err == nil {
		run := history.New(l.c)
		run.Advance(1, nil)
		l.first = player.Observe(run, player.Newest)
	}
	return l
}

// onLoaded takes over a case, once no job has the run that becomes the earlier one.
func (b *Bench) onLoaded(l loaded) {
	if l.err != nil {
		b.lesson.coming = false
		b.say(l.err.Error(), true)
		return
	}
	b.player.WhenFree(l)
}

func (b *Bench) takeOver(l loaded) tea.Cmd {
	b.player.Load(l.first)
	b.lesson.begin(l)
	b.say(l.warnings, l.warnings != "")
	b.nominal, b.show.truth = nominal{}, b.show.truth || !l.again || l.plays
	if !l.again {
		b.source = source{chosen: l.chosen, loaded: l.c, mine: true}
		b.runs, b.changed, b.other = runs{}, false, nil
	}
	var before *sim.Scenario
	if now := b.runs.now(); now != nil && now.Ticks() > 1 {
		played := now.PlayedScenario()
		before = &played
	}
	b.runs.dropUnplayed()
	if l.plays && b.mask != nil {
		b.runs.setAside()
	}
	b.push(l.first.Run)
	if kept := counted(b.differences()); l.again && !l.plays && kept != "" && l.warnings == "" && b.mask == nil && b.show.truth {
		b.say("run again with "+kept+" that the document does not have; i lists them", false)
	}
	if l.plays {
		b.source.mine, b.source.nominal, b.source.data = l.stop != nil, l.nominal, l.data
		b.goOn()
	}
	return tea.Sequence(Send(caseReplaced{l.c, before}), b.beginLesson(l))
}

// beginLesson opens the lesson for which a case was loaded from the course. Its scenario is called by the title
// of the course until the lesson is done.
func (b *Bench) beginLesson(l loaded) tea.Cmd {
	if l.again {
		return nil
	}
	if b.untold, b.veiled = "", false; !l.chosen.Lesson || b.course == nil {
		return nil
	}
	if _, done := b.course.progress.Done(l.chosen.Reference); !done {
		b.untold, b.veiled = b.course.title(l.chosen.Reference), true
	}
	b.player.InRealTime()
	return Send(Open{newLesson(l.c, b.course, b.untold)})
}

// begin puts a case on the bench and lets it run; earlier runs stay at hand.
func (b *Bench) begin(order beginRun) tea.Cmd {
	l := loaded{c: order.Case, again: true, plays: true, nominal: order.Nominal, data: order.Data}
	if order.Lesson {
		b.lesson.on, b.lesson.coming = true, true
		l.stop = newShownStops(order.Case)
	}
	return b.worker.command(l.start)
}

// toggleNominal asks for the nominal run, or takes it away.
func (b *Bench) toggleNominal() tea.Cmd {
	if b.live() {
		b.say("the controller takes part in real time, in one run; there is no nominal run beside it", false)
		return nil
	}
	b.nominal = nominal{wanted: !b.nominal.wanted}
	if !b.nominal.wanted {
		return nil
	}
	c, without := b.Case(), b.nominalCase()
	return b.worker.command(func() tea.Msg {
		run, ticks := history.New(without), 0
		run.Advance(limitOf(c), func(*sim.Bench) bool { ticks++; return ticks%4096 == 0 && b.worker.ctx.Err() != nil })
		return nominalRun{c, run.Samples(), run.Blocks()}
	})
}

// nominalCase is the case on the bench without its faults; of a riddle without wrong data as well, and with the values
// that were changed.
func (b *Bench) nominalCase() *sim.Case {
	n := b.source.nominal
	if n == nil {
		return b.Case().Nominal()
	}
	s := n.Scenario
	s.Set = maps.Clone(b.Case().Scenario.Set)
	if maps.Equal(s.Set, n.Scenario.Set) {
		return n
	}
	if b.source.without.of != b.Case() {
		made, _, err := n.With(s)
		if err != nil { // the values were accepted on the bench, with what is wrong there
			made = n
		}
		b.source.without.of, b.source.without.c = b.Case(), made
	}
	return b.source.without.c
}

// asDocumented is a view in which the data of the judge are those of the documents, not those that a fault has set:
// what is wrong in them is to be found by what the judge does.
func (b *Bench) asDocumented(v *sim.View) *sim.View {
	told := *v
	told.Rig.Judge = b.nominalCase().Rig.Judge
	return &told
}

// limitOf is beyond the end of any run of a case.
func limitOf(c *sim.Case) int64 { return int64(c.RunLimit()/c.Rig.Clock.Tick) + 1 }
