package probe

import (
	"context"
	"slices"
	"strconv"
	"strings"
	"time"

	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/fanout"
)

// Threshold is the mildest fault in a state with which something still goes wrong.
type Threshold struct {
	Outcome // of the mildest one
	// Share is the place of the severity on the scale of the fault, from 0, mild, to 1, severe.
	Share float64
	// Safe is the nearest severity with which nothing goes wrong; nil if something goes wrong
	// even at the mild end of the scale.
	Safe *float64
	// FirstS and LastS are the times after the entry of the state, s, between which something
	// goes wrong; both are found by bisection from the moment of the cell.
	FirstS, LastS float64
}

// A scale is tried on a grid before bisection, because a fault may escape in the middle of its
// scale and be detected at either end.
const (
	gridSteps   = 8
	bisectSteps = 10
)

// thresholdSearch is the search for the threshold of one fault in one state.
type thresholdSearch struct {
	job   job
	fault *catalogue.Entry
	visit *visit
	at    moment
}

// Thresholds finds for each state, and each fault with a scale, the mildest severity with which
// something still goes wrong, and the time in the state within which it does. It starts from
// the results of a probe of the same case and options, at the worst moment.
func Thresholds(ctx context.Context, c *sim.Case, o Options, from *Results) ([]Threshold, error) {
	s, _, err := newScope(c, o)
	if err != nil {
		return nil, err
	}
	searches, err := s.thresholdSearches(from)
	if err != nil {
		return nil, err
	}
	var list []Threshold
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	err = fanout.InOrder(ctx, len(searches), s.options.Workers, func(i int) (*Threshold, bool) {
		t, err := searches[i].find(ctx)
		if err != nil && ctx.Err() == nil {
			cancel(err)
		}
		return t, err == nil
	}, func(i int, t *Threshold) {
		if t != nil {
			list = append(list, *t)
		}
		if o.Progress != nil {
			o.Progress(i+1, len(searches))
		}
	})
	slices.SortStableFunc(list, func(a, b Threshold) int { return slices.Compare(urgency(&a.Outcome), urgency(&b.Outcome)) })
	if err != nil {
		err = context.Cause(ctx)
	}
	return list, err
}

// thresholdSearches are made of the worst outcome of each cell of the matrix.
func (s *scope) thresholdSearches(from *Results) ([]thresholdSearch, error) {
	routes := map[string]*route{}
	var list []thresholdSearch
	for row, cells := range from.Matrix() {
		at := slices.IndexFunc(s.faults, func(f catalogue.Entry) bool { return f.Name == from.Faults[row] })
		if at < 0 || s.faults[at].Scale == nil {
			continue
		}
		for _, c := range cells {
			if c.Worst == nil {
				continue
			}
			r, err := s.routeOf(c.Worst, routes)
			if err != nil {
				return nil, err
			}
			list = append(list, newThresholdSearch(&s.faults[at], c.Worst, r))
		}
	}
	return list, nil
}

// routeOf is the route of an outcome, which is known by the text of its faults alone; each is made
// once.
func (s *scope) routeOf(o *Outcome, made map[string]*route) (*route, error) {
	key := strings.Join(o.Route, " ")
	if r := made[key]; r != nil {
		return r, nil
	}
	var faults []catalogue.Selection
	for _, text := range o.Route {
		f, err := catalogue.Parse(text)
		if err != nil {
			return nil, err
		}
		faults = append(faults, f)
	}
	r, err := s.routeWith(faults)
	made[key] = r
	return r, err
}

func newThresholdSearch(f *catalogue.Entry, o *Outcome, r *route) thresholdSearch {
	s := thresholdSearch{job: job{route: r}, fault: f, at: moment{name: o.Moment, state: o.State}}
	if i := slices.IndexFunc(r.visits, func(v visit) bool { return v.state == o.State }); i >= 0 {
		s.visit = &r.visits[i]
		s.at = s.moment(max(s.visit.copy.Ticks(), s.visit.entered+s.ticks(o.AfterS)))
	}
	return s
}

