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
	"gonum.org/v1/gonum/stat/distuv"
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

// The published probit line is -34.94 + 19.73 x with standard errors 2.65 and 1.49, and a
// deviance of 10.12 with six degrees of freedom (Dobson and Barnett, from memory).
func TestBeetlesOfBliss(t *testing.T) {
	p, err := FitProbit(beetles())
	require.NoError(t, err)
	slope := 1 / p.Spread
	assert.InDelta(t, 19.73, slope, 0.005)
	assert.InDelta(t, -34.94, -p.Median*slope, 0.005)
	assert.InDelta(t, 1.49, p.SpreadError*slope*slope, 0.005)
	assert.InDelta(t, 10.12, p.Deviance, 0.005)
	assert.Equal(t, 6, p.DegreesOfFreedom)

	// The constant is where the line meets 0: its error is that of height/slope there, and is
	// published too. var(-m/s) by the delta method from what Probit holds.
	dm, ds := -slope, p.Median*slope*slope
	constant := math.Sqrt(dm*dm*p.MedianError*p.MedianError + 2*dm*ds*p.covariance + ds*ds*p.SpreadError*p.SpreadError)
	assert.InDelta(t, 2.65, constant, 0.005)
}

// A general optimiser, which knows only the likelihood, ends at the same curve.
func TestFitIsTheLargestLikelihood(t *testing.T) {
	for name, doses := range map[string][]Dose{
		"beetles":  beetles(),
		"steep":    {{10, 50, 0}, {10.1, 50, 1}, {10.2, 50, 49}, {10.3, 50, 50}},
		"flat":     {{0, 40, 12}, {5, 40, 18}, {10, 40, 17}, {15, 40, 25}},
		"far off":  {{1e6, 30, 3}, {1e6 + 1, 30, 9}, {1e6 + 2, 30, 22}, {1e6 + 3, 30, 29}},
		"overshot": {{-3, 5, 2}, {2, 54, 5}, {3, 64, 64}, {4, 9, 9}}, // a full step leads down
		"weighted": {{1, 10.5, 0.5}, {2, 7.25, 3.5}, {3, 12, 11.25}},
	} {
		t.Run(name, func(t *testing.T) {
			p, err := FitProbit(doses)
			require.NoError(t, err)
			median, spread := likeliest(t, doses, p)
			assert.InDelta(t, median, p.Median, 1e-5*p.Spread)
			assert.InDelta(t, spread, p.Spread, 1e-5*p.Spread)
		})
	}
}

// likeliest starts a little beside the curve, as the optimiser needs a scale.
func likeliest(t *testing.T, doses []Dose, near Probit) (median, spread float64) {
	t.Helper()
	at := func(x []float64) (m, s float64) { return near.Median + near.Spread*x[0], near.Spread * math.Exp(x[1]) }
	problem := optimise.Problem{Func: func(x []float64) float64 {
		m, s := at(x)
		sum := 0.0
		for _, d := range doses {
			z := (d.At - m) / s
			if d.Passed > 0 {
				sum -= d.Passed * math.Log(distuv.UnitNormal.CDF(z))
			}
			if d.Tried > d.Passed {
				sum -= (d.Tried - d.Passed) * math.Log(distuv.UnitNormal.CDF(-z))
			}
		}
		return sum
	}}
	settings := &optimise.Settings{Converger: &optimise.FunctionConverge{Absolute: 1e-14, Iterations: 200}}
	result, err := optimise.Minimize(problem, []float64{0.3, -0.2}, settings, &optimise.NelderMead{}) //nolint:misspell // a library's name
	require.NoError(t, err)
	return at(result.X)
}

// The errors are those of the information that the doses hold, Σ n/(pq) ∂p/∂θ ∂p/∂θ', taken by
// differences: also where the median lies far beside the doses.
func TestErrorsAreThoseOfTheInformation(t *testing.T) {
	for name, doses := range map[string][]Dose{
		"beetles": beetles(),
		"beside":  {{1, 400, 1}, {2, 400, 3}, {3, 400, 12}, {4, 400, 25}},
	} {
		t.Run(name, func(t *testing.T) {
			p, err := FitProbit(doses)
			require.NoError(t, err)
			var mm, ms, ss float64
			for _, d := range doses {
				h := 1e-5 * p.Spread
				chance := func(median, spread float64) float64 {
					return Probit{Median: median, Spread: spread}.Probability(d.At)
				}
				dm := (chance(p.Median+h, p.Spread) - chance(p.Median-h, p.Spread)) / (2 * h)
				ds := (chance(p.Median, p.Spread+h) - chance(p.Median, p.Spread-h)) / (2 * h)
				weight := d.Tried / (p.Probability(d.At) * (1 - p.Probability(d.At)))
				mm, ms, ss = mm+weight*dm*dm, ms+weight*dm*ds, ss+weight*ds*ds
			}
			determinant := mm*ss - ms*ms
			assert.InEpsilon(t, math.Sqrt(ss/determinant), p.MedianError, 1e-6)
			assert.InEpsilon(t, math.Sqrt(mm/determinant), p.SpreadError, 1e-6)
			assert.InEpsilon(t, -ms/determinant, p.covariance, 1e-6)
		})
	}
}

