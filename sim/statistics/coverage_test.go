package statistics

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

// study is a test of brakes whose response is known: at each of the doses as many trials.
type study struct {
	truth          Response
	from, to, step float64
	trials         float64
}

// drawn is one study, drawn from a source.
func (s *study) drawn(source rand.Source) []Dose {
	var doses []Dose
	for x := s.from; x < s.to; x += s.step {
		passed := distuv.Binomial{N: s.trials, P: s.truth.Probability(x), Src: source}.Rand()
		doses = append(doses, Dose{x, s.trials, passed})
	}
	return doses
}

func lapsing() study {
	return study{
		truth: Response{Median: 0.986, Spread: 0.03, Natural: 0.02, Lapse: 0.03},
		from:  0.7, to: 1.6, step: 0.02, trials: 30,
	}
}

// repeats is the number of studies, and how far a share of them may be from its expectation: 2 %
// of 1,000, which is 2.9 standard deviations of a binomial at 95 %, and as many of fewer. The short
// loop has an eighth.
func repeats(usual int) (n int, tolerance float64) {
	n = usual
	if testing.Short() {
		n = usual / 8
	}
	return n, 0.02 * math.Sqrt(1000/float64(n))
}

// steep is a study as thin in the rise as a usual sweep: 900 runs over 0.9, of which some forty
// lie within two deviations of the median.
func steep() study {
	return study{
		truth: Response{Median: 0.986, Spread: 0.009, Lapse: 0.01},
		from:  0.7, to: 1.6, step: 0.003, trials: 3,
	}
}

// The 95 % intervals contain the truth in 95 % of 600 studies, within 2.9 standard deviations: of mean, deviation,
// of both lapse rates, and of the quantiles that a sweep prints.
func TestIntervalsCoverTheTruth(t *testing.T) {
	t.Parallel()
	n, tolerance := repeats(600)
	for name, share := range coveredShares(t, lapsing(), n) {
		t.Logf("%s: %.1f %%", name, 100*share)
		require.InDelta(t, 0.95, share, tolerance, name)
	}
}

// Profile likelihood is exact for many trials only. In a study as thin in the rise as a usual sweep,
// the 95 % intervals contain the truth in at least 92 %, less 2.9 deviations of a binomial of 100.
func TestIntervalsOfAThinStudy(t *testing.T) {
	t.Parallel()
	n, _ := repeats(100)
	for name, share := range coveredShares(t, steep(), n) {
		t.Logf("%s: %.1f %%", name, 100*share)
		require.Greater(t, share, 0.92-2.9*math.Sqrt(0.92*0.08/float64(n)), name)
	}
}

// coveredShares is the share of studies whose intervals contain the truth, of those with a curve.
func coveredShares(t *testing.T, s study, n int) map[string]float64 {
	t.Helper()
	source := rand.NewPCG(14, 5)
	covered, fitted := map[string]int{}, 0
	for range n {
		r, err := FitResponse(s.drawn(source))
		if err != nil { // a step, in a few of the thin ones
			continue
		}
		fitted++
		s.cover(r, covered)
	}
	require.Greater(t, float64(fitted), 0.95*float64(n))
	shares := map[string]float64{}
	for name, count := range covered {
		shares[name] = float64(count) / float64(fitted)
	}
	require.Len(t, shares, 6)
	return shares
}

// cover counts the intervals that contain the truth.
func (s *study) cover(r *Response, covered map[string]int) {
	for name, c := range map[string]struct {
		truth    float64
		interval Interval
	}{
		"median":  {s.truth.Median, r.QuantileInterval(0.5, 0.95)},
		"spread":  {s.truth.Spread, r.SpreadInterval(0.95)},
		"natural": {s.truth.Natural, r.NaturalInterval(0.95)},
		"lapse":   {s.truth.Lapse, r.LapseInterval(0.95)},
		"1 %":     {s.truth.Quantile(0.01), r.QuantileInterval(0.01, 0.95)},
		"99 %":    {s.truth.Quantile(0.99), r.QuantileInterval(0.99, 0.95)},
	} {
		if c.interval.Low <= c.truth && c.truth <= c.interval.High {
			covered[name]++
		}
	}
}

// A sound curve is refused at 5 % and at 1 % as often as that.
func TestGoodnessOfASoundCurve(t *testing.T) {
	t.Parallel()
	s := lapsing()
	n, _ := repeats(200)
	source := rand.NewPCG(14, 6)
	five, one := 0, 0
	for i := range n {
		r, err := FitResponse(s.drawn(source))
		require.NoError(t, err)
		p := r.Goodness(rand.NewPCG(uint64(i), 7)).PValue
		if p <= 0.05 {
			five++
		}
		if p <= 0.01 {
			one++
		}
	}
	t.Logf("%d at 5 %%, %d at 1 %% of %d", five, one, n)
	require.InDelta(t, 0.05*float64(n), five, 4*math.Sqrt(0.05*0.95*float64(n)))
	require.LessOrEqual(t, float64(one), 0.01*float64(n)+4*math.Sqrt(0.01*0.99*float64(n)))
}
