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
	var times, values []float64
	for k, x := range r.Channels[i].Values {
		if !math.IsNaN(x) {
			times, values = append(times, r.Time[k]-late.Seconds), append(values, x)
		}
	}
	old := *r
	r.Time = merged(old.Time, times)
	r.Channels = slices.Clone(old.Channels)
	for c := range r.Channels {
		if c == i {
			r.Channels[c].Values = placed(r.Time, times, values)
		} else {
			r.Channels[c].Values = placed(r.Time, old.Time, old.Channels[c].Values)
		}
	}
}

// sameTime is how far two times of a recording may differ and be one, s: less than any recorder resolves.
const sameTime = 1e-8

// merged are the times of two rising lists, those that are the same once.
func merged(a, b []float64) []float64 {
	list := make([]float64, 0, len(a)+len(b))
	for len(a) > 0 || len(b) > 0 {
		switch {
		case len(b) == 0 || len(a) > 0 && a[0] <= b[0]+sameTime:
			if len(b) > 0 && b[0] <= a[0]+sameTime {
				b = b[1:]
			}
			list, a = append(list, a[0]), a[1:]
		default:
			list, b = append(list, b[0]), b[1:]
		}
	}
	return list
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
