package evaluate

import (
	"math"

	"holdbench/plant/recording"
)

// sameTime is the distance in s within which two times are one: recorded times are decimal fractions.
const sameTime = 1e-7

// track is one signal: its samples alone, without the gaps.
type track struct {
	name   string
	time   []float64 // s, rising
	values []float64
}

// trackOf is a recorded signal times a factor; nil if it was not recorded, or never has a value.
func trackOf(r *recording.Recording, signal string, factor float64) *track {
	values := r.Values(signal)
	t := &track{name: signal}
	for i, x := range values {
		if !math.IsNaN(x) {
			t.time = append(t.time, r.Time[i])
			t.values = append(t.values, x*factor)
		}
	}
	if len(t.time) == 0 {
		return nil
	}
	return t
}

// wordTrack is a recorded word: 1 where it is the given one, 0 elsewhere.
func wordTrack(r *recording.Recording, signal, word string) *track {
	c := r.Channel(signal)
	t := trackOf(r, signal, 1)
	if t == nil {
		return nil
	}
	for i, x := range t.values {
		t.values[i] = 0
		if place := int(x); place >= 0 && place < len(c.Words) && c.Words[place] == word {
			t.values[i] = 1
		}
	}
	return t
}

// reader walks along a track, forward only.
type reader struct {
	of   *track
	next int
}

// at is the last value at or before a time, and its age in s; NaN before the first, and without a track.
func (r *reader) at(t float64) (value, age float64) {
	if r.of == nil {
		return math.NaN(), math.Inf(1)
	}
	for r.next < len(r.of.time) && r.of.time[r.next] <= t+sameTime {
		r.next++
	}
	if r.next == 0 {
		return math.NaN(), math.Inf(1)
	}
	return r.of.values[r.next-1], t - r.of.time[r.next-1]
}

// is tells whether a value is true; an unknown one is not.
func is(value float64) bool { return value >= 0.5 }
