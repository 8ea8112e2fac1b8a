package screens

import (
	"context"
	"sync"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"holdbench/sim"
	"holdbench/sim/history"
)

// Worker runs the simulation in commands, one at a time, and never within an update.
type Worker struct {
	ctx   context.Context
	stop  context.CancelFunc
	mutex sync.Mutex // between begin and Close
	group sync.WaitGroup
}

// NewWorker makes a worker that gives up when the context ends.
func NewWorker(ctx context.Context) *Worker {
	w := &Worker{}
	w.ctx, w.stop = context.WithCancel(ctx)
	return w
}

// Close makes what runs end soon, and waits for it.
func (w *Worker) Close() {
	w.mutex.Lock()
	w.stop()
	w.mutex.Unlock()
	w.group.Wait()
}

// begin tells whether work may still begin; if so, Close waits for it.
func (w *Worker) begin() bool {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	if w.ctx.Err() != nil {
		return false
	}
	w.group.Add(1)
	return true
}

// command makes a command of work that Close waits for.
func (w *Worker) command(work func() tea.Msg) tea.Cmd {
	return func() tea.Msg {
		if !w.begin() {
			return nil
		}
		defer w.group.Done()
		return work()
	}
}

// job is one piece of work on the run. It belongs to the job while it is under way.
type job func(run *history.Run) progress

// progress is what came of a job: the run, and what the screen needs of it.
type progress struct {
	of      *history.Run // that the job was given
	run     *history.Run
	branch  bool // the run is a new one, and the one before is its ghost
	cursor  int64
	look    *sim.Look
	samples []history.Sample
	blocks  []history.Block // of the samples
	events  []sim.Event
	kept    sim.Scenario
	result  *sim.Result // nil until the run is over
	ticks   int64
	over    bool
	halted  bool  // it came to the place that it was to go to
	stopped bool  // it came to a stop of the lesson
	edit    bool  // it was to change the run
	short   int64 // the moment that a slice of time was too short for, 0 if it was not
	err     error
}

// atHead stands for the newest moment in place of a number of ticks.
const atHead = -1

// observe takes down what the screen shows of a run at a moment.
func observe(run *history.Run, cursor int64) progress {
	p := progress{run: run, cursor: cursor, samples: run.Samples(), blocks: run.Blocks(), events: run.Events(), kept: run.Kept(), ticks: run.Ticks(), over: run.Done()}
	if cursor == atHead || cursor >= p.ticks {
		p.cursor, p.look = atHead, run.Look()
	} else {
		p.look = run.At(cursor).Look()
	}
	if p.over {
		p.result, p.err = run.Result()
	}
	return p
}

// slice bounds how long a job works before the screen hears of it.
const slice = 25 * time.Millisecond

// advance goes to so many ticks in all: back, or on to there or to a place before, for one
// slice of time at most. The lesson's stops come first.
func (w *Worker) advance(ticks int64, until, stop func(*sim.Bench) bool) job {
	return func(run *history.Run) progress {
		var stopped, late bool
		begin, n := time.Now(), 0
		halted := run.Advance(ticks, func(b *sim.Bench) bool {
			if stop != nil && stop(b) {
				stopped = true
				return true
			}
			if until != nil && until(b) {
				return true
			}
			if n++; n%256 == 0 && (time.Since(begin) > slice || w.ctx.Err() != nil) {
				late = true
			}
			return late
		})
		p := observe(run, ticks)
		p.stopped, p.halted = stopped, halted && !late && !stopped
		if late {
			p.short = ticks
		}
		return p
	}
}

// edit changes the run at a moment; if that is past, a branch of it. It goes on by a tick,
// so that the change is seen.
func edit(cursor int64, change func(*history.Run) error, stop func(*sim.Bench) bool) job {
	return func(run *history.Run) progress {
		at := run
		branch := cursor != atHead && cursor < run.Ticks()
		if branch {
			at = run.Branch(cursor)
		}
		if err := change(at); err != nil {
			p := observe(run, cursor)
			p.edit, p.err = true, err
			return p
		}
		stopped := at.Advance(at.Ticks()+1, stop)
		p := observe(at, atHead)
		p.edit, p.branch, p.stopped = true, branch, stopped
		return p
	}
}
