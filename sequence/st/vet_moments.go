package st

import (
	"slices"
	"time"
)

// moment is a memory with which a run can go on.
type moment struct {
	mem    []uint64
	now    int64
	since  time.Duration // in the state
	from   origin
	forced bool // on the way to it a branch was taken as if its condition were met
}

// origin is where a moment comes from. Of each origin some are kept, so that rare ones stay.
type origin struct {
	state   int64 // the one before, or this one within it
	setting int   // that was changed when the run began; -1 for none
}

// notice keeps the moments at which states are entered.
func (e *explorer) notice(tried *statePlace) {
	for _, s := range e.subjects {
		before := s.last
		s.last = s.now(e.machine)
		p := s.places[s.last]
		if p == nil {
			if len(s.order) == mostPlaces {
				continue
			}
			p = &statePlace{subject: s, value: s.last}
			s.places[s.last] = p
			s.order = append(s.order, p)
		}
		if before == s.last && tried != nil {
			continue
		}
		if s == e.subjects[0] {
			e.since = 0
		}
		e.keep(p, before)
	}
}

// keep keeps the present moment for a state, a few of each origin. Moments of which nothing was taken as
// met replace all others.
func (e *explorer) keep(p *statePlace, before int64) {
	from := origin{before, e.setting}
	if e.forced && len(p.moments) > 0 && !p.moments[0].forced {
		return
	}
	if !e.forced && len(p.moments) > 0 && p.moments[0].forced {
		p.moments = p.moments[:0]
	}
	const mostMoments, mostOfOrigin = 60, 8
	var same []int
	for i := range p.moments {
		if p.moments[i].from == from {
			same = append(same, i)
		}
	}
	at := len(p.moments)
	switch {
	case len(same) >= mostOfOrigin && e.draw.IntN(4) > 0:
		return
	case len(same) >= mostOfOrigin:
		at = same[e.draw.IntN(len(same))]
	case at == mostMoments:
		at = e.draw.IntN(at)
	default:
		p.moments = append(p.moments, moment{mem: make([]uint64, len(e.machine.run.mem))})
	}
	m := &p.moments[at]
	copy(m.mem, e.machine.run.mem)
	m.now, m.since, m.from, m.forced = e.machine.run.now, e.since, from, e.forced
}

// restore goes back to a moment, with its inputs.
func (e *explorer) restore(m *moment) {
	r := &e.machine.run
	copy(r.mem, m.mem)
	r.now, e.since = m.now, m.since
	e.machine.failure, e.forced, e.setting = nil, m.forced, m.from.setting
	for i := range e.freeInputs {
		e.held[i] = r.mem[e.freeInputs[i].ref.offset]
	}
	for _, s := range e.subjects {
		s.last = s.now(e.machine)
	}
}

// relevant is the memory on which the state depends. Of the beginning of a time only what has passed of it
// counts, and only as long as the timer runs.
func (e *explorer) relevant() []uint64 {
	mem := slices.Clone(e.machine.run.mem[:e.block.layout.slots])
	for i := range e.timers {
		f := (*timerFrame)(mem[e.timers[i].offset:])
		if e.timers[i].runs(f) {
			f[timerStart] = uint64(e.machine.run.now) - f[timerStart]
		} else {
			f[timerStart] = 0
		}
	}
	var list []uint64
	for _, s := range e.depended {
		list = append(list, mem[s.from:s.to]...)
	}
	return list
}
