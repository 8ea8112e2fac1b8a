package statistics

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"
)

// Goodness is how well the curve goes through the counts.
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
	ends := r.groups()
	g := Goodness{Groups: len(ends), Deviance: r.fit.groupDeviance(&r.best, ends)}
	drawn := *r.fit
	drawn.doses = append([]Dose(nil), r.fit.doses...)
	drawn.precision = 1e-6
	more := 0
	for i := range maxDrawn {
		r.draw(drawn.doses, source)
		if drawn.deviatesBy(g.Deviance-1e-6, &r.best, ends) {
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

// draw draws the counts of a study of the same trials from the curve.
func (r *Response) draw(doses []Dose, source rand.Source) {
	for i := range doses {
		p := r.Probability(doses[i].At)
		doses[i].Passed = distuv.Binomial{N: math.Round(doses[i].Tried), P: p, Src: source}.Rand()
		doses[i].Tried = math.Round(doses[i].Tried)
	}
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
		if f.groupDeviance(&best, ends) < limit {
			return false
		}
	}
	return true
}

// groups are the ends of groups of neighbouring doses: each has enough of both outcomes, or its
// share of the trials.
func (r *Response) groups() []int {
	total := 0.0
	for _, d := range r.fit.doses {
		total += d.Tried
	}
	var ends []int
	var tried, pass, fail float64
	for i, d := range r.fit.doses {
		p := r.Probability(d.At)
		tried, pass, fail = tried+d.Tried, pass+d.Tried*p, fail+d.Tried*(1-p)
		if pass >= minExpected && fail >= minExpected || tried >= total/minGroups || i == len(r.fit.doses)-1 {
			ends = append(ends, i+1)
			tried, pass, fail = 0, 0, 0
		}
	}
	return ends
}

// groupDeviance is 2 Σ k ln(k/e) + m ln(m/(n−e)) over the groups, with k passes and m failures of n
// trials and e expected passes.
func (f *fit) groupDeviance(t *theta, ends []int) float64 {
	sum, from, slope := 0.0, 0, math.Exp(-t.logSpread)
	for _, to := range ends {
		var passed, failed, pass, fail float64
		for i := from; i < to; i++ {
			d := f.doses[i]
			p, q, _, _ := t.chances((f.scaled[i] - t.at) * slope)
			passed, failed = passed+d.Passed, failed+d.failed()
			pass, fail = pass+d.Tried*p, fail+d.Tried*q
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
	return seen * math.Log(seen/expected)
}
