package identify

import (
	"context"
	"fmt"
	"math"

	"holdbench/plant/identify/leastsquares"
)

// fitted is a solved model.
type fitted struct {
	m      *model
	p, x   []float64 // at the point: as fitted, and without logarithms
	result leastsquares.Result
	place  map[int]int    // of a value among the estimates of the result
	factor [parts]float64 // by which the residuals exceed the noise of the samples
}

// leastFreedom is of how many rows beyond its values a part must consist to tell its own noise.
const leastFreedom = 8

// solve fits part by part, so that a part that starts far off does not draw the others away, and then
// all together twice: with weights by the noise at standstill, and with each part weighted by its own
// residuals, which holds where the noise in motion is another one. What remains is near 1 for a right model.
func (m *model) solve(ctx context.Context) (*fitted, error) {
	f := &fitted{m: m, p: m.startPoint()}
	m.observe(f.p)
	values := 0
	for _, n := range m.used() {
		values += n
	}
	if values == 0 || len(m.rows) <= values {
		return nil, fmt.Errorf("the pieces give %d measured values for %d unknown ones; must be more, from longer pieces or more of them", len(m.rows), values)
	}
	for _, alone := range []part{ofMotion, ofPress, ofStop} {
		f.factor = [parts]float64{ofKnown: 1}
		f.factor[alone] = 1
		if m.count(alone) <= m.used()[alone] {
			continue
		}
		if err := f.fit(ctx, leastsquares.Forward); err != nil {
			return nil, err
		}
	}
	f.factor = [parts]float64{1, 1, 1, 1}
	for range 2 {
		f.weigh()
		if err := f.fit(ctx, leastsquares.Central); err != nil {
			return nil, err
		}
	}
	f.x = m.full(f.p)
	return f, nil
}

// fit goes on from the present point.
func (f *fitted) fit(ctx context.Context, d leastsquares.Differences) error {
	m := f.m
	m.observe(f.p)
	problem, fitted := m.problem(f.p, f.factor)
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

// weigh finds the factor of each part from its residuals.
func (f *fitted) weigh() {
	var squares [parts]float64
	predicted := make([]float64, len(f.m.rows))
	f.m.predict(predicted, f.p)
	for i, r := range f.m.rows {
		e := (predicted[i] - r.observed) / max(r.sigma, tiny)
		squares[r.part] += e * e
	}
	for of, used := range f.m.used() {
		if n := f.m.count(part(of)) - used; n >= leastFreedom {
			f.factor[of] = math.Sqrt(squares[of] / float64(n))
		}
	}
	f.factor[ofKnown] = 1
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
