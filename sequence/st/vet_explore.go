package st

import (
	"math/rand/v2"
	"slices"
	"time"
)

// VetScan is the time between two scans for which Vet looks for waits.
const VetScan = 10 * time.Millisecond

// What a search for waits may take. Its bounds count steps and tries, so that it finds the same on any machine.
const (
	slowScans    = 8          // at the beginning of a try, at VetScan
	triesOfState = 400        // of each that was reached
	mostForState = 6000       // while one is not reached
	freeTries    = 1500       // before anything is taken as met
	mostPlaces   = 300        // states that are told apart
	mostSteps    = 12_000_000 // of the program
)

// explorer runs a block with inputs that it draws, from one state to the next, and looks for states
// that are never left while the inputs stay as they are. It draws the same in each search.
type explorer struct {
	program    *Program
	block      *Block
	machine    *Machine
	freeInputs []freeInput
	settings   []Ref
	numbers    []Ref // of the block, for values worth trying
	depended   []stretch
	timers     []timerPlace
	subjects   []*subject
	begins     []moment
	passes     func(m *Machine, inState, step time.Duration)
	steering   *steering

	draw    *rand.Rand
	held    []uint64 // value of each free input
	tries   int
	spent   int
	since   time.Duration // in the state of the first subject
	stands  bool          // since counts no more
	forced  bool          // a branch of this run was forced
	setting int           // that was changed when this run began; -1 for none
}

// subject is a state that is watched: that of a variable or of flags.
type subject struct {
	now      func(*Machine) int64
	places   map[int64]*statePlace
	order    []*statePlace
	last     int64
	owner    *Block             // that declares it
	prefix   string             // of the instance of that block
	relevant map[*Variable]bool // its variables on which the state depends
}

// statePlace is a state that a run has reached.
type statePlace struct {
	subject   *subject
	value     int64
	moments   []moment
	tries     int
	waiter    *waiter // what is to be found out; nil if nothing
	witness   bool
	outlasts  int
	unsettled bool  // it was not left in a try while what it depends on went on changing
	ways      []int // how often each was steered to
}

// search tries each state that was reached until it is found to wait, or has been tried often enough.
func (e *explorer) search() {
	e.draw = rand.New(rand.NewPCG(1, 2))
	e.held = make([]uint64, len(e.freeInputs))
	for e.spent < mostSteps && e.open() {
		p := e.next()
		if e.tries%6 == 0 || p == nil {
			e.begin()
		}
		e.tries++
		if p != nil {
			p.tries++
			e.try(p)
		}
	}
}

// open is whether a state that was reached has not been tried often enough, or one that is wanted may
// still be reached.
func (e *explorer) open() bool {
	for _, s := range e.subjects {
		for _, p := range s.order {
			if p.count() < triesOfState && (len(p.moments) > 0 || e.tries < mostForState) {
				return true
			}
		}
	}
	return false
}

// count are the tries; those of a state of which nothing is to be found out count twice.
func (p *statePlace) count() int {
	if p.waiter == nil || p.witness {
		return 2 * p.tries
	}
	return p.tries
}

// next is the state that was tried least; nil if none was reached yet.
func (e *explorer) next() *statePlace {
	var best *statePlace
	for _, s := range e.subjects {
		for _, p := range s.order {
			if len(p.moments) > 0 && (best == nil || p.count() < best.count()) {
				best = p
			}
		}
	}
	return best
}

// try changes a few inputs and lets the program run with them until it leaves a state.
func (e *explorer) try(p *statePlace) {
	start := p.moments[e.draw.IntN(len(p.moments))]
	start.mem = slices.Clone(start.mem) // its own is written over by later ones
	e.restore(&start)
	if p.tries > 1 {
		e.change()
	}
	held := slices.Clone(e.held)
	if e.draw.IntN(3) == 0 {
		e.steer(p, &start)
		return
	}
	const quick, careful = 1.6, 1.1
	if !e.stays(p, quick) {
		return
	}
	if !e.repeats(p) {
		e.outlast(p)
		return
	}
	e.restore(&start)
	copy(e.held, held)
	if p.witness = e.stays(p, careful) && e.repeats(p); p.witness {
		p.waiter.found = true
		p.waiter.stalled = e.stalled(p)
	}
}

// stays is whether a try is not left within at least 24 h of the program's time, so that each timer of up
// to a day has run out. The first scans come at VetScan, each later one after growth times as long as the
// one before it.
func (e *explorer) stays(p *statePlace, growth float64) bool {
	brief := p.waiter == nil || p.witness
	step := float64(VetScan)
	for i := 0; time.Duration(step) < 20*time.Hour; i++ {
		if !e.scan(time.Duration(step)) {
			return false
		}
		e.notice(p)
		if p.subject.last != p.value {
			return false
		}
		if i == 2 {
			e.keep(p, p.value)
		}
		if i >= slowScans {
			if brief {
				return false
			}
			step *= growth
		}
	}
	return true
}

// repeats is whether the memory on which the state depends becomes the same again, so that the state is
// never left.
func (e *explorer) repeats(p *statePlace) bool {
	e.stands = true
	defer func() { e.stands = false }()
	var mark []uint64
	for i, until := 0, 1; i < 512; i++ {
		if now := e.relevant(); mark != nil && slices.Equal(mark, now) {
			return true
		} else if i == until || mark == nil {
			mark, until = now, 2*max(i, 1)
		}
		if !e.scan(VetScan) {
			return false
		}
		if p.subject.now(e.machine) != p.value {
			return false
		}
	}
	return false
}

// outlast lets a program whose memory does not repeat run on in a state, as a ramp and a counter reach
// their end in some thousand scans, and keeps moments on the way.
func (e *explorer) outlast(p *statePlace) {
	const mostTimes, stretches, scans = 3, 8, 512
	if p.outlasts == mostTimes {
		return
	}
	p.outlasts++
	for range stretches {
		if e.machine.failure != nil || p.subject.now(e.machine) != p.value {
			return
		}
		e.keep(p, p.value)
		for range scans {
			if !e.scan(VetScan) || p.subject.now(e.machine) != p.value {
				e.notice(p)
				return
			}
		}
	}
	p.unsettled = true
}

// scan runs the program once, and is false where that stops it.
func (e *explorer) scan(step time.Duration) bool {
	m := e.machine
	for i := range e.freeInputs {
		m.run.mem[e.freeInputs[i].ref.offset] = e.held[i]
	}
	if !e.stands {
		e.since += step
	}
	if e.passes != nil {
		e.passes(m, e.since, step)
	}
	m.run.now += int64(step)
	m.execute()
	e.spent += m.Steps()
	return m.failure == nil
}
