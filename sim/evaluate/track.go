package evaluate

import (
	"iter"
	"math"
	"sort"

	"holdbench/plant/recording"
)

// sameTime is the distance in s within which two times are one: recorded times are decimal fractions.
const sameTime = 1e-7

// track is one signal of a recording. It shares the lists of the recording, which can be long, and changes nothing
// in them.
type track struct {
	name     string
	time     []float64 // s, rising
	recorded []float64 // NaN: a gap
	// of makes the value of the signal of a recorded one; nil: they are the same.
	of func(x float64) float64
}

// trackOf is a recorded signal times a factor; nil if it was not recorded, or never has a value.
func trackOf(r *recording.Recording, signal string, factor float64) *track {
	t := &track{name: signal, time: r.Time, recorded: r.Values(signal)}
	if factor != 1 {
		t.of = func(x float64) float64 { return x * factor }
	}
	for range t.samples() {
		return t
	}
	return nil
}

// wordTrack is a recorded word: 1 where it is the given one, 0 elsewhere.
func wordTrack(r *recording.Recording, signal, word string) *track {
	c := r.Channel(signal)
	t := trackOf(r, signal, 1)
	if t == nil {
		return nil
	}
	return t.changed(func(x float64) float64 {
		if place := int(x); place >= 0 && place < len(c.Words) && c.Words[place] == word {
			return 1
		}
		return 0
	})
}

// changed is the signal that a function makes of the values of this one.
func (t *track) changed(by func(x float64) float64) *track {
	return &track{name: t.name, time: t.time, recorded: t.recorded, of: func(x float64) float64 { return by(t.value(x)) }}
}

// value is that of a recorded one.
func (t *track) value(x float64) float64 {
	if t.of == nil {
		return x
	}
	return t.of(x)
}

// samples are the times and values of the signal, without the gaps.
func (t *track) samples() iter.Seq2[float64, float64] {
	return func(yield func(at, value float64) bool) {
		for i, x := range t.recorded {
			if !math.IsNaN(x) && !yield(t.time[i], t.value(x)) {
				return
			}
		}
	}
}

// first is the first sample; a track has one.
func (t *track) first() (at, value float64) {
	for at, value := range t.samples() {
		return at, value
	}
	return math.NaN(), math.NaN()
}

// end is the time of the last sample.
func (t *track) end() float64 {
	for i := len(t.recorded) - 1; i >= 0; i-- {
		if !math.IsNaN(t.recorded[i]) {
			return t.time[i]
		}
	}
	return math.NaN()
}

// derivative is a speed by the difference of samples at least 20 ms apart, which keeps the increments of an
// encoder small against the speeds that matter.
func (t *track) derivative() *track {
	const over = 0.02
	d := &track{name: t.name}
	type sample struct{ at, value float64 }
	var recent []sample // those of the newest 20 ms, and one before
	for at, value := range t.samples() {
		recent = append(recent, sample{at, value})
		for len(recent) > 2 && at-recent[1].at >= over-sameTime {
			recent = recent[1:]
		}
		if dt := at - recent[0].at; dt >= over-sameTime {
			d.time, d.recorded = append(d.time, at), append(d.recorded, (value-recent[0].value)/dt)
		}
	}
	return d
}

// typicalStep is the median time between two samples, in s; of very many, that of some all over them.
func (t *track) typicalStep() float64 {
	const most = 100_000
	every := 1 + len(t.recorded)/most
	steps := make([]float64, 0, min(len(t.recorded), most))
	before, i := math.NaN(), 0
	for at := range t.samples() {
		if i > 0 && i%every == 0 {
			steps = append(steps, at-before)
		}
		before, i = at, i+1
	}
	if len(steps) == 0 {
		return 0
	}
	sort.Float64s(steps)
	return tidy(steps[len(steps)/2])
}

// longestGap is the longest time between two samples up to a time, in s.
func (t *track) longestGap(to float64) float64 {
	longest, before := 0.0, math.NaN()
	for at := range t.samples() {
		if before >= to {
			break
		}
		if !math.IsNaN(before) {
			longest = max(longest, at-before)
		}
		before = at
	}
	return longest
}

// density is the greatest age in s of the newest sample within a span, and the number of samples in it.
func (t *track) density(from, to float64) (oldest float64, n int) {
	before := from
	for at := range t.samples() {
		if at > to+sameTime {
			break
		}
		if at >= from-sameTime {
			oldest, n = max(oldest, at-before), n+1
		}
		before = at
	}
	return max(oldest, to-before), n
}

// reader walks along a track, forward only.
type reader struct {
	of   *track
	next int
	last int // place behind the newest sample; 0: none so far
}

// at is the last value at or before a time, and its age in s; NaN before the first, and without a track.
func (r *reader) at(t float64) (value, age float64) {
	if r.of == nil {
		return math.NaN(), math.Inf(1)
	}
	for r.next < len(r.of.recorded) && r.of.time[r.next] <= t+sameTime {
		if !math.IsNaN(r.of.recorded[r.next]) {
			r.last = r.next + 1
		}
		r.next++
	}
	if r.last == 0 {
		return math.NaN(), math.Inf(1)
	}
	return r.of.value(r.of.recorded[r.last-1]), t - r.of.time[r.last-1]
}

// is tells whether a value is true; an unknown one is not.
func is(value float64) bool { return value >= 0.5 }
