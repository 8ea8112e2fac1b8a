package sweep

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"holdbench/sim"
	"holdbench/sim/fanout"
)

// Tilt shifts and narrows what one spread draws, so that rare events come often. It works
// on the standard normal number z behind a draw: z = Shift + Scale z₀.
type Tilt struct {
	Key   string  `json:"key"`
	Shift float64 `json:"shift"`
	Scale float64 `json:"scale"`
}

// untilted is the share of runs that are drawn as the spreads say. It bounds every weight to
// 1/untilted, so that no single run can spoil the estimate (a defensive mixture: Hesterberg,
// Technometrics 37, 1995; from memory).
const untilted = 0.1

// tilted moves the draws, unless they are to stay, and returns the weight of the run:
//
//	w = f(z)/(u f(z) + (1 − u) Π q(z)),  u = untilted
//
// with f the density of the standard normal draws and q that of the tilted ones. Source:
// importance sampling, as in Owen, Monte Carlo theory, methods and examples, chapter 9 (from
// memory).
func tilted(tilts []Tilt, z []float64, stays bool) float64 {
	likelihood := 0.0 // log Π q/f
	for i, t := range tilts {
		if t.Scale == 0 {
			continue // a table has nothing to shift
		}
		if !stays {
			z[i] = t.Shift + t.Scale*z[i]
		}
		q := distuv.Normal{Mu: t.Shift, Sigma: t.Scale}
		likelihood += q.LogProb(z[i]) - distuv.UnitNormal.LogProb(z[i])
	}
	return 1 / (untilted + (1-untilted)*math.Exp(likelihood))
}

// rareSum sums up the weights of runs.
type rareSum struct {
	runs            int
	sum, square     map[string]float64 // of the weights, by class
	weight, weight2 float64
}

func (s *rareSum) add(r *Record) {
	if s.sum == nil {
		s.sum, s.square = map[string]float64{}, map[string]float64{}
	}
	s.runs++
	s.sum[r.Class] += r.Weight
	s.square[r.Class] += r.Weight * r.Weight
	s.weight += r.Weight
	s.weight2 += r.Weight * r.Weight
}

// Rare is the estimate of a rare chance.
type Rare struct {
	Class  sim.Class `json:"class"`
	Events int       `json:"events"` // runs of that class that were seen
	Chance float64   `json:"chance"` // that a run is of that class
	// Variance is that of Chance; its root is StandardError.
	Variance      float64 `json:"variance"`
	StandardError float64 `json:"standard_error"`
	Low           float64 `json:"low"`
	High          float64 `json:"high"`
	// Plain is how many runs a plain count would take for the same error.
	Plain float64 `json:"plain_runs"`
	// WeightMean is 1 but for chance; far from it, the estimate is not to be trusted.
	WeightMean float64 `json:"weight_mean"`
	Doubt      string  `json:"doubt"` // why not to trust it, empty if nothing speaks against it
}

// What an estimate must have not to be doubted: so many events, and a mean of weights so near to 1.
const (
	leastEvents    = 20
	mostWeightAway = 0.25
)

// doubt says what speaks against an estimate.
func (r *Rare) doubt() string {
	switch {
	case r.Events == 0:
		return "no run came out so: there is no estimate"
	case r.Events < leastEvents:
		return fmt.Sprintf("only %d runs came out so: the error itself is not well known", r.Events)
	case math.Abs(r.WeightMean-1) > mostWeightAway:
		return fmt.Sprintf("the weights have a mean of %.3g, which should be 1: there are too few runs", r.WeightMean)
	}
	return ""
}

// rare is the chance of a class: the mean of weight times event, with the variance of that
// mean.
func (s *rareSum) rare(class sim.Class, events int, confidence float64) Rare {
	n := float64(s.runs)
	r := Rare{Class: class, Events: events, High: 1}
	if s.runs > 0 {
		r.WeightMean = s.weight / n
	}
	r.Doubt = r.doubt()
	if s.runs < 2 || events == 0 {
		return r
	}
	r.Chance = s.sum[string(class)] / n
	r.Variance = max(0, s.square[string(class)]/n-r.Chance*r.Chance) / (n - 1)
	r.StandardError = math.Sqrt(r.Variance)
	reach := distuv.UnitNormal.Quantile(0.5+confidence/2) * r.StandardError
	r.Low, r.High = max(0, r.Chance-reach), min(1, r.Chance+reach)
	if r.Variance > 0 {
		r.Plain = r.Chance * (1 - r.Chance) / r.Variance
	}
	return r
}

