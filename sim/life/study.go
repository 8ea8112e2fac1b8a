package life

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"holdbench/sim"
	"holdbench/sim/fanout"
)

// Study is what is done for a plan: the ladder, the lives, and the intervals compared.
type Study struct {
	Case     *sim.Case
	Plan     Plan
	Ladder   *Ladder
	Records  []Record
	Compared []Compared
	stopper  *Stopper
}

// Compared is the plan with another interval.
type Compared struct {
	Interval time.Duration
	Summary  Summary
}

// Progress is told how far a piece of work is.
type Progress func(done, all int)

// NewStudy begins a study of a case that has no faults, with a plan that was checked. A
// rig that no brake can be tested on is an error.
func NewStudy(c *sim.Case, p Plan) (*Study, error) {
	ratio := exchanged(&c.Rig).coldRatio(&c.Rig)
	switch {
	case math.IsInf(ratio, 0) || math.IsNaN(ratio):
		return nil, fmt.Errorf("the load of rig %s asks for no torque at the motor shaft; must be one that a brake has to hold", c.Rig.Rig)
	case ratio <= 0:
		return nil, fmt.Errorf("a new brake of rig %s has no torque; look at brake.closes_to and brake.residual_voltage", c.Rig.Rig)
	}
	return &Study{Case: c, Plan: p, stopper: NewStopper(&c.Rig)}, nil
}

// Measure makes the ladder. Nothing else can be done without it.
func (s *Study) Measure(ctx context.Context, workers int, p Progress) error {
	l, err := MeasureLadder(ctx, s.Case, s.Plan.Runs, workers, s.Plan.Seed, p)
	if err == nil {
		s.Ladder = l
	}
	return err
}

// WindowFits is whether an idle window is long enough for a test.
func (s *Study) WindowFits() bool { return fits(&s.Plan, s.Ladder.TestTakes()) }

func fits(p *Plan, takes time.Duration) bool { return p.WindowsPerShift > 0 && p.Window >= takes }

// Live lives the lives. If the context ends, Records holds those that were finished.
func (s *Study) Live(ctx context.Context, workers int, p Progress) error {
	var tester Tester = s.Ladder
	if s.Plan.Whole {
		tester = Bench{s.Case}
	}
	records, err := s.lives(ctx, &s.Plan, tester, workers, func(n int) { p(n, s.Plan.Lives) })
	s.Records = records
	return err
}

// Compare lives the lives again with other intervals, tests drawn from the ladder. If the
// context ends, Compared holds the intervals that were finished.
func (s *Study) Compare(ctx context.Context, workers int, p Progress) error {
	all := len(s.Plan.Intervals) * s.Plan.Lives
	for i, interval := range s.Plan.Intervals {
		plan := s.Plan
		plan.Interval = interval
		records, err := s.lives(ctx, &plan, s.Ladder, workers, func(n int) { p(i*s.Plan.Lives+n, all) })
		if err != nil {
			return err
		}
		s.Compared = append(s.Compared, Compared{interval, Summarise(records)})
	}
	return nil
}

func (s *Study) lives(ctx context.Context, p *Plan, tester Tester, workers int, done func(n int)) ([]Record, error) {
	w := &world{plan: p, rig: &s.Case.Rig, stop: s.stopper.Stop, test: tester, windows: s.WindowFits()}
	return w.lives(ctx, workers, done)
}

// lives goes through them on a number of workers, in the order of their numbers.
func (w *world) lives(ctx context.Context, workers int, done func(n int)) ([]Record, error) {
	type lived struct {
		Record
		err error
	}
	records := make([]Record, 0, w.plan.Lives)
	var failed error
	err := fanout.InOrder(ctx, w.plan.Lives, workers, func(i int) (lived, bool) {
		if ctx.Err() != nil {
			return lived{}, false
		}
		r, err := w.live(ctx, i)
		return lived{r, err}, err == nil || ctx.Err() == nil
	}, func(i int, l lived) {
		if l.err != nil && failed == nil {
			failed = fmt.Errorf("life %d: %w", i, l.err)
		}
		records = append(records, l.Record)
		done(len(records))
	})
	if err == nil {
		err = failed
	}
	return slices.Clip(records), err
}
