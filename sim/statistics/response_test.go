package statistics

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	optimise "gonum.org/v1/gonum/optimize" //nolint:misspell // a library's name
	"pgregory.net/rapid"
)

// beetles died of carbon disulphide: Bliss, Annals of Applied Biology 22, 1935; doses in
// log10 of mg/l (from memory, by way of the textbook of Dobson and Barnett on linear models).
func beetles() []Dose {
	return []Dose{
		{1.6907, 59, 6}, {1.7242, 60, 13}, {1.7552, 62, 18}, {1.7842, 56, 28},
		{1.8113, 63, 52}, {1.8369, 59, 53}, {1.8610, 62, 61}, {1.8839, 60, 60},
	}
}

// withoutLapses is the plain probit, with both rates fixed at zero.
func withoutLapses(t *testing.T, doses []Dose) *Response {
	t.Helper()
	f := newFit(doses)
	best := f.climb(theta{deviance: math.Inf(1)}, setOf(naturalParameter)|setOf(lapseParameter))
	return &Response{Median: f.centre + f.unit*best.at, Spread: f.unit * math.Exp(best.logSpread), Deviance: best.deviance, fit: f, best: best}
}

// The published probit line is -34.94 + 19.73 x with standard errors 2.65 and 1.49, and a
// deviance of 10.12 with six degrees of freedom (Dobson and Barnett, from memory).
func TestBeetlesOfBliss(t *testing.T) {
	p := withoutLapses(t, beetles())
	slope := 1 / p.Spread
	assert.InDelta(t, 19.73, slope, 0.005)
	assert.InDelta(t, -34.94, -p.Median*slope, 0.005)
	assert.InDelta(t, 10.12, p.Deviance, 0.005)
	information := p.fit.scoreOf(&p.best).information
	mm, ms, ss := information[0][0], information[0][1], information[1][1]
	spreadError := p.Spread * math.Sqrt(mm/(mm*ss-ms*ms)) // of ln spread by the delta method
	assert.InDelta(t, 1.49, spreadError*slope*slope, 0.005)
}

// A general optimiser, which knows only the likelihood, ends at the same curve. Both rates go
// through a logistic function, so that it stays within their bounds.
func TestFitIsTheLargestLikelihood(t *testing.T) {
	for name, doses := range map[string][]Dose{
		"beetles":  beetles(),
		"lapsing":  {{0.7, 60, 2}, {0.8, 60, 1}, {0.9, 60, 8}, {1, 60, 31}, {1.1, 60, 52}, {1.2, 60, 59}, {1.3, 60, 57}},
		"far off":  {{1e6, 30, 3}, {1e6 + 1, 30, 9}, {1e6 + 2, 30, 22}, {1e6 + 3, 30, 29}},
		"steep":    {{10, 50, 1}, {10.1, 50, 4}, {10.2, 50, 45}, {10.3, 50, 49}},
		"weighted": {{1, 10.5, 0.5}, {2, 7.25, 3.5}, {3, 12, 10.25}, {4, 12, 11.5}},
	} {
		t.Run(name, func(t *testing.T) {
			f := newFit(doses)
			s := bestStep(doses, f.scaled)
			best := f.maximise(&s)
			near := &Response{Median: f.centre + f.unit*best.at, Spread: f.unit * math.Exp(best.logSpread), fit: f}
			assert.InDelta(t, leastDeviance(t, near), best.deviance, 1e-4)
		})
	}
}

// leastDeviance starts a little beside the curve, as the optimiser needs a scale.
func leastDeviance(t *testing.T, near *Response) float64 {
	t.Helper()
	rate := func(x float64) float64 { return maxLapse / (1 + math.Exp(-x)) }
	of := func(x []float64) float64 {
		c := Response{
			Median: near.Median + near.Spread*x[0], Spread: near.Spread * math.Exp(x[1]),
			Natural: rate(x[2]), Lapse: rate(x[3]),
		}
		sum := 0.0
		for _, d := range near.fit.doses {
			p := c.Probability(d.At)
			sum += devianceTerm(d.Passed, d.Tried*p) + devianceTerm(d.failed(), d.Tried*(1-p))
		}
		return 2 * sum
	}
	best := math.Inf(1)
	for _, start := range [][]float64{{0.3, -0.2, -3, -3}, {-0.3, 0.2, -1, -1}, {0, 0, -5, 0}, {0, 0, 0, -5}} {
		settings := &optimise.Settings{Converger: &optimise.FunctionConverge{Absolute: 1e-12, Iterations: 400}}
		result, err := optimise.Minimize(optimise.Problem{Func: of}, start, settings, &optimise.NelderMead{}) //nolint:misspell // a library's name
		require.NoError(t, err)
		best = min(best, result.F)
	}
	return best
}