// Standard errors are the spread of fits over many series of tries, and the
// deviance of a sound curve is above the chi squared of one in ten as often as that.
func TestErrorsAreTheSpreadOfManyFits(t *testing.T) {
	const series = 600
	source := rand.NewPCG(1, 1)
	var medians, nineties []float64
	var wantMedian, wantNinety, mistrusted float64
	for range series {
		p, err := FitProbit(drawn(source, 5, 0.7, 200))
		require.NoError(t, err)
		ninety, ninetyError := p.Quantile(0.9)
		medians, nineties = append(medians, p.Median), append(nineties, ninety)
		wantMedian += p.MedianError / series
		wantNinety += ninetyError / series
		if p.Deviance > (distuv.ChiSquared{K: float64(p.DegreesOfFreedom)}).Quantile(0.9) {
			mistrusted++
		}
	}
	assert.InEpsilon(t, wantMedian, deviation(medians), 0.1)
	assert.InEpsilon(t, wantNinety, deviation(nineties), 0.1)
	assert.InDelta(t, 0.1, mistrusted/series, 0.04)
}

func drawn(source rand.Source, median, spread, tries float64) []Dose {
	var doses []Dose
	for x := 3.8; x < 6.3; x += 0.4 {
		chance := distuv.UnitNormal.CDF((x - median) / spread)
		doses = append(doses, Dose{x, tries, distuv.Binomial{N: tries, P: chance, Src: source}.Rand()})
	}
	return doses
}

func deviation(values []float64) float64 {
	var mean, sum float64
	for _, v := range values {
		mean += v / float64(len(values))
	}
	for _, v := range values {
		sum += (v - mean) * (v - mean)
	}
	return math.Sqrt(sum / float64(len(values)-1))
}

func TestPlaceIsTheInverseOfChance(t *testing.T) {
	p, err := FitProbit(beetles())
	require.NoError(t, err)
	for _, chance := range []float64{1e-6, 0.05, 0.5, 0.95, 1 - 1e-6} {
		x, standardError := p.Quantile(chance)
		assert.InDelta(t, chance, p.Probability(x), 1e-12)
		assert.Positive(t, standardError)
	}
	x, standardError := p.Quantile(0.5)
	assert.Equal(t, p.Median, x)
	assert.InDelta(t, p.MedianError, standardError, 1e-15)
	for _, chance := range []float64{-0.1, 0, 1, 1.1, math.NaN()} {
		x, _ := p.Quantile(chance)
		assert.True(t, math.IsNaN(x), "%g", chance)
	}
}

func TestWhatHasNoCurve(t *testing.T) {
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
		{"a step", []Dose{{1, 5, 0}, {2, 5, 0}, {3, 5, 5}}, &SeparatedError{2, 3}},
		{"a step at a place", []Dose{{1, 5, 0}, {2, 5, 3}, {3, 5, 5}}, &SeparatedError{1, 3}},
		{"a step at the first place", []Dose{{2, 5, 3}, {3, 5, 5}}, &NoFitError{"all above 2 passed, and there are no trials below it"}},
		{"a step at the last place", []Dose{{2, 5, 0}, {3, 5, 2}}, &NoFitError{"all below 3 failed, and there are no trials above it"}},
		{"a step down", []Dose{{1, 5, 5}, {2, 5, 0}}, &NoFitError{"the curve falls: none passed above 2"}},
		{"falling", []Dose{{1, 5, 4}, {2, 5, 3}, {3, 5, 1}}, &NoFitError{"the curve does not rise"}},
		{"level", []Dose{{1, 4, 2}, {2, 4, 2}}, &NoFitError{"the curve does not rise"}},
		{"more passed than tried", []Dose{{1, 5, 6}}, &NoFitError{"6 of 5 trials passed at 1"}},
		{"no number", []Dose{{math.NaN(), 5, 3}}, &NoFitError{"3 of 5 trials passed at NaN"}},
		{"level but for rounding", []Dose{{0.1, 3, 1}, {0.2, 3, 1}, {0.7, 3, 1}}, &NoFitError{"the curve does not rise"}},
		{"too far apart", []Dose{{-1e308, 5, 2}, {1e308, 5, 3}}, &NoFitError{"the precision of numbers is not sufficient for these doses and counts"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := FitProbit(c.doses)
			assert.Equal(t, c.want, err)
			assert.NotEmpty(t, err.Error())
		})
	}
}

