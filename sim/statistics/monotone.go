package statistics

import (
	"math"
	"math/rand/v2"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"

	"holdbench/plant/portable"
)

// Monotone is a probability that does not fall with the dose, without any other shape.
type Monotone struct {
	doses   []Dose
	heights []float64 // at the doses
	tried   []float64 // trials before each dose, and all
	passed  []float64
	window  float64 // trials from which an interval is taken
}

// FitMonotone is the curve of maximum likelihood among all that do not fall, by pooling adjacent
// violators: Ayer, Brunk, Ewing, Reid and Silverman, Annals of Mathematical Statistics 26, 1955
// (from memory). Errors are *OneOutcomeError and *NoFitError.
func FitMonotone(doses []Dose) (*Monotone, error) {
	doses, err := mergedDoses(doses)
	if err != nil {
		return nil, err
	}
	if err := twoOutcomes(doses); err != nil {
		return nil, err
	}
	m := &Monotone{doses: doses, heights: pooled(doses), tried: make([]float64, len(doses)+1), passed: make([]float64, len(doses)+1)}
	for i, d := range doses {
		m.tried[i+1], m.passed[i+1] = m.tried[i]+d.Tried, m.passed[i]+d.Passed
	}
	// Bias grows with the window and scatter falls with its root: the balance is at n^(2/3).
	m.window = math.Ceil(portable.Pow(m.tried[len(doses)], 2.0/3))
	return m, nil
}

// pooled joins neighbouring doses to blocks of one height until no block is lower than the one
// before.
func pooled(doses []Dose) []float64 {
	type block struct {
		tried, passed float64
		doses         int
	}
	var blocks []block
	for _, d := range doses {
		b := block{d.Tried, d.Passed, 1}
		for len(blocks) > 0 {
			last := blocks[len(blocks)-1]
			if last.passed*b.tried < b.passed*last.tried {
				break
			}
			b = block{last.tried + b.tried, last.passed + b.passed, last.doses + b.doses}
			blocks = blocks[:len(blocks)-1]
		}
		blocks = append(blocks, b)
	}
	heights := make([]float64, 0, len(doses))
	for _, b := range blocks {
		for range b.doses {
			heights = append(heights, b.passed/b.tried)
		}
	}
	return heights
}

// Probability is the height of the curve at x: between doses on the straight line, beyond them as at
// the last.
func (m *Monotone) Probability(x float64) float64 {
	i := sort.Search(len(m.doses), func(i int) bool { return m.doses[i].At >= x })
	switch {
	case i == 0:
		return m.heights[0]
	case i == len(m.doses):
		return m.heights[i-1]
	}
	part := (x - m.doses[i-1].At) / (m.doses[i].At - m.doses[i-1].At)
	return m.heights[i-1] + float64(part*(m.heights[i]-m.heights[i-1]))
}

// Interval is the confidence interval of the probability at x: the exact lower limit of the nearest
// trials below it, which pass with at most its probability, and the exact upper limit of those above.
// It contains the probability at least as often as the confidence states, whatever the shape; a
// bootstrap of pooled violators does not (Kosorok, 2008; from memory). The number of trials is n^(2/3)
// of all n.
func (m *Monotone) Interval(x, confidence float64) Interval {
	mustConfidence(confidence)
	below := sort.Search(len(m.doses), func(i int) bool { return m.doses[i].At > x })
	above := sort.Search(len(m.doses), func(i int) bool { return m.doses[i].At >= x })
	i := Interval{0, 1}
	if n, k := m.before(below); n > 0 {
		i.Low = ClopperPearson(int(k), int(n), confidence).Low
	}
	if n, k := m.from(above); n > 0 {
		i.High = ClopperPearson(int(k), int(n), confidence).High
	}
	return i
}

// before are the trials of the window that ends before a dose, and those that passed.
func (m *Monotone) before(end int) (tried, passed float64) {
	start := sort.Search(end, func(i int) bool { return m.tried[end]-m.tried[i] <= m.window })
	if start == end && end > 0 {
		start = end - 1 // a dose with more trials than the window
	}
	return m.tried[end] - m.tried[start], m.passed[end] - m.passed[start]
}

// from are the trials of the window that begins at a dose, and those that passed.
func (m *Monotone) from(start int) (tried, passed float64) {
	n := len(m.doses)
	end := sort.Search(n+1, func(i int) bool { return m.tried[i]-m.tried[start] > m.window }) - 1
	if end == start && start < n {
		end = start + 1
	}
	return m.tried[end] - m.tried[start], m.passed[end] - m.passed[start]
}

// Quantile is where the curve passes a probability: the middle between the last dose at which it is
// lower and the first at which it is higher. It is NaN if it does not pass it within the doses.
func (m *Monotone) Quantile(probability float64) float64 {
	lower := sort.SearchFloat64s(m.heights, probability)
	higher := sort.Search(len(m.heights), func(i int) bool { return m.heights[i] > probability })
	if lower == 0 || higher == len(m.heights) {
		return math.NaN()
	}
	return (m.doses[lower-1].At + m.doses[higher].At) / 2
}

// QuantileInterval are the doses whose interval contains the probability. An end is infinite where
// the trials do not determine it.
func (m *Monotone) QuantileInterval(probability, confidence float64) Interval {
	i := Interval{math.Inf(-1), math.Inf(1)}
	for _, d := range m.doses {
		if m.Interval(d.At, confidence).High >= probability {
			break
		}
		i.Low = d.At
	}
	for n := len(m.doses) - 1; n >= 0; n-- {
		if m.Interval(m.doses[n].At, confidence).Low <= probability {
			break
		}
		i.High = m.doses[n].At
	}
	return i
}

// Goodness compares the curve with the counts, as that of a [Response] does: it is poor where they
// fall.
func (m *Monotone) Goodness(source rand.Source) Goodness {
	ends := groupsOf(m.doses, m.heights)
	return bootstrap(groupDeviance(m.doses, m.heights, ends), len(ends), func(limit float64) bool {
		drawn := drawnFrom(m.doses, m.heights, source)
		return groupDeviance(drawn, pooled(drawn), ends) >= limit
	})
}

// drawnFrom draws the counts of a study of the same trials.
func drawnFrom(doses []Dose, heights []float64, source rand.Source) []Dose {
	drawn := make([]Dose, len(doses))
	for i, d := range doses {
		n := math.Round(d.Tried)
		drawn[i] = Dose{d.At, n, n * math.Round(heights[i])} // of what is certain nothing is drawn
		if heights[i] > 0 && heights[i] < 1 {
			drawn[i].Passed = distuv.Binomial{N: n, P: heights[i], Src: source}.Rand()
		}
	}
	return drawn
}