func (f *fit) devianceOf(t *theta) float64 { return f.devianceInto(t, make([]chance, len(f.doses))) }

// Gradient and expected information are those that differences of the likelihood give.
func TestScoreIsTheDerivative(t *testing.T) {
	f := newFit(beetles())
	at := theta{at: 0.1, logSpread: -0.4, natural: 0.03, lapse: 0.02, z: 0.7}
	s := f.scoreOf(&at)
	for i := range parameters {
		const h = 1e-6
		up, down := at, at
		*up.value(i) += h
		*down.value(i) -= h
		assert.InDelta(t, -(f.devianceOf(&up)-f.devianceOf(&down))/(4*h), s.gradient[i], 1e-5*(1+math.Abs(s.gradient[i])))
		for j := range parameters {
			sum := 0.0
			for k, d := range f.doses {
				chance := func(c *theta) float64 {
					p, _, _, _ := c.chances((f.scaled[k]-c.at)*math.Exp(-c.logSpread) + c.z)
					return p
				}
				by := func(i int) float64 {
					up, down := at, at
					*up.value(i) += h
					*down.value(i) -= h
					return (chance(&up) - chance(&down)) / (2 * h)
				}
				p := chance(&at)
				sum += d.Tried / p / (1 - p) * by(i) * by(j)
			}
			assert.InDelta(t, sum, s.information[i][j], 1e-5*(1+math.Abs(sum)))
		}
	}
}

// At both ends of an interval, the best curve with that value deviates by 3.84 more than the best
// one: the 95 % quantile of chi squared with one degree of freedom.
func TestEndsOfAProfile(t *testing.T) {
	r, err := FitResponse([]Dose{{0.7, 60, 2}, {0.8, 60, 1}, {0.9, 60, 8}, {1, 60, 31}, {1.1, 60, 52}, {1.2, 60, 59}, {1.3, 60, 57}})
	require.NoError(t, err)
	for parameter := range parameters {
		i := r.profile(r.best, parameter, 0.95)
		estimate := *r.best.value(parameter)
		require.Less(t, i.Low, estimate)
		require.Greater(t, i.High, estimate)
		for _, end := range []float64{i.Low, i.High} {
			if low, high := bounds(parameter); end == low || end == high {
				continue
			}
			best := math.Inf(1)
			for _, factor := range []float64{-1, -0.3, 0, 0.3, 1} { // from anywhere near
				start := r.best
				*start.value(parameter) = end
				if parameter != spreadParameter {
					start.logSpread += factor
				} else {
					start.at += factor / 3
				}
				best = min(best, r.fit.climb(start, setOf(parameter)).deviance)
			}
			assert.InDelta(t, 3.8415, best-r.best.deviance, 2e-3, "parameter %d at %g", parameter, end)
		}
	}
}

// Two refusals far above the median, for another reason than the dose, leave median and spread as
// they are; in a plain probit the spread grows several times over.
func TestLapsesDoNotFlattenTheCurve(t *testing.T) {
	var doses []Dose
	truth := Response{Median: 0.986, Spread: 0.009}
	for x := 0.7; x < 1.6; x += 0.005 {
		doses = append(doses, Dose{x, 10, math.Round(10 * truth.Probability(x))})
	}
	sound, err := FitResponse(doses)
	require.NoError(t, err)
	assert.InDelta(t, 0.009, sound.Spread, 0.001)
	doses[132].Passed-- // at 1.36
	doses[148].Passed-- // at 1.44
	lapsed, err := FitResponse(doses)
	require.NoError(t, err)
	assert.InDelta(t, sound.Spread, lapsed.Spread, 0.1*sound.Spread)
	assert.InDelta(t, sound.Median, lapsed.Median, 0.1*sound.Spread)
	assert.InDelta(t, 2.0/1230, lapsed.Lapse, 0.0002)
	assert.Greater(t, withoutLapses(t, doses).Spread, 4*sound.Spread)
}

