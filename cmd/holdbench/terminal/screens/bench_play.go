package screens

import (
	"errors"
	"fmt"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/history"
)

// speeds are simulated over real time.
func speeds() []float64 {
	return []float64{0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000}
}

// realTime is the place of 1 in speeds.
const realTime = 6

// spans are the widths of the strips in seconds; 0 is the whole run.
func spans() []float64 { return []float64{0, 10, 3, 1, 0.2} }

// Frame is the next frame of a run that plays, and when it came. By itself it changes
// nothing that is seen.
type Frame time.Time

// frameRate is 30 Hz: more is not seen, and costs a slow line.
const frameRate = time.Second / 30

func nextFrame() tea.Cmd {
	return tea.Every(frameRate, func(t time.Time) tea.Msg { return Frame(t) })
}

// whenIdle does something that needs the run, once no job has it.
func (b *Bench) whenIdle(f func() tea.Cmd) tea.Cmd {
	if b.working {
		b.queue = append(b.queue, f)
		return nil
	}
	return f()
}

// do starts a job, or lets it wait for the one under way.
func (b *Bench) do(j job) tea.Cmd {
	if len(b.runs) == 0 {
		return nil
	}
	return b.whenIdle(func() tea.Cmd {
		b.working = true
		run := b.runs[0]
		return b.worker.command(func() tea.Msg {
			p := j(run)
			p.of = run
			return p
		})
	})
}

// goTo looks at another moment, recorded or yet to come. Of several asked for in a hurry
// the last counts.
func (b *Bench) goTo(ticks int64) tea.Cmd {
	b.halt()
	ticks = max(1, ticks)
	b.heading = ticks
	if b.working {
		b.seekTo = ticks
		return nil
	}
	return b.reach(ticks)
}

// reach starts the job that goes to a moment.
func (b *Bench) reach(ticks int64) tea.Cmd { return b.do(b.worker.advance(ticks, nil, b.stops())) }

// settle makes sure that what was asked for so far comes before what is asked for next.
func (b *Bench) settle() {
	if to := b.seekTo; to >= 0 {
		b.seekTo = -1
		b.queue = append(b.queue, func() tea.Cmd { return b.reach(to) })
	}
}

// next starts what waits for the job that ended.
func (b *Bench) next() tea.Cmd {
	switch {
	case len(b.queue) > 0:
		f := b.queue[0]
		b.queue = b.queue[1:]
		cmd := f()
		if !b.working {
			cmd = tea.Batch(cmd, b.next())
		}
		return cmd
	case b.seekTo >= 0:
		to := b.seekTo
		b.seekTo = -1
		return b.reach(to)
	case b.rushing != nil:
		return b.do(b.worker.advance(limitOf(b.c), b.rushing.until, b.stops()))
	}
	b.heading = -1
	return nil
}

// limitOf is beyond the end of any run of a case.
func limitOf(c *sim.Case) int64 { return int64(c.Rig.Clock.RunLimit/c.Rig.Clock.Tick) + 1 }

// took takes over what a job brought, unless another run has come to the bench since.
func (b *Bench) took(p progress) tea.Cmd {
	if len(b.runs) == 0 || p.of != b.runs[0] {
		return nil
	}
	b.working = false
	if p.short > 0 && !b.playing && b.rushing == nil && b.seekTo < 0 { // a run that plays goes slower instead
		b.queue = slices.Insert(b.queue, 0, func() tea.Cmd { return b.reach(p.short) })
	}
	if b.seekTo < 0 && len(b.queue) == 0 {
		b.heading = -1
	}
	if p.edit {
		b.edits--
		b.changed = b.changed || p.err == nil
	}
	if p.branch {
		b.push(p.run)
	}
	wasOver := b.at.over && b.at.run == p.run
	b.at = p
	switch {
	case p.err != nil:
		b.say(p.err.Error(), true)
		b.rushing, b.playing = nil, false
	case p.branch:
		b.say("a branch from here; the run before is the ghost", false)
	}
	return tea.Batch(b.tell(&p, wasOver), b.next(), b.framed())
}

// tell holds the run where it came to something, and tells the others so: the stop first,
// as it can be the last tick.
func (b *Bench) tell(p *progress, wasOver bool) tea.Cmd {
	var list []tea.Cmd
	if r := b.rushing; r != nil && r.until != nil && p.halted && p.ticks-r.from >= b.quiet() {
		b.say("nothing happened in ten seconds of the run", false)
		if p.look.Buttons["power_loss"] {
			b.say("without power nothing more happens; p gives it back", false)
		}
	}
	if p.over || p.halted || p.stopped {
		b.rushing = nil
	}
	if p.stopped {
		b.playing = false
		list = append(list, Send(Stopped{}))
	}
	if p.over && p.cursor == atHead {
		b.playing = false
		if !wasOver && p.result != nil {
			list = append(list, Send(Over{b.c, p.result}))
		}
	}
	return tea.Sequence(list...)
}

// Over tells that the run on the bench is over.
type Over struct {
	Case   *sim.Case
	Result *sim.Result
}

// maxRuns bounds how many earlier runs are at hand.
const maxRuns = 12

// push makes a run the one on the bench; the one before is its ghost.
func (b *Bench) push(run *history.Run) {
	b.runs = append([]*history.Run{run}, b.runs...)
	if len(b.runs) > maxRuns {
		b.runs = b.runs[:maxRuns]
		b.say(fmt.Sprintf("%d runs are at hand; the oldest one made room", maxRuns), false)
	}
	b.ghost, b.ghostBlocks = nil, nil
	if len(b.runs) > 1 {
		b.ghost, b.ghostBlocks = b.runs[1].Samples(), b.runs[1].Blocks()
	}
}

