package statistics

import (
	"math"
	"math/rand/v2"

	"holdbench/plant/portable"
)

// Goodness is how well a curve goes through the counts.
type Goodness struct {
	Deviance float64 // of groups of neighbouring doses from the curve
	Groups   int
	PValue   float64 // how often counts drawn from the curve deviate as much from the curve fitted to them
}

const (
	// minExpected is the expected number of each outcome at which a group is complete (Cochran,
	// Biometrics 10, 1954; from memory).
	minExpected = 5
	// minGroups is about the number of groups where both ends of the curve have few of one outcome.
	minGroups = 12
	// maxDrawn is how many studies are drawn, unless exceeded of them deviate more before that:
	// Besag and Clifford, Biometrika 78, 1991 (from memory).
	maxDrawn = 999
	exceeded = 20
)

// Goodness compares the curve with the counts. As chi squared is not valid for few trials at many
// doses, nor for rates at a bound, its p-value comes from studies drawn from the curve and fitted
// again (parametric bootstrap: Wichmann and Hill, Perception & Psychophysics 63, 2001, from
// memory). The same source and counts give the same value.
func (r *Response) Goodness(source rand.Source) Goodness {
	f := r.fit
	heights := f.heights(&r.best)
	ends := groupsOf(f.doses, heights)
	return bootstrap(groupDeviance(f.doses, heights, ends), len(ends), func(limit float64) bool {
		drawn := *f
		drawn.doses, drawn.precision = drawnFrom(f.doses, heights, source), 1e-6
		return drawn.deviatesBy(limit, &r.best, ends)
	})
}

// bootstrap draws studies until enough of them deviate as much, or there are enough of them.
func bootstrap(deviance float64, groups int, deviates func(limit float64) bool) Goodness {
	g := Goodness{Deviance: deviance, Groups: groups}
	more := 0
	for i := range maxDrawn {
		if deviates(deviance - 1e-6) {
			more++
		}
		if more == exceeded {
			g.PValue = float64(more) / float64(i+1)
			return g
		}
	}
	g.PValue = float64(more+1) / (maxDrawn + 1)
	return g
}

// deviatesBy is whether the groups deviate by a limit or more from the curve that is fitted to the
// doses, from the true one, and from ones of half and of twice its spread.
func (f *fit) deviatesBy(limit float64, truth *theta, ends []int) bool {
	f.saturated = saturated(f.doses)
	best := theta{deviance: math.Inf(1)}
	for _, factor := range []float64{0, -math.Ln2, math.Ln2} {
		start := *truth
		start.logSpread += factor
		start.natural, start.lapse = max(start.natural, maxLapse/50), max(start.lapse, maxLapse/50)
		if t := f.climb(start, 0); t.deviance < best.deviance {
			best = t
		}
		if groupDeviance(f.doses, f.heights(&best), ends) < limit {
			return false
		}
	}
	return true
}

// heights are the probabilities of a curve at the doses.
func (f *fit) heights(t *theta) []float64 {
	heights, slope := make([]float64, len(f.scaled)), portable.Exp(-t.logSpread)
	for i, x := range f.scaled {
		heights[i], _, _, _ = t.chances(float64((x-t.at)*slope) + t.z)
	}
	return heights
}

// groupsOf are the ends of groups of neighbouring doses: each has enough of both outcomes, or its
// share of the trials.
func groupsOf(doses []Dose, heights []float64) []int {
	total := 0.0
	for _, d := range doses {
		total += d.Tried
	}
	var ends []int
	var tried, pass, fail float64
	for i, d := range doses {
		p := heights[i]
		tried, pass, fail = tried+d.Tried, pass+float64(d.Tried*p), fail+float64(d.Tried*(1-p))
		if pass >= minExpected && fail >= minExpected || tried >= total/minGroups || i == len(doses)-1 {
			ends = append(ends, i+1)
			tried, pass, fail = 0, 0, 0
		}
	}
	return ends
}

// groupDeviance is 2 Σ k ln(k/e) + m ln(m/(n−e)) over the groups, with k passes and m failures of n
// trials and e expected passes.
func groupDeviance(doses []Dose, heights []float64, ends []int) float64 {
	sum, from := 0.0, 0
	for _, to := range ends {
		var passed, failed, pass, fail float64
		for i := from; i < to; i++ {
			d := doses[i]
			passed, failed = passed+d.Passed, failed+d.failed()
			pass, fail = pass+float64(d.Tried*heights[i]), fail+float64(d.Tried*(1-heights[i]))
		}
		sum += devianceTerm(passed, pass) + devianceTerm(failed, fail)
		from = to
	}
	return max(0, 2*sum)
}

func devianceTerm(seen, expected float64) float64 {
	if seen == 0 {
		return 0
	}
	return seen * portable.Log(seen/expected)
}
