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
// its number alone, so that any part of them can be done on any machine.
type Plan struct {
	Case        *sim.Case
	Spreads     []Spread
	AssumedKeys []string // keys of the spreads that were assumed
	Command     []string // the command that runs the case; a run adds seed and values
	Runs        int      // at most; in each cell of a map
	Seed        uint64

	// Windows in degrees and Dwells span a map: every window with every dwell, each with the
	// same draws. Both or neither.
	Windows []float64
	Dwells  []time.Duration

	// Until ends the sweep when the intervals of both rates extend no farther than this to
	// either side; 0 never does.
	Until      float64
	Confidence float64
	Exact      bool // Clopper-Pearson in place of Wilson

	// Part of Parts, from 1, is the share of the runs that is done; other parts do the others.
	Part, Parts int

	// Rare is the class that is too rare to be counted, empty if all are counted.
	Rare sim.Class

	tilt         []Tilt
	searchedRuns int // runs of the search for the tilt
}

// batchRuns is the number of runs between two checks of the width of the intervals.
const batchRuns = 250

// The limits of a sweep, and of a file of one.
const (
	MaxRuns  = 1_000_000_000 // in each cell of a map
	maxParts = 10000
	maxCells = 10000
)

// Check says all that is wrong with a plan.
func (p *Plan) Check() error {
	var found []error
	wrong := func(bad bool, format string, values ...any) {
		if bad {
			found = append(found, fmt.Errorf(format, values...))
		}
	}
	wrong(p.Runs < 1 || p.Runs > MaxRuns, "runs are %d; must be from 1 to %d", p.Runs, MaxRuns)
	wrong(!(p.Confidence > 0 && p.Confidence < 1), "confidence is %g; must be between 0 and 1, such as 0.95", p.Confidence)
	wrong(!(p.Until >= 0 && p.Until < 0.5), "until is %g; must be above 0 and below 0.5", p.Until)
	wrong(p.Parts < 1 || p.Part < 1 || p.Part > p.Parts, "part %d of %d does not exist; must be from 1 to the number of parts", p.Part, p.Parts)
	wrong(p.Parts > maxParts || p.Part <= p.Parts && p.Parts > max(1, p.totalRuns()), "%d parts are too many; must be at most %d, with at least one run each", p.Parts, maxParts)
	wrong(p.cells() > maxCells, "a map of %d cells is too large; must have at most %d", p.cells(), maxCells)
	wrong(p.Until > 0 && p.Parts > 1, "a part does not know the runs of the other parts; must be either until or a part")
	wrong(p.Until > 0 && len(p.Windows) > 0, "a map has the same number of runs in each cell; must be without until")
	wrong(p.Until > 0 && p.Rare != "", "a rare-event estimate has no interval for until; must be without until")
	wrong(p.Rare != "" && len(p.Windows) > 0, "a rare-event estimate is for one window and dwell; must be without a map")
	wrong(p.Rare != "" && p.Rare != sim.Missed && p.Rare != sim.FalseAlarm, "rare is %q; must be %s or %s", p.Rare, sim.Missed, sim.FalseAlarm)
	wrong((len(p.Windows) == 0) != (len(p.Dwells) == 0), "a map has %d windows and %d dwells; must have at least one of each", len(p.Windows), len(p.Dwells))
	found = append(found, p.checkDwells()...)
	return errors.Join(append(found, p.checkKeys()...)...)
}

// checkDwells refuses a dwell of a map that takes longer than a sequence such as the reference
// waits for a verdict.
func (p *Plan) checkDwells() []error {
	var found []error
	for i := range p.Windows {
		for j := range p.Dwells {
			rig := p.Case.Rig
			setCell(&rig, p.Windows[i], p.Dwells[j])
			if _, err := plant.Validate(&rig); err != nil && len(found) == 0 {
				found = append(found, problem.Errorf("a window of %g deg with a dwell of %v: %s", p.Windows[i], p.Dwells[j], problem.Of(err)[0].Message))
			}
		}
	}
	waits, ok := p.Case.Sequence.Role("verdict_time")
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
	return []error{fmt.Errorf("a dwell of %v extends the deadline to %v, and the sequence waits %g s for a verdict; must be a shorter dwell or a larger sequence.%s", longest, rig.Judge.Deadline, waits.Number, waits.Name)}
}

// checkKeys refuses two spreads of the same value.
func (p *Plan) checkKeys() []error {
	var found []error
	by := map[string]string{}
	if len(p.Windows) > 0 {
		for _, key := range cellKeys() {
			by[key] = "the map"
		}
	}
	for _, s := range p.Spreads {
		for _, key := range s.keys() {
			if other, twice := by[key]; twice {
				found = append(found, fmt.Errorf("%s and %s both set %s; must be one of them", other, s.Key, key))
				break
			}
			by[key] = s.Key
		}
	}
	return found
}

// keys are the values that a spread sets.
func (s *Spread) keys() []string {
	switch s.Key {
	case CapacityKey:
		return []string{conditionKey}
	case Capacity2Key:
		return []string{condition2Key}
	case FrictionKey:
		return frictionKeys()
	}
	return []string{s.Key}
}

func (p *Plan) cells() int { return max(1, len(p.Windows)*len(p.Dwells)) }

// totalRuns is the number of runs of all parts.
func (p *Plan) totalRuns() int { return p.Runs * p.cells() }

// RunsOfPart is how many runs this part has, unless fewer are enough.
func (p *Plan) RunsOfPart() int { return (p.totalRuns() - p.Part + p.Parts) / p.Parts }

// Prepare searches for the tilt that makes rare events frequent, and reports the number of runs
// done and their maximum. It has nothing to do for a plan that counts.
func (p *Plan) Prepare(ctx context.Context, workers int, progress func(done, limit int)) error {
	if p.Rare == "" || p.tilt != nil {
		return nil
	}
	return p.searchTilt(ctx, usualSearch(), workers, progress)
}

// Run does the runs of this part that are not in the tally yet, in order, and hands each to
// done. It ends early when the intervals are narrow enough. After an error, what was handed
// over and counted is complete. The error is an [InvalidError] for a draw that is no valid
// rig.
func (p *Plan) Run(ctx context.Context, workers int, t *Tally, done func(Record) error) error {
	for t.runs < p.RunsOfPart() && !t.enough(p.Until, p.interval()) {
		from := t.runs
		until := p.RunsOfPart()
		if p.Until > 0 {
			until = min(until, from-from%batchRuns+batchRuns)
		}
		if err := p.runRange(ctx, workers, from, until, t, done); err != nil {
			return err
		}
	}
	return nil
}

// runRange does a range of the runs of a part, without the last number.
func (p *Plan) runRange(ctx context.Context, workers, from, until int, t *Tally, done func(Record) error) error {
	type finished struct {
		record Record
		err    error
	}
	inner, stop := context.WithCancel(ctx)
	defer stop()
	var failed error
	err := fanout.InOrder(inner, until-from, workers, func(i int) (finished, bool) {
		r, err := p.runOne(inner, (from+i)*p.Parts+p.Part-1)
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

// runOne does one run, by its number among those of all parts.
func (p *Plan) runOne(ctx context.Context, number int) (Record, error) {
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

// SetByFault is whether a fault of the case sets what the spread sets, so that the draw is valid
// only until then.
func (s Spread) SetByFault(c *sim.Case) bool {
	return slices.ContainsFunc(c.Scenario.Faults, func(f sim.Fault) bool {
		return slices.ContainsFunc(s.keys(), func(key string) bool {
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
	return slices.ContainsFunc(s.keys(), func(key string) bool { return slices.Contains(other.keys(), key) })
}
