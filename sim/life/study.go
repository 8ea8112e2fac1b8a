package life

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"holdbench/sim"
	"holdbench/sim/fanout"
	"holdbench/sim/journal"
)

// Study is the work for a plan: the lookup table, the simulated histories, and the comparison of
// intervals.
type Study struct {
	Case     *sim.Case
	Plan     Plan
	Table    *LookupTable
	Records  []Record
	Compared []Compared
	Drops    *DropLimits
	stops    *StopCache

	// Part is the share of the histories that is simulated; the other parts simulate the others. The zero value is all.
	Part journal.Part
	// Earlier are the first histories of the part, from before an interruption.
	Earlier []Record
	// ShownAlone keeps tests and stops of the history that is [Shown] alone, and of the others the nuisance failures: a
	// study of many histories then takes a kilobyte each. All are kept where every test is a whole run, of which stops of
	// the controller are counted.
	ShownAlone bool
	// Keep takes each history as soon as it and all before it are there; it may be nil.
	Keep func(*Record) error
}

// Histories is how many histories the part has.
func (s *Study) Histories() int {
	if s.Part.Of <= 1 {
		return s.Plan.Histories
	}
	return s.Part.Share(s.Plan.Histories)
}

// Compared is the plan with another interval.
type Compared struct {
	Interval time.Duration
	Summary  Summary
}

// NewBrakeMeets reports whether a new brake meets the drop limit.
func (s *Study) NewBrakeMeets(from Falling) bool {
	b := exchanged(&s.Case.Rig)
	each := s.Drops.ratios(b, b.cold(&s.Case.Rig), from)
	return min(each[0], each[1]) >= 1
}

// Progress gets the progress of a piece of work.
type Progress func(done, all int)

// NewStudy begins a study of a case without faults, with a plan without problems. A rig on which
// no brake can be tested is an error.
func NewStudy(c *sim.Case, p Plan) (*Study, error) {
	ratio := exchanged(&c.Rig).coldRatio(&c.Rig)
	switch {
	case math.IsInf(ratio, 0) || math.IsNaN(ratio):
		return nil, fmt.Errorf("the load of rig %s needs no torque at the motor shaft; must be a load that the brake has to hold", c.Rig.Rig)
	case ratio <= 0:
		return nil, fmt.Errorf("a new brake of rig %s has no torque; check brake.closes_to and brake.residual_voltage", c.Rig.Rig)
	}
	return &Study{Case: c, Plan: p, stops: NewStopCache(&c.Rig), Drops: NewDropLimits(&c.Rig)}, nil
}

// Measure makes the lookup table, which all else needs.
func (s *Study) Measure(ctx context.Context, workers int, p Progress) error {
	l, err := MeasureTable(ctx, s.Case, s.Plan.RunsPerEntry, workers, s.Plan.Seed, p)
	if err == nil {
		s.Table = l
	}
	return err
}

// ControllerStops counts the runs in which the controller stopped by itself, of so many runs: those of
// the table, and where every test is a run of its own, the tests of the histories.
func (s *Study) ControllerStops() (stops sim.StopCount, runs int) {
	for i := range s.Table.Entries {
		for k := range s.Table.Entries[i].Outcomes {
			runs++
			stops.Add(s.Table.Entries[i].Outcomes[k].ControllerStopped)
		}
	}
	if !s.Plan.WholeRuns {
		return stops, runs
	}
	for i := range s.Records {
		for k := range s.Records[i].TestPoints {
			runs++
			stops.Add(s.Records[i].TestPoints[k].ControllerStopped)
		}
	}
	return stops, runs
}

// WindowFits is whether an idle window is long enough for a test.
func (s *Study) WindowFits() bool { return fits(&s.Plan, s.Table.LongestTest()) }

func fits(p *Plan, takes time.Duration) bool { return p.WindowsPerShift > 0 && p.Window >= takes }

