package recording

import (
	"math"
	"slices"
)

// earlier moves the values of a signal that was recorded late to their own times. Times that the others do not
// have become rows of gaps; a value is never changed.
func (r *Recording) earlier(late Late) {
	i := slices.IndexFunc(r.Channels, func(c Channel) bool {
		return slices.ContainsFunc(signalsOf(late.Signal), func(s Signal) bool { return s.Name == c.Signal })
	})
	if i < 0 || late.Seconds == 0 {
		return
	}
	own := r.Channels[i].Values
	n := 0
	for _, x := range own {
		if !math.IsNaN(x) {
			n++
		}
	}
	times, values := make([]float64, 0, n), make([]float64, 0, n)
	for k, x := range own {
		if !math.IsNaN(x) {
			times, values = append(times, r.Time[k]-late.Seconds), append(values, x)
		}
	}
	all := merged(r.Time, times)
	for c := range r.Channels { // one after the other, so that of a long file one old list is there at a time
		if c == i {
			r.Channels[c].Values = placed(all, times, values)
		} else {
			r.Channels[c].Values = placed(all, r.Time, r.Channels[c].Values)
		}
	}
	r.Time = all
}

// sameTime is how far two times of a recording may differ and be one, s: less than any recorder resolves.
const sameTime = 1e-8

// merged are the times of two rising lists, those that are the same once.
func merged(a, b []float64) []float64 {
	var list growing
	for len(a) > 0 || len(b) > 0 {
		switch {
		case len(b) == 0 || len(a) > 0 && a[0] <= b[0]+sameTime:
			if len(b) > 0 && b[0] <= a[0]+sameTime {
				b = b[1:]
			}
			list.add(a[0])
			a = a[1:]
		default:
			list.add(b[0])
			b = b[1:]
		}
	}
	return list.joined()
}

// placed are values at the times of a longer list that has theirs.
func placed(all, times, values []float64) []float64 {
	list := make([]float64, len(all))
	k := 0
	for i, t := range all {
		list[i] = math.NaN()
		if k < len(times) && math.Abs(times[k]-t) <= sameTime {
			list[i], k = values[k], k+1
		}
	}
	return list
}
