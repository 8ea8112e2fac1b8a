package identify

import (
	"math"
	"slices"
	"sort"
)

// series is one signal over time, in the order of time, without gaps: a moment without a sample has no
// entry, so that signals of different rates stand beside each other.
type series struct {
	t []float64 // s
	x []float64
}

func (s series) empty() bool { return len(s.t) == 0 }

// index is the number of samples before a moment.
func (s series) index(t float64) int { return sort.SearchFloat64s(s.t, t) }

// between is the part from one moment to another, both included.
func (s series) between(from, to float64) series {
	low := s.index(from)
	high := low + sort.Search(len(s.t)-low, func(i int) bool { return s.t[low+i] > to })
	return series{s.t[low:high], s.x[low:high]}
}

// at is the value at a moment by a straight line between samples, and the nearest one outside.
func (s series) at(t float64) float64 {
	i := s.index(t)
	switch {
	case len(s.t) == 0:
		return math.NaN()
	case i == 0:
		return s.x[0]
	case i == len(s.t):
		return s.x[i-1]
	}
	share := (t - s.t[i-1]) / (s.t[i] - s.t[i-1])
	return s.x[i-1] + share*(s.x[i]-s.x[i-1])
}

// last is the value of the sample at or before a moment, as of a switch.
func (s series) last(t float64) float64 {
	i := sort.Search(len(s.t), func(i int) bool { return s.t[i] > t })
	if i == 0 {
		if s.empty() {
			return math.NaN()
		}
		return s.x[0]
	}
	return s.x[i-1]
}

// period is the median time between two samples in s, 0 of fewer than two.
func (s series) period() float64 {
	if len(s.t) < 2 {
		return 0
	}
	steps := make([]float64, len(s.t)-1)
	for i := range steps {
		steps[i] = s.t[i+1] - s.t[i]
	}
	return sortedMedian(steps)
}

// edges are the moments at which a signal of 0 and 1 changes. The change lies between two samples.
type edge struct {
	t      float64 // s, in the middle between the samples
	spread float64 // s, between the samples
	rises  bool
}

func (s series) edges() []edge {
	var found []edge
	for i := 1; i < len(s.t); i++ {
		if before, now := s.x[i-1] > 0.5, s.x[i] > 0.5; before != now {
			found = append(found, edge{(s.t[i-1] + s.t[i]) / 2, s.t[i] - s.t[i-1], now})
		}
	}
	return found
}

// quantum is the step of the signal, 0 if it never changes. It begins with the smallest change, which the figures of a
// file round, and becomes exact over whole numbers of steps, the nearer ones first.
func (s series) quantum() float64 {
	smallest := math.Inf(1)
	for i := 1; i < len(s.x); i++ {
		if d := math.Abs(s.x[i] - s.x[i-1]); d > 1e-9*math.Abs(s.x[i]) {
			smallest = min(smallest, d)
		}
	}
	if math.IsInf(smallest, 1) {
		return 0
	}
	distances := make([]float64, len(s.x))
	for i, x := range s.x {
		distances[i] = math.Abs(x - s.x[0])
	}
	slices.Sort(distances)
	step, sum, squares := smallest, 0.0, 0.0
	for _, d := range distances {
		n := math.Round(d / step)
		if n == 0 || math.Abs(d-n*step) > step/5 {
			continue
		}
		sum, squares = sum+n*d, squares+n*n
		step = sum / squares
	}
	return step
}

func median(values []float64) float64 { return sortedMedian(slices.Clone(values)) }

// sortedMedian is the median of a list, which it sorts: a long one needs no copy.
func sortedMedian(values []float64) float64 {
	if len(values) == 0 {
		return 0
	}
	slices.Sort(values)
	n := len(values)
	return (values[(n-1)/2] + values[n/2]) / 2
}

func mean(values []float64) float64 {
	sum := 0.0
	for _, x := range values {
		sum += x
	}
	return sum / float64(len(values))
}

// deviation is the standard deviation of a sample, with n − 1.
func deviation(values []float64) float64 {
	if len(values) < 2 {
		return 0
	}
	m, sum := mean(values), 0.0
	for _, x := range values {
		sum += (x - m) * (x - m)
	}
	return math.Sqrt(sum / float64(len(values)-1))
}

// lineAt is the slope of the straight line by least squares through half a number of samples before and after a
// sample, and the deviation of the sample from it.
func (s series) lineAt(i, half int) (slope, off float64) {
	low, high := max(0, i-half), min(len(s.t), i+half+1)
	t0, x0 := mean(s.t[low:high]), mean(s.x[low:high])
	tt, tx := 0.0, 0.0
	for j := low; j < high; j++ {
		tt += (s.t[j] - t0) * (s.t[j] - t0)
		tx += (s.t[j] - t0) * (s.x[j] - x0)
	}
	if tt > 0 {
		slope = tx / tt
	}
	return slope, s.x[i] - x0 - slope*(s.t[i]-t0)
}

// slopes are those of lineAt at each sample.
func (s series) slopes(half int) []float64 {
	list := make([]float64, len(s.t))
	for i := range list {
		list[i], _ = s.lineAt(i, half)
	}
	return list
}

// smoothed is the mean over half a number of samples before and after each sample.
func (s series) smoothed(half int) series {
	x := make([]float64, len(s.x))
	for i := range x {
		x[i] = mean(s.x[max(0, i-half):min(len(x), i+half+1)])
	}
	return series{s.t, x}
}

// speedAfter is the mean slope from a sample on, over a time at least; 0 where the series ends before.
func (s series) speedAfter(i int, time float64) float64 {
	for j := i + 1; j < len(s.t); j++ {
		if span := s.t[j] - s.t[i]; span > 0.999*time {
			return (s.x[j] - s.x[i]) / span
		}
	}
	return 0
}

// aboutLine is the sum of squares about the straight line by least squares.
func (s series) aboutLine() float64 {
	t0, x0 := mean(s.t), mean(s.x)
	tt, tx, xx := 0.0, 0.0, 0.0
	for i, t := range s.t {
		tt += (t - t0) * (t - t0)
		tx += (t - t0) * (s.x[i] - x0)
		xx += (s.x[i] - x0) * (s.x[i] - x0)
	}
	if tt == 0 {
		return xx
	}
	return xx - tx*tx/tt
}