// Whatever is tried, there is a curve of finite numbers or one of the errors, the same for every
// order and every way of splitting the doses.
func TestFitsDoNotDependOnOrderOrSplitting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		doses := drawDoses(t)
		p, err := FitProbit(doses)
		turned := slices.Clone(doses)
		slices.Reverse(turned)
		other, otherErr := FitProbit(turned)
		split, splitErr := FitProbit(splitUp(t, doses))
		assert.Equal(t, err, otherErr)
		assert.Equal(t, err, splitErr)
		if err != nil {
			return
		}
		for _, v := range []float64{p.Median, p.MedianError, p.SpreadError, p.Deviance} {
			assert.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%+v", p)
		}
		assert.Positive(t, p.Spread)
		assert.Less(t, downhill(doses, p), 1e-6)
		assert.Equal(t, p, other)
		assert.InDelta(t, p.Median, split.Median, 1e-9*p.MedianError)
		assert.InDelta(t, p.Spread, split.Spread, 1e-9*p.SpreadError)
		assert.Equal(t, p.DegreesOfFreedom, split.DegreesOfFreedom)
	})
}

// A curve in millimetres and one in metres, from one end or the other, are the same curve.
func TestFitsTurnWithTheUnit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		doses := drawDoses(t)
		unit := math.Pow(10, rapid.Float64Range(-100, 100).Draw(t, "unit"))
		offset := unit * rapid.Float64Range(-100, 100).Draw(t, "offset")
		p, err := FitProbit(doses)
		for i := range doses {
			doses[i].At = offset + unit*doses[i].At
		}
		other, otherErr := FitProbit(doses)
		assert.Equal(t, fmt.Sprintf("%T", err), fmt.Sprintf("%T", otherErr))
		if err != nil {
			return
		}
		assert.InDelta(t, p.Median, (other.Median-offset)/unit, 1e-6*p.MedianError)
		assert.InEpsilon(t, p.Spread, other.Spread/unit, 1e-6)
		assert.InEpsilon(t, p.MedianError, other.MedianError/unit, 1e-6)
		assert.InEpsilon(t, p.SpreadError, other.SpreadError/unit, 1e-6)
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
		p, err := FitProbit(doses)
		if err != nil {
			assert.Zero(t, p)
			return
		}
		for _, v := range []float64{p.Median, p.Spread, p.MedianError, p.SpreadError, p.Deviance} {
			assert.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%+v", p)
		}
	})
}

// downhill is how far the likelihood still rises from a curve, in standard errors: nothing at the top.
func downhill(doses []Dose, p Probit) float64 {
	var height, slope, weight float64
	for _, d := range doses {
		z := (d.At - p.Median) / p.Spread
		chance, density := distuv.UnitNormal.CDF(z), distuv.UnitNormal.Prob(z)
		pull := density * (d.Passed - d.Tried*chance) / (chance * distuv.UnitNormal.CDF(-z))
		height, slope = height+pull, slope+pull*z
		weight += d.Tried
	}
	return math.Hypot(height, slope) / math.Sqrt(weight)
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

// A place far out that agrees with the curve changes nothing, and does not upset the numbers.
func TestPlacesFarOutDoNoHarm(t *testing.T) {
	p, err := FitProbit(beetles())
	require.NoError(t, err)
	far, err := FitProbit(append(beetles(), Dose{100, 50, 50}, Dose{-100, 50, 0}))
	require.NoError(t, err)
	assert.InDelta(t, p.Median, far.Median, 1e-6*p.Spread)
	assert.InDelta(t, p.Spread, far.Spread, 1e-6*p.Spread)
	assert.InDelta(t, p.MedianError, far.MedianError, 1e-6*p.Spread)
}