// framed keeps the frames coming while the run plays.
func (b *Bench) framed() tea.Cmd {
	if !b.playing || b.framing {
		return nil
	}
	b.framing, b.frame, b.owed = true, time.Time{}, 0
	return b.NextFrame()
}

// onFrame goes on by as much as is due; a bench that cannot keep up goes slower.
func (b *Bench) onFrame(now time.Time) tea.Cmd {
	b.framing = false
	if !b.playing {
		return nil
	}
	last := b.frame
	b.framing, b.frame = true, now
	if last.IsZero() || b.working {
		return b.NextFrame()
	}
	b.owed += min(now.Sub(last).Seconds(), 0.25) * speeds()[b.speed] / b.tick().Seconds()
	whole := int64(b.owed)
	b.owed -= float64(whole)
	if whole == 0 {
		return b.NextFrame()
	}
	return tea.Batch(b.NextFrame(), b.reach(b.cursor()+whole))
}

// rushTo goes to a place as fast as it can, from the newest moment.
func (b *Bench) rushTo(until func(*sim.Bench) bool) tea.Cmd {
	if b.at.over && b.at.cursor == atHead {
		b.say("the run is over; home goes to its start, r runs it again", false)
		return nil
	}
	b.playing = false
	b.rushing = &rush{until: until, from: b.at.ticks}
	if b.working {
		return nil
	}
	return b.next()
}

func (b *Bench) say(text string, bad bool) { b.notice = Notice{text, bad} }

// loaded is a case that a command made.
type loaded struct {
	chosen Chosen
	c      *sim.Case
	run    *history.Run
	again  bool // the runs before stay at hand
	plays  bool
	stop   func(*sim.Bench) bool // of a lesson
	err    error
	doubts string
	p      progress
}

// load reads a scenario.
func (b *Bench) load(chosen Chosen) tea.Cmd {
	return b.worker.command(func() tea.Msg {
		c, doubts, err := scenarios.LoadCase(chosen.Reference, chosen.Overrides)
		if err != nil {
			return loaded{chosen: chosen, err: err}
		}
		l := loaded{chosen: chosen, c: c}
		l.doubts = Doubts(doubts)
		return l.start()
	})
}

// Doubts is what is doubtful about a case in one line.
func Doubts(list scenarios.Problems) string {
	switch len(list) {
	case 0:
		return ""
	case 1:
		return "doubtful: " + list[0].Message
	}
	return fmt.Sprintf("doubtful: %s (and %d more; holdbench vet tells)", list[0].Message, len(list)-1)
}

// start makes the run of a case and looks at its first tick.
func (l loaded) start() loaded {
	l.run = history.New(l.c)
	l.run.Advance(1, nil)
	l.p = observe(l.run, atHead)
	return l
}

// rerun runs a scenario from its start on the same rig and sequence. Those that were chosen
// are read again, since somebody may be at work on them; so is the scenario while nothing
// was done to it by hand.
func (b *Bench) rerun(s sim.Scenario) tea.Cmd {
	c, veiled, chosen, touched := b.c, b.veil != nil, b.chosen, b.Changed()
	mine := b.mine
	return b.worker.command(func() tea.Msg {
		if mine {
			fresh, _, err := scenarios.LoadCase(chosen.Reference, chosen.Overrides)
			if err != nil {
				return loaded{err: err}
			}
			c = fresh
			if !touched {
				return loaded{c: c, again: true}.start()
			}
		}
		again, problems := c.With(s)
		switch {
		case again == nil && veiled:
			return loaded{err: errors.New("the run cannot be made with these values; others will do")}
		case again == nil:
			p := worst(problems, "")
			return loaded{err: fmt.Errorf("%s: %s", p.Path, p.Message)}
		}
		return loaded{c: again, again: true}.start()
	})
}

// onLoaded takes over a case, once no job has the run that becomes its ghost.
func (b *Bench) onLoaded(l loaded) tea.Cmd {
	if l.err != nil {
		b.say(l.err.Error(), true)
		return nil
	}
	return b.whenIdle(func() tea.Cmd { return b.takeOver(l) })
}

func (b *Bench) takeOver(l loaded) tea.Cmd {
	b.halt()
	b.queue, b.seekTo, b.heading, b.edits = nil, -1, -1, 0
	b.c, b.at = l.c, l.p
	if l.stop != nil && b.teaching { // it can have been left by now
		b.stop, b.taught = l.stop, l.c
	}
	b.notice = Notice{l.doubts, l.doubts != ""}
	b.nominal, b.asksNominal, b.truth = nil, false, true
	if !l.again {
		b.chosen, b.loaded, b.mine = l.chosen, l.c, true
		b.runs, b.changed = nil, false
	}
	if len(b.runs) > 0 && b.runs[0].Ticks() <= 1 {
		b.runs = b.runs[1:] // nothing has happened in it
	}
	if l.plays {
		b.mine = l.stop != nil
	}
	b.push(l.run)
	b.playing = l.plays
	return tea.Batch(Send(Replaced{b.c}), b.framed())
}

// nominalRun is the same without faults, run to its end.
type nominalRun struct {
	of      *sim.Case
	samples []history.Sample
	blocks  []history.Block
}

func (b *Bench) runNominal() tea.Cmd {
	c := b.c
	return b.worker.command(func() tea.Msg {
		run := history.New(c.Nominal())
		n := 0
		run.Advance(limitOf(c), func(*sim.Bench) bool { n++; return n%4096 == 0 && b.worker.ctx.Err() != nil })
		return nominalRun{c, run.Samples(), run.Blocks()}
	})
}
