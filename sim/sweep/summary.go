package sweep

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"holdbench/sim"
	"holdbench/sim/statistics"
)

// Summary is the result of a sweep, in the shape in which it is written as JSON.
type Summary struct {
	Head
	Done   int  `json:"done"` // runs that were summed up
	Whole  bool `json:"whole"`
	Enough bool `json:"enough"` // the intervals were narrow enough before the last run

	// Missed are tests that released operation with brakes of insufficient torque, or that did not
	// hold the load; FalseAlarm are tests that did not release it, with brakes of sufficient torque
	// no other fault, and the load held.
	// Both are null where rare events are estimated, as the draws are tilted.
	Missed     *Rate `json:"missed"`
	FalseAlarm *Rate `json:"false_alarms"`
	// Stopped are those of FalseAlarm that came from the sequence, behind a proof of the judge.
	Stopped *Rate `json:"stopped"`

	Classes  []Count `json:"classes"` // as drawn
	Causes   []Cause `json:"causes"`  // of runs without a proof
	Examples []Runs  `json:"examples"`
	Broken   int     `json:"broken"` // runs that broke an obligation
	// ControllerStopped counts the runs in which the controller stopped by itself; nil if there is none.
	ControllerStopped *sim.StopCount `json:"controller_stopped,omitempty"`

	MeanS      float64 `json:"mean_s"` // duration
	LongestS   float64 `json:"longest_s"`
	LoadDropMM float64 `json:"load_drop_mm"` // maximum

	Curve   []Point       `json:"curve"`
	Beyond  int           `json:"beyond"` // runs with more capacity than the curve covers
	Apart   Apart         `json:"apart"`  // runs that are not in the curve
	Fit     *Fit          `json:"fit"`    // null if there is none
	NoFit   string        `json:"no_fit"` // why there is none
	Effects []Effect      `json:"effects"`
	Map     []Cell        `json:"map"`
	Rarity  *RareEstimate `json:"rarity"`
}

// Count is the number of runs of a class.
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

// Apart are the runs of an operating characteristic that ended for a cause other than the brake:
// they say nothing about its torque.
type Apart struct {
	Rate
	Causes []Cause `json:"causes"`
}

// Runs are examples of a class.
type Runs struct {
	Class sim.Class `json:"class"`
	Runs  []Example `json:"runs"`
}

// Example is what reproduces a run.
type Example struct {
	Run    int      `json:"run"`
	Seed   uint64   `json:"seed"`
	Values []string `json:"values"` // of the columns
}

// Effect is the effect of one spread on both rates: the rate in the upper half of its values
// minus that in the lower half; of a table, in all other entries minus that in the first.
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

// Sure is whether the interval does not contain zero.
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
		Head: *h, Done: t.runs, Broken: t.broken, Beyond: t.bins[binCount].tried,
		LongestS: t.longest, LoadDropMM: t.deepest, Curve: []Point{}, Effects: []Effect{}, Map: []Cell{}, Examples: []Runs{},
	}
	s.Enough = t.enough(h.Until, interval) && t.runs < h.runsOfPart()
	s.Whole = s.Enough || t.runs == h.runsOfPart()
	if t.runs > 0 {
		s.MeanS = t.duration / float64(t.runs)
	}
	if t.stops.Runs > 0 {
		stops := t.stops
		s.ControllerStopped = &stops
	}
	for _, c := range sim.Classes() {
		s.Classes = append(s.Classes, Count{c, all.count[string(c)]})
		if runs := t.examples[string(c)]; len(runs) > 0 {
			s.Examples = append(s.Examples, Runs{c, runs})
		}
	}
	s.Causes = countCauses(t.causes)
	s.Apart.Causes = []Cause{}
	if h.Rare == "" {
		k, n := all.stopped()
		halted := rateOf(k, n, interval)
		s.Missed, s.FalseAlarm, s.Stopped = &rates[0], &rates[1], &halted
	}
	switch {
	case h.Rare != "":
		r := t.rare.rare(h.Rare, all.count[string(h.Rare)], h.Confidence)
		s.Rarity = &r
	case len(h.WindowsDeg) > 0:
		s.Map = t.cellsOf(h, interval)
	default:
		s.Effects = t.effects(h, interval)
		s.Apart = t.apartOf(interval)
		var err error
		if s.Fit, err = t.fit(h.Confidence, h.Seed); err != nil {
			s.NoFit = err.Error()
		}
		s.Curve = t.curve(s.Fit, interval)
	}
	return s
}

// enough is whether both intervals are narrow enough. It is so only after a number of runs at
// which a sweep checks.
func (t *Tally) enough(until float64, interval intervalOf) bool {
	return until > 0 && t.runs > 0 && t.runs%batchRuns == 0 && reach(t.cells[0].rates(interval)) <= until
}

// reach is the extent of the wider interval to its longer side; 1 if one has no runs.
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

// all sums up the cells.
func (t *Tally) all() cell {
	all := cell{count: map[string]int{}}
	for _, c := range t.cells {
		for class, n := range c.count {
			all.count[class] += n
		}
	}
	return all
}

func (t *Tally) apartOf(interval intervalOf) Apart {
	n := 0
	for _, b := range t.bins {
		n += b.apart
	}
	return Apart{Rate: rateOf(n, t.runs, interval), Causes: countCauses(t.apart)}
}

// countCauses lists causes by class, the most frequent first.
func countCauses(causes map[string]int) []Cause {
	list := []Cause{}
	for _, key := range slices.Sorted(maps.Keys(causes)) {
		class, cause, _ := strings.Cut(key, " ")
		list = append(list, Cause{class, cause, causes[key]})
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

// effects are those of the spreads, the one with the largest shift first. The capacity of a brake is left
// out: the weaker is the abscissa of the curve.
func (t *Tally) effects(h *Head, interval intervalOf) []Effect {
	list := []Effect{}
	for i, s := range h.Spreads {
		if s.Key == CapacityKey || s.Key == Capacity2Key {
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

// String is a rate for people, in per cent.
func (r Rate) String() string {
	return fmt.Sprintf("%.3g %% (%d of %d)", 100*r.Rate, r.Count, r.Of)
}
