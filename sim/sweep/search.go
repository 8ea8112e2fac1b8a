package sweep

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"holdbench/sim"
	"holdbench/sim/fanout"
)

// NotFoundError says that the search found no rare event.
type NotFoundError struct {
	Class   sim.Class
	Runs    int
	Seen    int
	Nearest float64
}

func (e *NotFoundError) Error() string {
	if e.Seen > 0 {
		return fmt.Sprintf("%d of %d runs of the search were %s, with any shift of the spreads: no shift makes them frequent; must be a plain count of many runs", e.Seen, e.Runs, e.Class)
	}
	return fmt.Sprintf("none of %d runs of the search was %s; the nearest had a capacity that is %.3g of the required torque away from it; must be a spread that leads there, or a plain count", e.Runs, e.Class, e.Nearest)
}

// searchSize is how far the search for the tilt goes: so many runs in a round, at most so many
// rounds, until a round has so many events.
type searchSize struct{ runs, rounds, events int }

// usualSearch is the size of every search except in tests.
func usualSearch() searchSize { return searchSize{runs: 400, rounds: 12, events: 40} }

const (
	eliteShare = 0.1  // of a round: the runs nearest to the event, to which the tilt is fitted
	minScale   = 0.25 // of a spread
)

// tiltSearch is the search on its way: a plan of its own, whose tilt is the newest.
type tiltSearch struct {
	searchSize
	plan    Plan
	nearest float64
	seen    int // events of all rounds
}

// searchTilt finds the tilt by the cross-entropy method: draw, take the runs nearest to the event,
// weighted by their likelihood under the spreads, fit the tilt to them, and repeat. Source:
// Rubinstein and Kroese, The Cross-Entropy Method, 2004, chapter 3 (from memory). Only spreads
// that are continuous are tilted.
func (p *Plan) searchTilt(ctx context.Context, size searchSize, workers int, progress func(done, limit int)) error {
	if !slices.ContainsFunc(p.Spreads, func(s Spread) bool { return s.table == nil }) {
		return errors.New("a rare-event estimate shifts spreads, and there is none to shift; must have a spread that is no table")
	}
	s := newTiltSearch(p, size)
	for round := range s.rounds {
		enough, err := s.round(ctx, workers, round)
		progress((round+1)*s.runs, s.rounds*s.runs)
		if err != nil {
			return err
		}
		if enough {
			p.tilt, p.searchedRuns = s.plan.tilt, (round+1)*s.runs
			return nil
		}
	}
	return &NotFoundError{p.Rare, s.rounds * s.runs, s.seen, s.nearest}
}

func newTiltSearch(p *Plan, size searchSize) *tiltSearch {
	s := &tiltSearch{searchSize: size, plan: *p, nearest: math.Inf(1)}
	s.plan.Seed = source(p.Seed, 0, "scout").Uint64() // the name of the stream is part of what a seed gives
	s.plan.tilt = make([]Tilt, len(p.Spreads))
	for i, spread := range p.Spreads {
		s.plan.tilt[i] = Tilt{Key: spread.Key, Scale: 1}
		if spread.table != nil {
			s.plan.tilt[i].Scale = 0
		}
	}
	return s
}

// round fits the tilt to the best runs of one more round; it is true once that round had enough
// events.
func (s *tiltSearch) round(ctx context.Context, workers, round int) (enough bool, err error) {
	trials, err := s.trials(ctx, workers, round*s.runs)
	if err != nil {
		return false, err
	}
	slices.SortStableFunc(trials, func(a, b trial) int { return cmp.Compare(a.distance, b.distance) })
	s.nearest = min(s.nearest, trials[0].distance)
	events := 0
	for events < len(trials) && trials[events].distance == 0 {
		events++
	}
	s.seen += events
	fitTilt(s.plan.tilt, trials[:max(events, int(eliteShare*float64(s.runs)))])
	return events >= s.events, nil
}

// trial is one run of the search: its draw, and its distance from the event.
type trial struct {
	z        []float64
	weight   float64
	distance float64
}

// trials does the runs of one round.
func (s *tiltSearch) trials(ctx context.Context, workers, from int) ([]trial, error) {
	type finished struct {
		trial trial
		err   error
	}
	list := make([]trial, 0, s.runs)
	var failed error
	err := fanout.InOrder(ctx, s.runs, workers, func(i int) (finished, bool) {
		t, err := s.try(ctx, from+i)
		return finished{t, err}, err == nil || ctx.Err() == nil
	}, func(_ int, f finished) {
		list = append(list, f.trial)
		if failed == nil {
			failed = f.err
		}
	})
	return list, errors.Join(err, failed)
}

// try does one run of the search.
func (s *tiltSearch) try(ctx context.Context, run int) (trial, error) {
	d := s.plan.draw(run)
	c, _, err := s.plan.varied(run, 0, &d)
	if err != nil {
		return trial{}, err
	}
	r, err := sim.RunUntil(ctx, c, nil)
	if err != nil {
		return trial{}, err
	}
	return trial{d.z, d.weight, distanceTo(s.plan.Rare, r)}, nil
}

// distanceTo is the distance of a run from a class: 0 if it is of that class, else the distance
// of the brake from the limit of sufficient torque, near which both kinds of error are.
func distanceTo(class sim.Class, r *sim.Result) float64 {
	if r.Class == class {
		return 0
	}
	if r.RequiredTorqueNM <= 0 {
		return math.Inf(1) // no load, and no limit
	}
	return math.Abs(r.WeakestNM()/r.RequiredTorqueNM-1) + 1e-9
}

// fitTilt takes the weighted mean and deviation of the best draws.
func fitTilt(tilts []Tilt, best []trial) {
	for i := range tilts {
		if tilts[i].Scale == 0 {
			continue
		}
		var weight, sum, square float64
		for _, t := range best {
			weight += t.weight
			sum += float64(t.weight * t.z[i])
			square += float64(t.weight * t.z[i] * t.z[i])
		}
		mean := sum / weight
		deviation := math.Sqrt(max(0, square/weight-float64(mean*mean)))
		tilts[i].Shift, tilts[i].Scale = mean, min(1, max(minScale, deviation))
	}
}