func TestQuantileIsTheInverseWithoutLapses(t *testing.T) {
	r := Response{Median: 2, Spread: 0.5, Natural: 0.01, Lapse: 0.02}
	for _, p := range []float64{1e-6, 0.05, 0.5, 0.95, 1 - 1e-6} {
		assert.InDelta(t, 0.01+0.97*p, r.Probability(r.Quantile(p)), 1e-12)
	}
	for _, p := range []float64{-0.1, 0, 1, 1.1, math.NaN()} {
		assert.True(t, math.IsNaN(r.Quantile(p)), "%g", p)
	}
}

func TestWhatHasNoCurve(t *testing.T) {
	flat := &NoFitError{"the counts do not show that the curve rises"}
	for _, c := range []struct {
		name  string
		doses []Dose
		want  error
	}{
		{"nothing tried", nil, &NoFitError{"there are no trials"}},
		{"empty doses", []Dose{{1, 0, 0}, {2, 0, 0}}, &NoFitError{"there are no trials"}},
		{"nothing passed", []Dose{{1, 5, 0}, {2, 5, 0}}, &OneOutcomeError{false, 1, 2}},
		{"everything passed", []Dose{{1, 5, 5}, {2, 5, 5}}, &OneOutcomeError{true, 1, 2}},
		{"one place", []Dose{{1, 5, 2}, {1, 5, 3}}, &NoFitError{"all trials are at 1"}},
		{"a step", []Dose{{1, 5, 0}, {2, 5, 0}, {3, 5, 5}}, &SeparatedError{2, 3, 0, 0}},
		{"a step at a place", []Dose{{1, 5, 0}, {2, 5, 3}, {3, 5, 5}}, &SeparatedError{1, 3, 0, 0}},
		{"a step with lapses", []Dose{{1, 50, 1}, {2, 50, 0}, {3, 50, 50}, {4, 50, 48}}, &SeparatedError{2, 3, 1, 2}},
		{"half of them whatever the dose", []Dose{{1, 50, 0}, {2, 50, 0}, {3, 50, 25}, {4, 50, 25}}, &LapseError{}},
		{"a step at the first place", []Dose{{2, 50, 25}, {3, 50, 50}}, &NoFitError{"all above 2 passed, and there are no trials below it"}},
		{"a step at the last place", []Dose{{2, 50, 0}, {3, 50, 25}}, &NoFitError{"all below 3 failed, and there are no trials above it"}},
		{"a step down", []Dose{{1, 5, 5}, {2, 5, 0}}, flat},
		{"falling", []Dose{{1, 5, 4}, {2, 5, 3}, {3, 5, 1}}, flat},
		{"level", []Dose{{1, 4, 2}, {2, 4, 2}}, flat},
		{"hardly rising", []Dose{{1, 40, 20}, {2, 40, 21}}, flat},
		{"more passed than tried", []Dose{{1, 5, 6}}, &NoFitError{"6 of 5 trials passed at 1"}},
		{"no number", []Dose{{math.NaN(), 5, 3}}, &NoFitError{"3 of 5 trials passed at NaN"}},
		{"too far apart", []Dose{{-1e308, 5, 2}, {1e308, 5, 3}}, &NoFitError{"the precision of numbers is not sufficient for these doses and counts"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := FitResponse(c.doses)
			assert.Equal(t, c.want, err)
			assert.NotEmpty(t, err.Error())
		})
	}
}

// Whatever is tried, there is a curve of finite numbers or one of the errors, the same for every
// order and every way of splitting the doses, and no step is better than it.
func TestFitsDoNotDependOnOrderOrSplitting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		doses := drawDoses(t)
		r, err := FitResponse(doses)
		turned := slices.Clone(doses)
		slices.Reverse(turned)
		other, otherErr := FitResponse(turned)
		split, splitErr := FitResponse(splitUp(t, doses))
		assert.Equal(t, err, otherErr)
		assert.Equal(t, err, splitErr)
		if err != nil {
			return
		}
		for _, v := range []float64{r.Median, r.Spread, r.Deviance} {
			assert.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%+v", r)
		}
		assert.Positive(t, r.Spread)
		assert.GreaterOrEqual(t, min(r.Natural, r.Lapse), 0.0)
		assert.Less(t, r.Deviance, r.step.deviance)
		assertContains(t, r.QuantileInterval(0.5, 0.95), r.Median)
		assertContains(t, r.QuantileInterval(0.01, 0.95), r.Quantile(0.01))
		assertContains(t, r.SpreadInterval(0.95), r.Spread)
		assertContains(t, r.NaturalInterval(0.95), r.Natural)
		assertContains(t, r.LapseInterval(0.95), r.Lapse)
		assert.Equal(t, r, other)
		assert.InDelta(t, r.Deviance, split.Deviance, 1e-6)
	})
}

