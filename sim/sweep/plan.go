package sweep

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/sim"
	"holdbench/sim/fanout"
)

// Plan is what a sweep does. Its runs are numbered from 0; what a run draws depends on Seed and
// its number alone, so that any part of them can be done anywhere.
type Plan struct {
	Case    *sim.Case
	Spreads []Spread
	Assumed []string // keys of spreads that nobody asked for
	Again   []string // the command that runs the case, for people; a run adds seed and values
	Runs    int      // at most; in each cell of a map
	Seed    uint64

	// Windows in degrees and Dwells span a map: every window with every dwell, each with the
	// same draws. Both or neither.
	Windows []float64
	Dwells  []time.Duration

	// Until ends the sweep when the intervals of both rates reach no farther than this to
	// either side; 0 never does.
	Until      float64
	Confidence float64
	Exact      bool // Clopper-Pearson in place of Wilson

	// Part of Parts are the runs that are done, from 1; others are left to others.
	Part, Parts int

	// Rare is the class of which there are too few to count, empty if all are counted.
	Rare sim.Class

	tilt   []Tilt
	sought int // runs that it took to find them
}

// batch is how many runs go by between two looks at how narrow the intervals are.
const batch = 250

// What a sweep, and a file that tells of one, may have.
const (
	mostRuns  = 1_000_000_000 // in each cell of a map
	mostParts = 10000
	mostCells = 10000
)

// Check says all that is wrong with a plan.
func (p *Plan) Check() error {
	var found []error
	wrong := func(bad bool, format string, values ...any) {
		if bad {
			found = append(found, fmt.Errorf(format, values...))
		}
	}
	wrong(p.Runs < 1 || p.Runs > mostRuns, "runs are %d; must be from 1 to %d", p.Runs, mostRuns)
	wrong(!(p.Confidence > 0 && p.Confidence < 1), "confidence is %g; must be between 0 and 1, such as 0.95", p.Confidence)
	wrong(!(p.Until >= 0 && p.Until < 0.5), "until is %g; must be above 0 and below 0.5", p.Until)
	wrong(p.Parts < 1 || p.Part < 1 || p.Part > p.Parts, "part %d of %d is none; must be from 1 to the number of parts", p.Part, p.Parts)
	wrong(p.Parts > mostParts || p.Part <= p.Parts && p.Parts > max(1, p.total()), "%d parts are too many; must be at most %d, and one run for each at least", p.Parts, mostParts)
	wrong(p.cells() > mostCells, "a map of %d cells is too large; must have at most %d", p.cells(), mostCells)
	wrong(p.Until > 0 && p.Parts > 1, "a part cannot tell when all of them together are enough; must be until or a part, not both")
	wrong(p.Until > 0 && len(p.Windows) > 0, "a map has the same runs in each cell; must be without until")
	wrong(p.Until > 0 && p.Rare != "", "rare events have no interval to wait for; must be without until")
	wrong(p.Rare != "" && len(p.Windows) > 0, "rare events are sought for one window and dwell; must be without a map")
	wrong(p.Rare != "" && p.Rare != sim.Missed && p.Rare != sim.FalseAlarm, "rare is %q; must be %s or %s", p.Rare, sim.Missed, sim.FalseAlarm)
	wrong((len(p.Windows) == 0) != (len(p.Dwells) == 0), "a map has %d windows and %d dwells; must have some of both", len(p.Windows), len(p.Dwells))
	found = append(found, p.checkDwells()...)
	return errors.Join(append(found, p.checkKeys()...)...)
}

// checkDwells refuses a dwell of a map for which a sequence like the reference would not wait.
func (p *Plan) checkDwells() []error {
	var found []error
	for i := range p.Windows {
		for j := range p.Dwells {
			rig := p.Case.Rig
			setCell(&rig, p.Windows[i], p.Dwells[j])
			if _, err := plant.Validate(&rig); err != nil && len(found) == 0 {
				found = append(found, fmt.Errorf("a window of %g deg with a dwell of %v: %s", p.Windows[i], p.Dwells[j], problem.Of(err)[0].Message))
			}
		}
	}
	waits, ok := p.Case.Program.Param("verdict_time_s")
	if len(found) > 0 {
		return found
	}
	if !ok || len(p.Dwells) == 0 || len(p.Windows) == 0 {
		return nil
	}
	longest := slices.Max(p.Dwells)
	rig := p.Case.Rig
	setCell(&rig, p.Windows[0], longest)
	if rig.Judge.Deadline.Seconds() < waits.Number {
		return nil
	}
	return []error{fmt.Errorf("a dwell of %v takes the deadline to %v, and the sequence waits %g s for a verdict; must be a shorter dwell, or a larger sequence.verdict_time_s", longest, rig.Judge.Deadline, waits.Number)}
}

