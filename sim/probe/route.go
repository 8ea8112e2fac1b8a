package probe

import (
	"fmt"
	"slices"
	"time"

	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// route is a run from which cells start: the inputs of the sequence in each of its scans, and a
// copy of the run at the first entry of each state.
type route struct {
	c          *sim.Case
	selections []catalogue.Selection // the faults of the run
	faults     []string              // the same in their written form
	names      []string              // of these faults
	visits     []visit
	inputs     []sequence.Inputs
	states     []string // states that it was made for; none: all
	broken     []string // obligations that the run itself breaks
	limits     signLimits
	assigned   []visit // in which cells are tried
	meter      *meter
	timed      bool // no states are told: its moments are times of the run
}

// visit is the first stay in a state.
type visit struct {
	state          string
	entered, until int64      // ticks: of the scan that entered, of the one that left or of the end
	last           bool       // the run ends in it
	afterPowerLoss bool       // entered when power returned, ahead of the scan of that tick
	copy           *sim.Bench // kept, to be cloned
}

// routeWith runs the case with faults, as a route.
func (s *scope) routeWith(faults []catalogue.Selection) (*route, error) {
	c, err := catalogue.WithFaults(s.base, faults...)
	if err != nil {
		return nil, problem.Of(err)[0]
	}
	return newRoute(c, faults, s.meter)
}

// newRoute runs a case and keeps what the cells need.
func newRoute(c *sim.Case, faults []catalogue.Selection, m *meter) (*route, error) {
	r := &route{c: c, selections: faults, limits: newSignLimits(&c.Rig), meter: m}
	for _, f := range faults {
		r.faults, r.names = append(r.faults, f.String()), append(r.names, f.Entry.Name)
	}
	b := sim.NewBench(c, r)
	states := c.Sequence.States
	seen := make([]bool, len(states))
	at := b.StateIndex()
	r.enter(b, states[at].Name, 0)
	seen[at] = true
	open := true // the newest visit goes on
	for b.Tick() {
		now := b.StateIndex()
		if now == at {
			continue
		}
		if open {
			r.visits[len(r.visits)-1].until = b.Ticks() - 1
		}
		at, open = now, !seen[now]
		if open {
			seen[now] = true
			r.enter(b, states[now].Name, b.Ticks()-1)
		}
	}
	if open {
		end := &r.visits[len(r.visits)-1]
		end.until, end.last = b.Ticks(), true
	}
	result, err := b.Result()
	if err != nil {
		return nil, fmt.Errorf("probe: the run from which cells start: %w", err)
	}
	r.broken = result.Broken()
	names := make([]string, len(r.visits))
	for i := range r.visits {
		names[i] = r.visits[i].state
	}
	r.timed = untold(c, names)
	m.ran(b, 0)
	return r, nil
}

func (r *route) enter(b *sim.Bench, state string, tick int64) {
	events := b.Events()
	woken := len(events) > 0 && events[len(events)-1].Type == sim.EventPowerReturned
	r.visits = append(r.visits, visit{state: state, entered: tick, copy: b.Keep(), afterPowerLoss: woken})
}

// Row keeps the inputs of a scan.
func (r *route) Row(row *sim.Row) error {
	now := scanAt(row.TS, r.c.Rig.Clock.FunctionalScan.Seconds())
	for len(r.inputs) > 0 && len(r.inputs) < now { // scans that were left out: the image stays
		r.inputs = append(r.inputs, r.inputs[len(r.inputs)-1])
	}
	for len(r.inputs) <= now {
		if !r.meter.keeps() {
			return fmt.Errorf("the runs from which cells start have more than %d scans together; must be shorter, see rig.clock.run_limit", mostScans)
		}
		r.inputs = append(r.inputs, *row.In)
	}
	return nil
}

// assign gives the route the states for which it was made and that no earlier route has.
func (r *route) assign(reached map[string]bool) {
	for _, v := range r.visits {
		if !reached[v.state] && (r.states == nil || slices.Contains(r.states, v.state)) {
			reached[v.state] = true
			r.assigned = append(r.assigned, v)
		}
	}
}

// moment is a moment of a run.
type moment struct {
	name  string
	state string
	after time.Duration
	tick  int64 // of the run: the next one
}

// eighths are moments of a run whose states are not known.
func eighths(stay int64) []moment {
	list := []moment{{name: Entry, tick: 0}}
	for k := range int64(7) {
		list = append(list, moment{name: fmt.Sprintf("%d/8", k+1), tick: stay * (k + 1) / 8})
	}
	list[4].name = Midway
	return list
}

// moments are those of a visit at which a fault begins; if a stay is so short that some
// coincide, only the first counts.
func (r *route) moments(v *visit) []moment {
	clock := &r.c.Rig.Clock
	scan := int64(clock.FunctionalScan / clock.Tick)
	stay := v.until - v.entered
	list := []moment{{name: Entry, tick: 0}, {name: Midway, tick: stay / 2}}
	if r.timed && v.entered == 0 {
		list = eighths(stay)
	}
	if v.afterPowerLoss {
		list[0].tick = 1 // the copy is past the tick that entered
	}
	if !v.last {
		list = append(list, moment{name: Leaving, tick: stay - scan}, moment{name: Change, tick: stay})
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