func (s *thresholdSearch) ticks(seconds float64) int64 {
	tick := s.job.route.c.Rig.Clock.Tick
	return int64((time.Duration(seconds*1e9) + tick/2) / tick)
}

// moment is the moment ahead of a tick of the route.
func (s *thresholdSearch) moment(tick int64) moment {
	m := s.at
	m.tick = tick
	if after := tick - s.visit.entered; after > 1 || s.visit.entered == 0 || s.visit.afterPowerLoss {
		m.after = time.Duration(after) * s.job.route.c.Rig.Clock.Tick
	} else {
		m.after = 0
	}
	return m
}

// try plays the fault with a severity at a moment.
func (s *thresholdSearch) try(ctx context.Context, number float64, at moment) (Outcome, error) {
	j := s.job
	if s.visit != nil {
		j.startAt(s.visit, at)
	}
	j.cells = []plannedCell{planCell(s.fault, severity{"", number}, at, j.route.faults)}
	list, err := j.playCells(ctx, nil)
	if err != nil {
		return Outcome{}, err
	}
	return list[0], nil
}

// find finds the threshold, nil if nothing goes wrong on the whole scale.
func (s *thresholdSearch) find(ctx context.Context) (*Threshold, error) {
	for step := range gridSteps + 1 {
		share := float64(step) / gridSteps
		o, err := s.try(ctx, s.fault.Scale.Between(share), s.at)
		if err != nil {
			return nil, err
		}
		if !o.failed() {
			continue
		}
		t := &Threshold{Outcome: o, Share: share, FirstS: s.at.after.Seconds(), LastS: s.at.after.Seconds()}
		if step > 0 {
			if err := s.bisect(ctx, t, float64(step-1)/gridSteps); err != nil {
				return nil, err
			}
		}
		return t, s.window(ctx, t)
	}
	return nil, nil
}

// bisect moves the threshold towards a share of the scale with which nothing goes wrong. Severities
// have four digits, as they would be entered.
func (s *thresholdSearch) bisect(ctx context.Context, t *Threshold, safe float64) error {
	for range bisectSteps {
		share := (safe + t.Share) / 2
		o, err := s.try(ctx, fourDigits(s.fault.Scale.Between(share)), s.at)
		if err != nil {
			return err
		}
		if o.failed() {
			t.Outcome, t.Share = o, share
		} else {
			safe = share
		}
	}
	number := fourDigits(s.fault.Scale.Between(safe))
	t.Safe = &number
	return nil
}

func fourDigits(x float64) float64 {
	short, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 4, 64), 64) // cannot fail
	return short
}

// window finds how early and how late in the state the fault at the threshold still escapes.
func (s *thresholdSearch) window(ctx context.Context, t *Threshold) error {
	if s.visit == nil {
		return nil
	}
	first, err := s.furthest(ctx, t, s.visit.copy.Ticks())
	if err != nil {
		return err
	}
	end := s.visit.until
	if s.visit.last {
		end = max(first, end-1) // with the last tick the run is over
	}
	last, err := s.furthest(ctx, t, end)
	t.FirstS, t.LastS = s.moment(first).after.Seconds(), s.moment(last).after.Seconds()
	return err
}

// furthest is the tick furthest towards an end of the stay at which the threshold still escapes,
// to a scan.
func (s *thresholdSearch) furthest(ctx context.Context, t *Threshold, end int64) (int64, error) {
	scan := s.ticks(s.job.route.c.Rig.Clock.FunctionalScan.Seconds())
	escapes, try := s.at.tick, end
	for {
		o, err := s.try(ctx, t.Number, s.moment(try))
		if err != nil {
			return 0, err
		}
		if o.failed() {
			if escapes = try; escapes == end {
				return end, nil
			}
		} else {
			end = try
		}
		if gap := end - escapes; gap <= scan && gap >= -scan {
			return escapes, nil
		}
		try = (escapes + end) / 2
	}
}
