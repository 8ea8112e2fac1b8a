package probe

import (
	"fmt"
	"slices"
	"time"

	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// route is a run that cells start from: what the sequence read in each of its scans,
// and a copy of the run at the first entry of each state.
type route struct {
	c      *sim.Case
	faults []string // that lead it, as run --fault takes them
	names  []string // of these faults
	visits []visit
	inputs []sequence.Inputs
	wanted []string // states that it was made for; none: all
	mine   []visit  // those that cells are tried in
}

// visit is the first stay in a state.
type visit struct {
	state          string
	entered, until int64 // ticks: of the scan that entered, of the one that left or of the end
	last           bool  // nothing came after
	woken          bool  // entered as the power came back, before the scan of that tick
	copy           *sim.Bench
}

// newRoute runs a case and keeps what cells need of it.
func newRoute(c *sim.Case, faults []catalogue.Selection) (*route, error) {
	w := &route{c: c}
	for _, f := range faults {
		w.faults, w.names = append(w.faults, f.String()), append(w.names, f.Entry.Name)
	}
	b := sim.NewBench(c, w)
	states := c.Program.States()
	seen := make([]bool, len(states))
	at := b.StateIndex()
	w.enter(b, states[at].Name, 0)
	seen[at] = true
	open := true // the newest visit goes on
	for b.Tick() {
		now := b.StateIndex()
		if now == at {
			continue
		}
		if open {
			w.visits[len(w.visits)-1].until = b.Ticks() - 1
		}
		at, open = now, !seen[now]
		if open {
			seen[now] = true
			w.enter(b, states[now].Name, b.Ticks()-1)
		}
	}
	if open {
		end := &w.visits[len(w.visits)-1]
		end.until, end.last = b.Ticks(), true
	}
	if _, err := b.Result(); err != nil {
		return nil, fmt.Errorf("probe: the run that cells start from: %w", err)
	}
	return w, nil
}

func (w *route) enter(b *sim.Bench, state string, tick int64) {
	events := b.Events()
	woken := len(events) > 0 && events[len(events)-1].Type == sim.EventPowerReturned
	w.visits = append(w.visits, visit{state: state, entered: tick, copy: b.Clone(), woken: woken})
}

// Row keeps what the sequence read in a scan.
func (w *route) Row(r *sim.Row) error {
	w.inputs = append(w.inputs, *r.In)
	return nil
}

// serves takes the states that it was made for and that no earlier route has reached.
func (w *route) serves(reached map[string]bool) {
	for _, v := range w.visits {
		if !reached[v.state] && (w.wanted == nil || slices.Contains(w.wanted, v.state)) {
			reached[v.state] = true
			w.mine = append(w.mine, v)
		}
	}
}

// moments are those of a visit at which a fault comes; where a stay is so short that
// some fall together, the first stands for all.
func (w *route) moments(v *visit) []moment {
	clock := &w.c.Rig.Clock
	scan := int64(clock.FunctionalScan / clock.Tick)
	stay := v.until - v.entered
	list := []moment{{word: Entry, tick: 0}, {word: Midway, tick: stay / 2}}
	if v.woken {
		list[0].tick = 1 // the copy is past the tick that entered
	}
	if !v.last {
		list = append(list, moment{word: Leaving, tick: stay - scan}, moment{word: Change, tick: stay})
	}
	var kept []moment
	for _, m := range list {
		m.state, m.after = v.state, time.Duration(m.tick)*clock.Tick
		m.tick = max(v.entered+m.tick, v.copy.Ticks())
		if !slices.ContainsFunc(kept, func(k moment) bool { return k.tick == m.tick }) {
			kept = append(kept, m)
		}
	}
	return kept
}

// sign is a tracer that finds the first scan in which the sequence reads something else
// than on the route.
type sign struct {
	route *route
	scan  int64 // that comes next
	found *float64
}

// Row holds a scan against the same one of the route.
func (s *sign) Row(r *sim.Row) error {
	if s.found == nil && s.scan < int64(len(s.route.inputs)) && *r.In != s.route.inputs[s.scan] {
		at := r.TS
		s.found = &at
	}
	s.scan++
	return nil
}