// checkKeys refuses what would be spread twice.
func (p *Plan) checkKeys() []error {
	var found []error
	by := map[string]string{}
	if len(p.Windows) > 0 {
		for _, key := range cellKeys() {
			by[key] = "the map"
		}
	}
	for _, s := range p.Spreads {
		for _, key := range s.touches() {
			if other, twice := by[key]; twice {
				found = append(found, fmt.Errorf("%s and %s both stand for %s; must be one of them", other, s.Key, key))
				break
			}
			by[key] = s.Key
		}
	}
	return found
}

// touches is what a spread sets.
func (s *Spread) touches() []string {
	switch s.Key {
	case CapacityKey:
		return []string{conditionKey}
	case FrictionKey:
		return frictionKeys()
	}
	return []string{s.Key}
}

func (p *Plan) cells() int { return max(1, len(p.Windows)*len(p.Dwells)) }

// total is the number of runs of all parts.
func (p *Plan) total() int { return p.Runs * p.cells() }

// Due is how many runs this part has, unless fewer are enough.
func (p *Plan) Due() int { return (p.total() - p.Part + p.Parts) / p.Parts }

// Prepare looks for where rare events are, and tells how many runs it has done for that, of at
// most how many. It has nothing to do for a plan that counts.
func (p *Plan) Prepare(ctx context.Context, workers int, progress func(done, most int)) error {
	if p.Rare == "" || p.tilt != nil {
		return nil
	}
	return p.seek(ctx, workers, progress)
}

// Run does the runs of this part that are not in the tally yet, in order, and hands on each.
// It ends early when the intervals are narrow enough. What was handed on and counted until an
// error is complete. The error is an [InvalidError] for a draw that no rig can be.
func (p *Plan) Run(ctx context.Context, workers int, t *Tally, done func(Record) error) error {
	for t.runs < p.Due() && !t.enough(p.Until, p.interval()) {
		from := t.runs
		until := p.Due()
		if p.Until > 0 {
			until = min(until, from-from%batch+batch)
		}
		if err := p.stretch(ctx, workers, from, until, t, done); err != nil {
			return err
		}
	}
	return nil
}

// stretch does the runs of a part from one to before another.
func (p *Plan) stretch(ctx context.Context, workers, from, until int, t *Tally, done func(Record) error) error {
	type finished struct {
		record Record
		err    error
	}
	inner, stop := context.WithCancel(ctx)
	defer stop()
	var failed error
	err := fanout.InOrder(inner, until-from, workers, func(i int) (finished, bool) {
		r, err := p.one(inner, (from+i)*p.Parts+p.Part-1)
		return finished{r, err}, err == nil || inner.Err() == nil
	}, func(_ int, f finished) {
		if failed == nil && f.err == nil {
			f.err = done(f.record)
		}
		if failed == nil && f.err == nil {
			t.Add(&f.record)
		}
		if failed == nil && f.err != nil {
			failed = f.err
			stop()
		}
	})
	if failed != nil {
		return failed
	}
	return err
}

// one does one run by its number among those of all parts.
func (p *Plan) one(ctx context.Context, number int) (Record, error) {
	run, cell := number/p.cells(), number%p.cells()
	d := p.draw(run)
	c, values, err := p.varied(run, cell, &d)
	if err != nil {
		return Record{}, err
	}
	result, err := sim.RunUntil(ctx, c, nil)
	if err != nil {
		return Record{}, err
	}
	return p.record(number, cell, &d, values, result), nil
}

// Faulted is whether a fault of the case sets what the spread sets, so that the draw lasts until
// then only.
func (s Spread) Faulted(c *sim.Case) bool {
	return slices.ContainsFunc(c.Scenario.Faults, func(f sim.Fault) bool {
		return slices.ContainsFunc(s.touches(), func(key string) bool {
			value, ok := plant.FindKey(key)
			if !ok {
				return false
			}
			_, set := f.Set[value.Path]
			return set
		})
	})
}

// Overlaps is whether two spreads set the same value.
func (s Spread) Overlaps(other Spread) bool {
	return slices.ContainsFunc(s.touches(), func(key string) bool { return slices.Contains(other.touches(), key) })
}