// Simulate simulates the histories. If the context ends, Records holds those that were finished.
func (s *Study) Simulate(ctx context.Context, workers int, p Progress) error {
	var tester Tester = s.Table
	if s.Plan.WholeRuns {
		tester = BenchTester{s.Case}
	}
	h := histories{count: s.Histories(), part: s.Part, earlier: s.Earlier, keep: s.Keep, whole: s.whole()}
	records, err := s.simulate(ctx, &s.Plan, tester, workers, h, func(n int) { p(n, s.Histories()) })
	s.Records = records
	return err
}

// Reduced gives earlier histories, one after the other, with what is kept of them in memory.
func (s *Study) Reduced() func(Record) Record {
	h := histories{whole: s.whole()}
	return h.reduced
}

// whole is that of the histories of the study.
func (s *Study) whole() func(*Record) bool {
	if s.ShownAlone && !s.Plan.WholeRuns {
		return shownAlone()
	}
	return nil
}

// histories are those that are simulated.
type histories struct {
	count   int
	part    journal.Part
	earlier []Record // the first of them
	keep    func(*Record) error
	// whole is whether a history keeps all its tests and stops, asked in their order; nil: each does.
	whole func(*Record) bool
}

// shownAlone is true for a history that may be [Shown].
func shownAlone() func(*Record) bool {
	first, replaced := true, false
	return func(r *Record) bool {
		whole := first || !replaced && len(r.Leads) > 0
		first, replaced = false, replaced || len(r.Leads) > 0
		return whole
	}
}

// reduced is a history with what is kept of it in memory.
func (h *histories) reduced(r Record) Record {
	if h.whole != nil && !h.whole(&r) {
		r.summed()
	}
	return r
}

// number is the number of a history among those of all parts.
func (h *histories) number(i int) int {
	if h.part.Of <= 1 {
		return i
	}
	return i*h.part.Of + h.part.Number - 1
}

// take hands a history over.
func (h *histories) take(r *Record) error {
	if h.keep == nil {
		return nil
	}
	return h.keep(r)
}

// Compare simulates the histories again with other intervals, with tests from the lookup table.
// If the context ends, Compared holds the intervals that were finished.
func (s *Study) Compare(ctx context.Context, workers int, p Progress) error {
	all := len(s.Plan.Intervals) * s.Plan.Histories
	for i, interval := range s.Plan.Intervals {
		plan := s.Plan
		plan.Interval = interval
		records, err := s.simulate(ctx, &plan, s.Table, workers, histories{count: s.Plan.Histories, whole: func(*Record) bool { return false }}, func(n int) { p(i*s.Plan.Histories+n, all) })
		if err != nil {
			return err
		}
		s.Compared = append(s.Compared, Compared{interval, Summarise(records)})
	}
	return nil
}

func (s *Study) simulate(ctx context.Context, p *Plan, tester Tester, workers int, h histories, done func(n int)) ([]Record, error) {
	w := &model{plan: p, rig: &s.Case.Rig, stop: s.stops.Stop, drops: s.Drops, test: tester, windows: s.WindowFits()}
	return w.simulateAll(ctx, workers, h, done)
}

// simulateAll simulates the histories on a number of workers, in the order of their numbers.
func (w *model) simulateAll(ctx context.Context, workers int, h histories, done func(n int)) ([]Record, error) {
	type finished struct {
		Record
		err error
	}
	records := make([]Record, 0, h.count)
	for _, r := range h.earlier {
		records = append(records, h.reduced(r))
	}
	inner, stop := context.WithCancel(ctx)
	defer stop()
	var failed error
	err := fanout.InOrder(inner, h.count-len(h.earlier), workers, func(i int) (finished, bool) {
		if inner.Err() != nil {
			return finished{}, false
		}
		r, err := w.simulate(inner, h.number(len(h.earlier)+i))
		return finished{r, err}, err == nil || inner.Err() == nil
	}, func(i int, f finished) {
		if failed != nil {
			return
		}
		if failed = f.err; failed != nil {
			failed = fmt.Errorf("history %d: %w", h.number(len(h.earlier)+i), failed)
		} else {
			failed = h.take(&f.Record)
		}
		if failed != nil {
			stop()
			return
		}
		records = append(records, h.reduced(f.Record))
		done(len(records))
	})
	if failed != nil {
		err = failed
	}
	return slices.Clip(records), err
}
