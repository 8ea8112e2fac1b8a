package sweep

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"holdbench/sim"
	"holdbench/sim/statistics"
)

// Summary is what a sweep tells, in the shape in which it is written as JSON.
type Summary struct {
	Head
	Done   int  `json:"done"` // runs that were summed up
	Whole  bool `json:"whole"`
	Enough bool `json:"enough"` // the intervals were narrow enough before the last run

	Missed     Rate `json:"missed"`       // proofs, of brakes that are not fit or do not hold
	FalseAlarm Rate `json:"false_alarms"` // no proof, of fit brakes with nothing else wrong

	Classes  []Count `json:"classes"`
	Causes   []Cause `json:"causes"` // of runs without a proof
	Examples []Runs  `json:"examples"`
	Broken   int     `json:"broken"` // runs that broke an obligation

	MeanS      float64 `json:"mean_s"` // duration
	LongestS   float64 `json:"longest_s"`
	LoadDropMM float64 `json:"load_drop_mm"` // the most

	Curve   []Point  `json:"curve"`
	Fit     *Fit     `json:"fit"`    // null if there is none
	NoFit   string   `json:"no_fit"` // why there is none
	Effects []Effect `json:"effects"`
	Map     []Cell   `json:"map"`
	Rarity  *Rare    `json:"rarity"`
}

// Count is how many runs came out as something.
type Count struct {
	Class sim.Class `json:"class"`
	Runs  int       `json:"runs"`
}

// Cause is why there was no proof.
type Cause struct {
	Class string `json:"class"`
	Cause string `json:"cause"`
	Runs  int    `json:"runs"`
}

// Runs are some runs of a class, for whoever wants to look at one.
type Runs struct {
	Class sim.Class `json:"class"`
	Runs  []Example `json:"runs"`
}

// Example is all that it takes to have a run again.
type Example struct {
	Run    int      `json:"run"`
	Seed   uint64   `json:"seed"`
	Values []string `json:"values"` // of the columns
}

// Point of the operating curve: how many were proven of those whose capacity over the required
// torque lies in [From, To).
type Point struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
	Mean float64 `json:"mean"`
	Rate
}

// Fit is the operating curve as a cumulative normal distribution over the ratio of capacity to
// required torque.
type Fit struct {
	Median      float64 `json:"median"`
	MedianError float64 `json:"median_error"` // standard errors
	Spread      float64 `json:"spread"`
	SpreadError float64 `json:"spread_error"`
	ChiSquared  float64 `json:"chi_squared"` // of Groups of runs with enough of each outcome
	Groups      int     `json:"groups"`
	Trust       float64 `json:"trust"` // chance of one so large, were the curve right; 0 with two groups or fewer
	Places      []Place `json:"places"`

	probit statistics.Probit
}

// Chance is the fitted chance of a proof.
func (f *Fit) Chance(ratio float64) float64 { return f.probit.Chance(ratio) }

// Place is the ratio at which a share of the brakes gets a proof.
type Place struct {
	Chance        float64 `json:"chance"`
	Ratio         float64 `json:"ratio"`
	StandardError float64 `json:"standard_error"`
}

// Effect is what one spread does to both rates: they in the upper half of its values, less in
// the lower half; of a table, in all entries less in the first.
type Effect struct {
	Key        string `json:"key"`
	Missed     Shift  `json:"missed"`
	FalseAlarm Shift  `json:"false_alarms"`
}

