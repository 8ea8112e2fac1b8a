// Package player decides what is done next with the run on the bench. It takes orders (play,
// pause, seek, run, change) at any time, and gives out one job at a time. It starts nothing
// and knows no terminal: its owner asks for the next task, does the job elsewhere and hands
// back what came of it.
package player

import (
	"math"
	"slices"

	"holdbench/sim"
	"holdbench/sim/history"
)

// State is what the player does with the run.
type State int

// The states.
const (
	Idle    State = iota // the moment shown stays
	Playing              // frames move the run on at a speed
	Seeking              // going to the moment that was asked for last
	Running              // on to a place, as fast as the machine allows
)

// none stands for no moment.
const none int64 = -1

// Player is the state machine. Its zero value is no player; see [New].
type Player struct {
	state  State
	loaded bool // there is a run
	shown  Progress
	job    *Job   // under way, nil if none is
	queue  []Task // in order, for when the job has ended
	wanted int64  // the newest moment asked for that no job goes to yet
	target int64  // the newest moment asked for that is not shown yet
	place  Place  // where to, while running
	pace   pace
}

// Place is where a run is held.
type Place struct {
	Reached func(*sim.Bench) bool // asked after every tick; nil is the end of the run
	GiveUp  int64                 // it is waited for until so many ticks are done
}

// Task is what is due next: a job, or an errand that the owner does itself. No job has the
// run meanwhile.
type Task struct {
	Job    Job
	Errand any // nil for a job
}

// New makes an idle player without a run.
func New() *Player { return &Player{pace: pace{speed: realTime}, wanted: none, target: none} }

// Load takes over another run at the moment that it shows. Nothing of the one before is left.
func (p *Player) Load(first Progress) {
	p.loaded, p.shown, p.state, p.job, p.queue = true, first, Idle, nil, nil
	p.wanted, p.target = none, none
}

// State is the present one.
func (p *Player) State() State { return p.state }

// Shown is the moment that is shown.
func (p *Player) Shown() *Progress { return &p.shown }

// Cursor is how many ticks are done at the moment shown or, while one was asked for that is
// not shown yet, at that.
func (p *Player) Cursor() int64 {
	switch {
	case p.target != none:
		return p.target
	case p.shown.Cursor == Newest:
		return p.shown.Ticks
	}
	return p.shown.Cursor
}

// Busy is whether a job has the run.
func (p *Player) Busy() bool { return p.job != nil }

// Changing is whether a change of the run is under way or waits.
func (p *Player) Changing() bool {
	return p.job != nil && p.job.Kind == Change ||
		slices.ContainsFunc(p.queue, func(t Task) bool { return t.Job.Kind == Change })
}

// Play lets frames move the run on. Like all orders it does nothing before a run is loaded.
func (p *Player) Play() {
	if p.loaded {
		p.state = Playing
	}
}

// Pause ends playing and running. A moment that was asked for is still gone to.
func (p *Player) Pause() {
	p.state = Idle
	if p.target != none {
		p.state = Seeking
	}
}

// GoTo goes to a moment, recorded or yet to come. Of several asked for in a hurry the last
// counts.
func (p *Player) GoTo(ticks int64) {
	if !p.loaded {
		return
	}
	ticks = max(1, ticks)
	p.state, p.wanted, p.target = Seeking, ticks, ticks
}

// RunTo goes on from the newest moment to a place.
func (p *Player) RunTo(place Place) {
	if p.loaded {
		p.state, p.place = Running, place
	}
}

// Change changes the run at the moment that the orders so far lead to.
func (p *Player) Change(what func(*sim.Bench) error) {
	if !p.loaded {
		return
	}
	at := p.shown.Cursor
	if p.target != none {
		at = p.target
	}
	p.settle()
	if at != Newest {
		p.target = at + 1 // where the change can be seen
	}
	if p.state != Playing {
		p.Pause()
	}
	p.queue = append(p.queue, Task{Job: Job{Kind: Change, To: at, change: what}})
}

// settle lets what was asked for so far come before what is asked for next.
func (p *Player) settle() {
	if p.wanted != none {
		p.queue = append(p.queue, Task{Job: Job{Kind: Seek, To: p.wanted}})
		p.wanted = none
	}
}

// WhenFree lets the owner do something by itself once no job has the run.
func (p *Player) WhenFree(errand any) { p.queue = append(p.queue, Task{Errand: errand}) }

// Swap shows the newest moment of another run, in place of whatever was asked for.
func (p *Player) Swap(run *history.Run) {
	p.shown.Run = run
	p.shown.Cursor, p.wanted, p.target = Newest, none, none
	p.first(Job{Kind: Show, To: Newest})
}

// first puts a job before all that waits.
func (p *Player) first(j Job) { p.queue = slices.Insert(p.queue, 0, Task{Job: j}) }

// Next gives the task that is due, if there is one. There is none while a job is under way.
func (p *Player) Next() (Task, bool) {
	var task Task
	switch {
	case p.job != nil:
		return Task{}, false
	case len(p.queue) > 0:
		task, p.queue = p.queue[0], p.queue[1:]
	case p.wanted != none:
		task.Job = Job{Kind: Seek, To: p.wanted}
		p.wanted = none
	case p.state == Running:
		task.Job = Job{Kind: Run, To: math.MaxInt64, place: p.place}
	case p.state == Playing && p.pace.debt >= 1:
		task.Job = Job{Kind: Play, To: p.Cursor() + p.pace.pay()}
	default:
		p.arrive()
		return Task{}, false
	}
	if task.Errand == nil {
		p.job = &task.Job
	}
	return task, true
}

// arrive drops a target: nothing that leads to it is left to do.
func (p *Player) arrive() {
	p.target = none
	if p.state == Seeking {
		p.state = Idle
	}
}

// Done ends the job with what came of it. It tells whether the run is still the one shown; if
// not, the progress is ignored.
func (p *Player) Done(r Progress) bool {
	if !p.loaded || r.Of != p.shown.Run {
		return false
	}
	job := p.job
	p.job, p.shown = nil, r
	if job != nil && job.Kind == Seek && r.Late && p.state == Seeking && p.wanted == none {
		p.first(*job) // the rest of the way; a run that plays goes slower instead
	}
	if p.wanted == none && len(p.queue) == 0 {
		p.arrive()
	}
	if p.held(&r) {
		p.Pause()
	}
	return true
}

// held is whether a run that moves ends with this progress.
func (p *Player) held(r *Progress) bool {
	switch {
	case r.Err != nil:
		return true
	case p.state == Playing:
		return r.Stopped || r.AtEnd()
	case p.state == Running:
		return r.Stopped || r.Held || r.Over
	}
	return false
}