// assertContains fails for an interval without a number as well.
func assertContains(t *rapid.T, i Interval, estimate float64) {
	assert.LessOrEqual(t, i.Low, estimate*(1+1e-9))
	assert.GreaterOrEqual(t, i.High, estimate*(1-1e-9))
}

// A curve in millimetres and one in metres, from one end or the other, are the same curve.
func TestFitsTurnWithTheUnit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		doses := drawDoses(t)
		unit := math.Pow(10, rapid.Float64Range(-100, 100).Draw(t, "unit"))
		offset := unit * rapid.Float64Range(-100, 100).Draw(t, "offset")
		r, err := FitResponse(doses)
		for i := range doses {
			doses[i].At = offset + unit*doses[i].At
		}
		other, otherErr := FitResponse(doses)
		assert.Equal(t, fmt.Sprintf("%T", err), fmt.Sprintf("%T", otherErr))
		if err != nil || otherErr != nil {
			return
		}
		assert.InDelta(t, r.Deviance, other.Deviance, 1e-5)
	})
}

// Doses of any numbers give a curve of numbers or an error.
func TestAnyNumbersAreTaken(t *testing.T) {
	number := rapid.OneOf(rapid.Float64(), rapid.Float64Range(0, 9), rapid.SampledFrom([]float64{0, 1, math.Inf(1), math.NaN(), 1e300, 1e-300}))
	rapid.Check(t, func(t *rapid.T) {
		doses := make([]Dose, rapid.IntRange(0, 6).Draw(t, "doses"))
		for i := range doses {
			tried := number.Draw(t, "tried")
			doses[i] = Dose{number.Draw(t, "at"), tried, tried * rapid.Float64Range(0, 1).Draw(t, "share")}
		}
		r, err := FitResponse(doses)
		if err != nil {
			assert.Nil(t, r)
			return
		}
		for _, v := range []float64{r.Median, r.Spread, r.Deviance} {
			assert.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%+v", r)
		}
	})
}

// The curve is refused where it does not go through the counts: half of the brakes of a range
// proven whatever their torque is no curve of this shape.
func TestGoodnessOfAnotherShape(t *testing.T) {
	var doses []Dose
	for x := 0.7; x < 1.6; x += 0.01 {
		passed := 0.0
		switch {
		case x > 1.2:
			passed = 10
		case x > 0.95:
			passed = 5
		}
		doses = append(doses, Dose{x, 10, passed})
	}
	r, err := FitResponse(doses)
	require.NoError(t, err)
	assert.LessOrEqual(t, r.Goodness(drawnBy(1)).PValue, 0.002)
}

func drawDoses(t *rapid.T) []Dose {
	doses := make([]Dose, rapid.IntRange(0, 9).Draw(t, "doses"))
	for i := range doses {
		tried := rapid.IntRange(0, 40).Draw(t, "tried")
		passed := rapid.IntRange(0, tried).Draw(t, "passed")
		doses[i] = Dose{float64(rapid.IntRange(-4, 4).Draw(t, "at")), float64(tried), float64(passed)}
	}
	return doses
}

// splitUp takes one try out of each dose into a dose of its own.
func splitUp(t *rapid.T, doses []Dose) []Dose {
	var split []Dose
	for _, d := range doses {
		if d.Passed > 0 && rapid.Bool().Draw(t, "split") {
			split = append(split, Dose{d.At, 1, 1})
			d.Tried, d.Passed = d.Tried-1, d.Passed-1
		}
		split = append(split, d)
	}
	return split
}

func drawnBy(seed uint64) rand.Source { return rand.NewPCG(seed, 0) }
