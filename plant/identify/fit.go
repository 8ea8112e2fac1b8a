package identify

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"holdbench/plant/identify/leastsquares"
)

// fitted is a solved model.
type fitted struct {
	m       *model
	p, x    []float64 // at the point: as fitted, and without logarithms
	result  leastsquares.Result
	place   map[int]int     // of a value among the estimates of the result
	freedom [groups]float64 // of the residuals by which the factors are known
	factor  [groups]float64 // by which the residuals exceed the noise of the samples
}

// leastFreedom is of how many rows beyond its values a part must consist to tell its own noise.
const leastFreedom = 8

// rareRatio is the probability below which a ratio of two variances is not that of one.
const rareRatio = 0.005

// solve fits part by part, so that a part that starts far off does not draw the others away, and then
// all together twice: with weights by the noise at standstill, and with each group of rows weighted by its own
// residuals, which holds where the noise in motion is another one. What remains is near 1 for a right model.
func (m *model) solve(ctx context.Context) (*fitted, error) {
	f := &fitted{m: m, p: m.startPoint(), factor: [groups]float64{1, 1, 1, 1, 1, 1}}
	m.observe(f.p)
	values := 0
	for _, n := range m.used() {
		values += n
	}
	if values == 0 || len(m.rows) <= values {
		return nil, fmt.Errorf("the pieces give %d measured values for %d unknown ones; must be more, from longer pieces or more of them", len(m.rows), values)
	}
	for _, alone := range []part{ofMotion, ofPress, ofStop} {
		use := [parts]bool{ofKnown: true}
		use[alone] = true
		if m.count(alone) <= m.used()[alone] {
			continue
		}
		if err := f.fit(ctx, use, leastsquares.Forward); err != nil {
			return nil, err
		}
	}
	for range 2 {
		f.weigh()
		if err := f.fit(ctx, [parts]bool{true, true, true, true}, leastsquares.Central); err != nil {
			return nil, err
		}
	}
	f.x = m.full(f.p)
	return f, nil
}

// fit goes on from the present point.
func (f *fitted) fit(ctx context.Context, use [parts]bool, d leastsquares.Differences) error {
	m := f.m
	m.observe(f.p)
	problem, fitted := m.problem(f.p, use, f.factor)
	var err error
	f.result, err = leastsquares.Fit(ctx, problem, leastsquares.Settings{Differences: d, Reduction: 1e-8, Step: 1e-8})
	if err != nil {
		return err
	}
	f.place = map[int]int{}
	for n, i := range fitted {
		f.p[i], f.place[i] = f.result.Estimates[n].Value, n
	}
	return nil
}

// weigh finds the factor of each group from its residuals, with the values that it mainly determines as lost degrees
// of freedom.
func (f *fitted) weigh() {
	squares, freedom := f.squares()
	for of := range inKnown {
		if freedom[of] >= leastFreedom {
			f.factor[of] = math.Sqrt(squares[of] / freedom[of])
		}
	}
	if n := freedom[inTravel] + freedom[inAcceleration]; n >= leastFreedom && !f.differ(freedom) {
		both := math.Sqrt((squares[inTravel] + squares[inAcceleration]) / n)
		f.factor[inTravel], f.factor[inAcceleration] = both, both
		freedom[inTravel], freedom[inAcceleration] = n, n
	}
	f.freedom = freedom
}

// differ is whether the deviations in acceleration and in travel are two: their ratio would be rare if they were one,
// by the F test. Source: any text on statistics.
func (f *fitted) differ(freedom [groups]float64) bool {
	d1, d2 := freedom[inAcceleration], freedom[inTravel]
	if d1 < leastFreedom || d2 < leastFreedom || f.factor[inTravel] == 0 {
		return false
	}
	ratio := f.factor[inAcceleration] / f.factor[inTravel]
	p := distuv.F{D1: d1, D2: d2}.CDF(ratio * ratio)
	return min(p, 1-p) < rareRatio
}

// squares are the sums of squares of the residuals over the noise of the samples and the degrees of freedom.
func (f *fitted) squares() (squares, freedom [groups]float64) {
	predicted := make([]float64, len(f.m.rows))
	f.m.predict(predicted, f.p)
	for i, r := range f.m.rows {
		if r.rough {
			continue
		}
		e := (predicted[i] - r.observed) / max(r.sigma, tiny)
		squares[r.group] += e * e
		freedom[r.group]++
	}
	for i := range f.m.unknowns {
		if f.m.unknowns[i].free {
			freedom[f.m.groupOf(i)]--
		}
	}
	return squares, freedom
}

// count is the number of rows of a part.
func (m *model) count(of part) int {
	n := 0
	for i := range m.rows {
		if m.rows[i].part == of {
			n++
		}
	}
	return n
}

// used is the number of values that each part mainly determines.
func (m *model) used() [parts]int {
	var n [parts]int
	for _, u := range m.unknowns {
		if u.free {
			n[u.part]++
		}
	}
	return n
}

// standardError is that of a fitted value, NaN if it is not told.
func (f *fitted) standardError(i int) float64 {
	n, ok := f.place[i]
	if !ok {
		return math.NaN()
	}
	return f.result.Estimates[n].StandardError
}

// covariance is that of two fitted values.
func (f *fitted) covariance(i, j int) float64 {
	return f.correlation(i, j) * f.standardError(i) * f.standardError(j)
}

func (f *fitted) correlation(i, j int) float64 {
	a, ok := f.place[i]
	b, also := f.place[j]
	if !ok || !also {
		return math.NaN()
	}
	return f.result.Correlation.At(a, b)
}