// Shift is the difference of two rates with an interval for it.
type Shift struct {
	Lower Rate    `json:"lower"`
	Upper Rate    `json:"upper"`
	Shift float64 `json:"shift"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// Sure is whether the interval has no zero.
func (s *Shift) Sure() bool { return s.Low > 0 || s.High < 0 }

// Cell is one window with one dwell.
type Cell struct {
	WindowDeg  float64 `json:"window_deg"`
	DwellS     float64 `json:"dwell_s"`
	Missed     Rate    `json:"missed"`
	FalseAlarm Rate    `json:"false_alarms"`
}

// Summary sums a tally up under its head.
func (t *Tally) Summary(h *Head) Summary {
	interval := intervalBy(h.Exact, h.Confidence)
	all := t.all()
	rates := all.rates(interval)
	s := Summary{
		Head: *h, Done: t.runs, Missed: rates[0], FalseAlarm: rates[1], Broken: t.broken,
		LongestS: t.longest, LoadDropMM: t.deepest, Curve: []Point{}, Effects: []Effect{}, Map: []Cell{}, Examples: []Runs{},
	}
	s.Enough = h.Until > 0 && t.runs < h.due() && reach(rates) <= h.Until
	s.Whole = s.Enough || t.runs == h.due()
	if t.runs > 0 {
		s.MeanS = t.duration / float64(t.runs)
	}
	for _, c := range sim.Classes() {
		s.Classes = append(s.Classes, Count{c, all.count[string(c)]})
		if runs := t.examples[string(c)]; len(runs) > 0 {
			s.Examples = append(s.Examples, Runs{c, runs})
		}
	}
	s.Causes = t.countCauses()
	switch {
	case h.Rare != "":
		r := t.rare.rare(h.Rare, all.count[string(h.Rare)], h.Confidence)
		s.Rarity = &r
	case len(h.WindowsDeg) > 0:
		s.Map = t.cellsOf(h, interval)
	default:
		s.Effects = t.effects(h, interval)
		s.Fit, s.NoFit = t.fit()
		s.Curve = t.curve(s.Fit, interval)
	}
	return s
}

// reach is how far the wider interval goes to its longer side; 1 if one has no runs.
func reach(rates [2]Rate) float64 {
	widest := 0.0
	for _, r := range rates {
		if r.Of == 0 {
			return 1
		}
		widest = max(widest, r.High-r.Rate, r.Rate-r.Low)
	}
	return widest
}

// all puts the cells together.
func (t *Tally) all() cell {
	all := cell{count: map[string]int{}}
	for _, c := range t.cells {
		for class, n := range c.count {
			all.count[class] += n
		}
	}
	return all
}

func (t *Tally) countCauses() []Cause {
	list := []Cause{}
	for _, key := range slices.Sorted(maps.Keys(t.causes)) {
		class, cause, _ := strings.Cut(key, " ")
		list = append(list, Cause{class, cause, t.causes[key]})
	}
	slices.SortStableFunc(list, func(a, b Cause) int { return b.Runs - a.Runs })
	return list
}

func (t *Tally) cellsOf(h *Head, interval intervalOf) []Cell {
	var list []Cell
	for i := range t.cells {
		rates := t.cells[i].rates(interval)
		list = append(list, Cell{h.WindowsDeg[i/len(h.DwellsS)], h.DwellsS[i%len(h.DwellsS)], rates[0], rates[1]})
	}
	return list
}

// effects are the spreads with the surest and largest first. The capacity is left out: it is
// what the curve is over.
func (t *Tally) effects(h *Head, interval intervalOf) []Effect {
	list := []Effect{}
	for i, s := range h.Spreads {
		if s.Key == CapacityKey {
			continue
		}
		low, high := &t.halves[i][0], &t.halves[i][1]
		list = append(list, Effect{
			Key:        s.Key,
			Missed:     shiftOf(low.missed, high.missed, interval, h.Confidence),
			FalseAlarm: shiftOf(low.alarms, high.alarms, interval, h.Confidence),
		})
	}
	slices.SortStableFunc(list, func(a, b Effect) int { return cmp.Compare(b.size(), a.size()) })
	return list
}

// size is the larger of the two shifts.
func (e *Effect) size() float64 {
	return max(math.Abs(e.Missed.Shift), math.Abs(e.FalseAlarm.Shift))
}

func shiftOf(lower, upper func() (k, n int), interval intervalOf, confidence float64) Shift {
	k1, n1 := lower()
	k2, n2 := upper()
	s := Shift{Lower: rateOf(k1, n1, interval), Upper: rateOf(k2, n2, interval), Low: -1, High: 1}
	if n1 > 0 && n2 > 0 {
		d := statistics.Difference(k2, n2, k1, n1, confidence)
		s.Shift, s.Low, s.High = s.Upper.Rate-s.Lower.Rate, d.Low, d.High
	}
	return s
}

// chances are those at which the place on the curve is given.
func chances() []float64 { return []float64{0.01, 0.5, 0.99} }

// fit puts a curve through the bins, or says why it cannot.
func (t *Tally) fit() (*Fit, string) {
	var doses []statistics.Dose
	for _, b := range t.bins[:binCount] {
		if b.tried > 0 {
			doses = append(doses, statistics.Dose{At: b.sum / float64(b.tried), Tried: float64(b.tried), Passed: float64(b.passed)})
		}
	}
	p, err := statistics.FitProbit(doses)
	if err != nil {
		return nil, err.Error()
	}
	f := &Fit{
		Median: p.Median, MedianError: p.MedianError, Spread: p.Spread, SpreadError: p.SpreadError,
		probit: p,
	}
	f.goodness(t.bins[:binCount])
	for _, chance := range chances() {
		x, e := p.Place(chance)
		f.Places = append(f.Places, Place{chance, x, e})
	}
	return f, ""
}

// leastExpected is how many of each outcome a group must lead one to expect for chi squared to
// hold (Cochran, Biometrics 10, 1954; from memory).
const leastExpected = 5

// goodness holds the curve against what was counted, in groups of neighbouring bins:
//
//	χ² = Σ (passed − n p)²/(n p (1 − p)), groups − 2 degrees of freedom
//
// Two are lost to the median and the spread. Runs behind the last full group are left out.
func (f *Fit) goodness(bins []bin) {
	var passed, expected, variance, refused float64
	for _, b := range bins {
		if b.tried == 0 {
			continue
		}
		n, p := float64(b.tried), f.Chance(b.sum/float64(b.tried))
		passed += float64(b.passed)
		expected, refused, variance = expected+n*p, refused+n*(1-p), variance+n*p*(1-p)
		if expected < leastExpected || refused < leastExpected {
			continue
		}
		f.ChiSquared += (passed - expected) * (passed - expected) / variance
		f.Groups++
		passed, expected, variance, refused = 0, 0, 0, 0
	}
	if f.Groups > 2 {
		f.Trust = distuv.ChiSquared{K: float64(f.Groups - 2)}.Survival(f.ChiSquared)
	}
}

// curvePoints is about how many points are shown.
const curvePoints = 24

// curve gathers bins into points, over the stretch in which something happens.
func (t *Tally) curve(f *Fit, interval intervalOf) []Point {
	from, to := t.stretch(f)
	step := max(1, (to-from+curvePoints-1)/curvePoints)
	list := []Point{}
	for at := from; at < to; at += step {
		var sum bin
		for _, b := range t.bins[at:min(at+step, binCount)] {
			sum.tried, sum.passed, sum.sum = sum.tried+b.tried, sum.passed+b.passed, sum.sum+b.sum
		}
		if sum.tried > 0 {
			list = append(list, Point{
				From: round(float64(at) * binWidth), To: round(float64(min(at+step, binCount)) * binWidth),
				Mean: sum.sum / float64(sum.tried), Rate: rateOf(sum.passed, sum.tried, interval),
			})
		}
	}
	return list
}

// round takes away what binary fractions add to the edge of a bin.
func round(x float64) float64 { return math.Round(x*1e6) / 1e6 }

// stretch is the bins from which the curve is drawn: those around its rise, or all that have
// runs.
func (t *Tally) stretch(f *Fit) (from, to int) {
	to = binCount
	for from < to && t.bins[from].tried == 0 {
		from++
	}
	for to > from && t.bins[to-1].tried == 0 {
		to--
	}
	if f != nil {
		const sides = 6 // spreads to each side: chances of 1e-9 and its complement
		from = max(from, min(binOf(max(0, f.Median-sides*f.Spread)), binCount-1))
		to = min(to, max(binOf(max(0, f.Median+sides*f.Spread))+1, from+1))
	}
	return from, to
}

// String is a rate for people, in per cent.
func (r Rate) String() string {
	return fmt.Sprintf("%.3g %% (%d of %d)", 100*r.Rate, r.Count, r.Of)
}