// The search for where rare events are: so many runs a round, at most so many rounds, until
// so many events were seen; the nearest share of a round leads on.
const (
	seekRuns   = 400
	seekRounds = 12
	seekEvents = 40
	seekElite  = 0.1
	seekScale  = 0.25 // the narrowest that a spread is drawn
)

// NotFoundError says that no rare event was near enough to be found.
type NotFoundError struct {
	Class   sim.Class
	Runs    int
	Seen    int
	Nearest float64
}

func (e *NotFoundError) Error() string {
	if e.Seen > 0 {
		return fmt.Sprintf("%d of %d runs of the search were %s, wherever the spreads were shifted: no shift makes them frequent; must be a plain count of many runs", e.Seen, e.Runs, e.Class)
	}
	return fmt.Sprintf("in %d runs no way was found to one that is %s; the nearest had a capacity %.3g of the required torque away from it; must be a spread that leads there, or a plain count", e.Runs, e.Class, e.Nearest)
}

// seek finds the tilt by the cross-entropy method: draw, take the runs nearest to the event,
// weighted by how likely the spreads draw them, fit the tilt to them, and again. Source:
// Rubinstein and Kroese, The Cross-Entropy Method, 2004, chapter 3 (from memory). Only spreads
// that are continuous are tilted.
func (p *Plan) seek(ctx context.Context, workers int, progress func(done, most int)) error {
	if !slices.ContainsFunc(p.Spreads, func(s Spread) bool { return s.table == nil }) {
		return errors.New("rare events are found by shifting spreads, and there is none to shift; must be with a spread that is no table")
	}
	scout := *p
	scout.Seed = source(p.Seed, 0, "scout").Uint64()
	scout.tilt = make([]Tilt, len(p.Spreads))
	for i, s := range p.Spreads {
		scout.tilt[i] = Tilt{Key: s.Key, Scale: 1}
		if s.table != nil {
			scout.tilt[i].Scale = 0
		}
	}
	nearest, seen := math.Inf(1), 0
	for round := range seekRounds {
		tries, err := scout.scout(ctx, workers, round)
		progress((round+1)*seekRuns, seekRounds*seekRuns)
		if err != nil {
			return err
		}
		slices.SortStableFunc(tries, func(a, b try) int { return cmp.Compare(a.away, b.away) })
		nearest = min(nearest, tries[0].away)
		events := 0
		for events < len(tries) && tries[events].away == 0 {
			events++
		}
		fit(scout.tilt, tries[:max(events, int(seekElite*seekRuns))])
		if events >= seekEvents {
			p.tilt, p.sought = scout.tilt, (round+1)*seekRuns
			return nil
		}
		seen += events
	}
	return &NotFoundError{p.Rare, seekRounds * seekRuns, seen, nearest}
}

// try is one run of the search: what it drew, and how far it was from the event.
type try struct {
	z      []float64
	weight float64
	away   float64
}

func (p *Plan) scout(ctx context.Context, workers, round int) ([]try, error) {
	tries := make([]try, 0, seekRuns)
	var failed error
	type finished struct {
		try try
		err error
	}
	err := fanout.InOrder(ctx, seekRuns, workers, func(i int) (finished, bool) {
		run := round*seekRuns + i
		d := p.draw(run)
		c, _, err := p.varied(run, 0, &d)
		if err != nil {
			return finished{err: err}, true
		}
		r, err := sim.RunUntil(ctx, c, nil)
		if err != nil {
			return finished{err: err}, ctx.Err() == nil
		}
		return finished{try: try{d.z, d.weight, away(p.Rare, r)}}, true
	}, func(_ int, f finished) {
		tries = append(tries, f.try)
		if failed == nil {
			failed = f.err
		}
	})
	return tries, errors.Join(err, failed)
}

// away is how far a run was from being of a class: nothing if it is, else how far the brake
// was from the line between fit and not fit, where both kinds of error are.
func away(class sim.Class, r *sim.Result) float64 {
	if r.Class == class {
		return 0
	}
	if r.RequiredTorqueNM <= 0 {
		return math.Inf(1) // no load, and no line
	}
	return math.Abs(r.BrakeCapacityNM/r.RequiredTorqueNM-1) + 1e-9
}

// fit takes the mean and the deviation of the best draws, weighted.
func fit(tilts []Tilt, best []try) {
	for i := range tilts {
		if tilts[i].Scale == 0 {
			continue
		}
		var weight, sum, square float64
		for _, t := range best {
			weight += t.weight
			sum += t.weight * t.z[i]
			square += t.weight * t.z[i] * t.z[i]
		}
		mean := sum / weight
		deviation := math.Sqrt(max(0, square/weight-mean*mean))
		tilts[i].Shift, tilts[i].Scale = mean, min(1, max(seekScale, deviation))
	}
}
