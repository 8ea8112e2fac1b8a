package sweep

import (
	"math"

	"holdbench/sim"
	"holdbench/sim/statistics"
)

// Tally counts the outcomes of runs. Its size does not grow with their number.
type Tally struct {
	spreads                    int
	runs                       int
	cells                      []cell
	halves                     []halves // by spread
	bins                       []bin
	causes                     map[string]int // of runs without a proof
	apart                      map[string]int // causes that are not the brake
	examples                   map[string][]Example
	duration, longest, deepest float64
	broken                     int
	stops                      sim.StopCount // of the controller, by itself
	rare                       rareSum
}

// NewTally is an empty tally for a number of spreads and cells of a map.
func NewTally(spreads, cells int) *Tally {
	return &Tally{
		spreads: spreads, cells: make([]cell, max(1, cells)), halves: make([]halves, spreads),
		bins: make([]bin, binCount+1), causes: map[string]int{}, apart: map[string]int{}, examples: map[string][]Example{},
	}
}

// Runs is how many runs were added.
func (t *Tally) Runs() int { return t.runs }

// stopped is no class; it is counted beside them.
const stopped = "stopped"

// cell counts runs by class.
type cell struct{ count map[string]int }

func (c *cell) add(class string) {
	if c.count == nil {
		c.count = map[string]int{}
	}
	c.count[class]++
}

// halves counts the runs of the lower and of the upper half of a spread.
type halves [2]cell

// bin counts the runs in a range of the ratio of capacity to required torque: those that tested
// the brake, and those apart that ended for another cause.
type bin struct {
	tried, passed, apart int
	sum                  float64 // of the ratios of those that were tried
}

// Bins are so fine that a fit over their means equals one over the runs: by a bin of width w, the
// variance of the curve grows by w²/12, which is a third of a per cent of a deviation of 0.01.
const (
	binWidth = 0.002
	binCount = 5000 // up to ten times the required torque
)

// binOf is the bin of a ratio; ratios beyond all bins are in the last one.
func binOf(ratio float64) int { return int(min(ratio/binWidth, binCount)) }

func (b *bin) add(r *Record) {
	if r.Refused == forOther {
		b.apart++
		return
	}
	b.tried++
	b.sum += r.Ratio()
	if r.proven() {
		b.passed++
	}
}

// examplesKept is how many examples of a class are kept.
const examplesKept = 3

// Add counts a run.
func (t *Tally) Add(r *Record) {
	t.runs++
	t.cells[r.Cell].add(r.Class)
	if r.stopped() {
		t.cells[r.Cell].add(stopped)
	}
	for i, upper := range r.Upper {
		half := 0
		if upper {
			half = 1
		}
		t.halves[i][half].add(r.Class)
	}
	t.bins[binOf(r.Ratio())].add(r)
	if !r.proven() {
		t.causes[r.Class+" "+r.Cause]++
	}
	if r.Refused == forOther {
		t.apart[r.Class+" "+r.Cause]++
	}
	if len(t.examples[r.Class]) < examplesKept {
		t.examples[r.Class] = append(t.examples[r.Class], Example{r.Run, r.Seed, r.Values})
	}
	t.duration += r.DurationS
	t.longest, t.deepest = math.Max(t.longest, r.DurationS), math.Max(t.deepest, r.LoadDropMM)
	if r.Broken > 0 {
		t.broken++
	}
	t.stops.Add(r.ControllerStopped)
	t.rare.add(r)
}

// Rate is a relative frequency with its confidence interval.
type Rate struct {
	Count int     `json:"count"`
	Of    int     `json:"of"`
	Rate  float64 `json:"rate"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

type intervalOf func(k, n int) statistics.Interval

func (p *Plan) interval() intervalOf { return intervalBy(p.Exact, p.Confidence) }

func intervalBy(exact bool, confidence float64) intervalOf {
	return func(k, n int) statistics.Interval {
		if exact {
			return statistics.ClopperPearson(k, n, confidence)
		}
		return statistics.Wilson(k, n, confidence)
	}
}

func rateOf(k, n int, interval intervalOf) Rate {
	i := interval(k, n)
	r := Rate{Count: k, Of: n, Low: i.Low, High: i.High}
	if n > 0 {
		r.Rate = float64(k) / float64(n)
	}
	return r
}

// missed counts releases among brakes with insufficient torque, or that did not hold the load;
// alarms counts tests without a release among brakes with sufficient torque, no other fault and the load held.
func (c *cell) missed() (k, n int) {
	k = c.count[string(sim.Missed)]
	return k, k + c.count[string(sim.Caught)]
}

func (c *cell) alarms() (k, n int) {
	k = c.count[string(sim.FalseAlarm)]
	return k, k + c.count[string(sim.SoundPass)]
}

// stopped counts, among the alarms, those that came from the sequence behind a proof of the judge.
func (c *cell) stopped() (k, n int) {
	_, n = c.alarms()
	return c.count[stopped], n
}

// rates are the missed ones and the false alarms.
func (c *cell) rates(interval intervalOf) [2]Rate {
	k, n := c.missed()
	missed := rateOf(k, n, interval)
	k, n = c.alarms()
	return [2]Rate{missed, rateOf(k, n, interval)}
}
