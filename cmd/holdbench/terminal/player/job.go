package player

import (
	"holdbench/sim"
	"holdbench/sim/history"
)

// Kind is what a job does with the run.
type Kind int

// The kinds.
const (
	Show   Kind = iota // nothing; the moment is shown
	Seek               // goes to a moment
	Play               // goes on by what frames were worth
	Run                // goes on to a place
	Change             // changes the run at a moment, or a branch of it
)

// Job is one piece of work on the run. The run belongs to it while it is under way.
type Job struct {
	Kind   Kind
	To     int64 // number of ticks done, or Newest
	place  Place
	change func(*sim.Bench) error
}

// Newest stands for the newest moment in place of a number of ticks.
const Newest int64 = -1

// Progress is what came of a job: the run, and what the screen needs of it.
type Progress struct {
	Kind    Kind
	Of, Run *history.Run // that the job was given, and that there is now
	Branch  bool         // the two differ; the former is the earlier run of the latter

	Cursor   int64 // ticks done at the moment shown, or Newest
	Ticks    int64 // of the run
	Over     bool
	View     *sim.View
	Samples  []history.Sample
	Blocks   []history.Block // of the samples
	Events   []sim.Event
	Recorded int // events so far, with those that are left out
	Kept     sim.Scenario
	Result   *sim.Result // nil until the run is over

	Held    bool // it came to the place that it was to go to
	GaveUp  bool // the place was waited for long enough; it is held too
	Stopped bool // it came to a stop of the lesson
	Late    bool // it took too long to get where it was to go
	// Again is how many ticks were run again to show the moment or to branch there, as the controller
	// cannot be copied.
	Again int64
	Err   error
}

// AtEnd is whether the end of the run is shown.
func (p *Progress) AtEnd() bool { return p.Over && p.Cursor == Newest }

// Limits end a job early. Both are asked after every tick; nil never ends one.
type Limits struct {
	Stop func(*sim.Bench) bool // the lesson's stops
	Late func() bool
}

// Do works on the run.
func (j Job) Do(run *history.Run, l Limits) Progress {
	var p Progress
	switch j.Kind {
	case Show:
		p = Observe(run, j.To)
	case Change:
		p = j.edit(run, l)
	default:
		p = j.advance(run, l)
	}
	p.Kind, p.Of = j.Kind, run
	return p
}

// Observe takes down what the screen shows of a run at a moment.
func Observe(run *history.Run, cursor int64) Progress {
	p := Progress{
		Run: run, Cursor: cursor, Ticks: run.Ticks(), Over: run.Done(),
		Samples: run.Samples(), Blocks: run.Blocks(), Events: run.Events(), Recorded: run.Recorded(), Kept: run.EffectiveScenario(),
	}
	if cursor == Newest || cursor >= p.Ticks {
		p.Cursor, p.View = Newest, run.View()
	} else {
		at := run.At(cursor)
		p.View, p.Again = at.View(), at.RunAgain()
	}
	if p.Over {
		p.Result, p.Err = run.Result()
	}
	return p
}

// advance goes back, or on to a moment or a place, whichever comes first. Stops of the lesson
// come before the place.
func (j Job) advance(run *history.Run, l Limits) Progress {
	var stopped, held, late bool
	run.Advance(j.To, func(b *sim.Bench) bool {
		stopped = l.Stop != nil && l.Stop(b)
		held = !stopped && j.place.holds(b)
		late = !stopped && !held && l.Late != nil && l.Late()
		return stopped || held || late
	})
	p := Observe(run, j.To)
	p.Stopped, p.Held, p.Late = stopped, held, late
	p.GaveUp = held && j.place.givesUp(run.Ticks())
	return p
}

// holds is whether a place is reached or not waited for any longer. One without a condition
// is the end.
func (p *Place) holds(b *sim.Bench) bool {
	return p.Reached != nil && (p.givesUp(b.Ticks()) || p.Reached(b))
}

func (p *Place) givesUp(ticks int64) bool { return p.GiveUp > 0 && ticks >= p.GiveUp }

// edit changes the run at a moment; if that is past, a branch of it. It goes on by a tick,
// so that the change is seen.
func (j Job) edit(run *history.Run, l Limits) Progress {
	at := run
	branch := j.To != Newest && j.To < run.Ticks()
	if branch {
		at = run.Branch(j.To)
	}
	if err := at.Change(j.change); err != nil {
		p := Observe(run, j.To)
		p.Err = err
		return p
	}
	stopped := at.Advance(at.Ticks()+1, l.Stop)
	p := Observe(at, Newest)
	p.Branch, p.Stopped = branch, stopped
	if branch {
		p.Again = at.RunAgain()
	}
	return p
}
