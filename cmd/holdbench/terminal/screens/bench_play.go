package screens

import (
	"fmt"
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

// frameMsg is the next frame of a run that plays.
type frameMsg time.Time

// IsFrame tells whether a message is a frame, which by itself changes nothing.
func IsFrame(msg tea.Msg) bool {
	_, ok := msg.(frameMsg)
	return ok
}

// frameRate is 30 Hz: more is not seen, and costs a slow line.
const frameRate = time.Second / 30

func nextFrame() tea.Cmd {
	return tea.Every(frameRate, func(t time.Time) tea.Msg { return frameMsg(t) })
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

// goTo looks at another moment. Of several asked for in a hurry the last counts.
func (b *Bench) goTo(ticks int64) tea.Cmd {
	b.playing, b.rushing = false, nil
	ticks = max(0, ticks)
	b.heading = ticks
	if b.working {
		b.seekTo = ticks
		return nil
	}
	return b.do(seek(ticks))
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
		return b.do(seek(to))
	case b.rushing != nil:
		return b.do(b.worker.advance(b.limit(), b.rushing.until, b.stop))
	}
	return nil
}

// limit is beyond the end of any run.
func (b *Bench) limit() int64 { return int64(b.c.Rig.Clock.RunLimit/b.tick()) + 1 }

// took takes over what a job brought, unless another run has come to the bench since.
func (b *Bench) took(p progress) tea.Cmd {
	if len(b.runs) == 0 || p.of != b.runs[0] {
		return nil
	}
	b.working = false
	if b.seekTo < 0 {
		b.heading = -1
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
	cmd := tea.Cmd(nil)
	if p.over || p.halted || p.stopped {
		b.rushing = nil
	}
	if p.stopped {
		b.playing = false
		cmd = Send(Stopped{})
	}
	if p.over && p.cursor == atHead {
		b.playing = false
		if !wasOver && p.result != nil {
			cmd = tea.Batch(cmd, Send(Over{p.result}))
		}
	}
	return tea.Batch(cmd, b.next(), b.framed())
}

// Over tells that the run on the bench is over.
type Over struct{ Result *sim.Result }

// maxRuns bounds how many earlier runs are at hand.
const maxRuns = 12

// push makes a run the one on the bench; the one before is its ghost.
func (b *Bench) push(run *history.Run) {
	b.runs = append([]*history.Run{run}, b.runs...)
	b.runs = b.runs[:min(len(b.runs), maxRuns)]
	b.ghost = nil
	if len(b.runs) > 1 {
		b.ghost = b.runs[1].Samples()
	}
}

// framed keeps the frames coming while the run plays.
func (b *Bench) framed() tea.Cmd {
	if !b.playing || b.framing {
		return nil
	}
	b.framing, b.frame, b.owed = true, time.Time{}, 0
	return nextFrame()
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
		return nextFrame()
	}
	b.owed += min(now.Sub(last).Seconds(), 0.25) * speeds()[b.speed] / b.tick().Seconds()
	whole := int64(b.owed)
	b.owed -= float64(whole)
	return tea.Batch(nextFrame(), b.playOn(whole))
}

// playOn plays what was recorded, and simulates on from its end.
func (b *Bench) playOn(ticks int64) tea.Cmd {
	to := b.cursor() + ticks
	if b.at.cursor != atHead && to < b.at.ticks {
		return b.do(seek(to))
	}
	return b.do(b.worker.advance(to, nil, b.stop))
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
		if len(doubts) > 0 {
			l.doubts = doubts[0].Error()
		}
		return l.start()
	})
}

// start makes the run of a case and looks at its first tick.
func (l loaded) start() loaded {
	l.run = history.New(l.c)
	l.run.Advance(1, nil)
	l.p = observe(l.run, atHead)
	return l
}

// rerun runs a scenario from its start on the same rig and sequence.
func (b *Bench) rerun(s sim.Scenario) tea.Cmd {
	c := b.c
	return b.worker.command(func() tea.Msg {
		again, problems := c.With(s)
		if again == nil {
			return loaded{err: fmt.Errorf("%s: %s", problems[0].Path, problems[0].Message)}
		}
		return loaded{c: again, again: true}.start()
	})
}

// took over a case.
func (b *Bench) onLoaded(l loaded) tea.Cmd {
	if l.err != nil {
		b.say(l.err.Error(), true)
		return nil
	}
	b.queue, b.seekTo, b.heading, b.rushing, b.playing = nil, -1, -1, nil, false
	b.c, b.at, b.working = l.c, l.p, false
	b.notice = Notice{l.doubts, l.doubts != ""}
	b.nominal, b.truth = nil, true
	if !l.again {
		b.chosen = l.chosen
		b.runs, b.changed = nil, false
	}
	b.push(l.run)
	b.playing = l.plays
	return tea.Batch(Send(Replaced{b.c}), b.framed())
}

// nominalRun is the same without faults, run to its end.
type nominalRun struct {
	of      *sim.Case
	samples []history.Sample
}

func (b *Bench) runNominal() tea.Cmd {
	c := b.c
	return b.worker.command(func() tea.Msg {
		run := history.New(c.Nominal())
		n := 0
		run.Advance(b.limitOf(c), func(*sim.Bench) bool { n++; return n%4096 == 0 && b.worker.ctx.Err() != nil })
		return nominalRun{c, run.Samples()}
	})
}

func (b *Bench) limitOf(c *sim.Case) int64 { return int64(c.Rig.Clock.RunLimit/c.Rig.Clock.Tick) + 1 }
