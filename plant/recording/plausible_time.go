package recording

import "holdbench/plant/problem"

// doubtTimeUnit finds times in another unit; false if so. Stamps of date and time have none.
func (r *Recording) doubtTimeUnit(list *problem.List, l Limits) bool {
	if r.Start != "" || l.BrakeTimeS == 0 {
		return true
	}
	step, whole := r.UsualStep(), r.Time[len(r.Time)-1]-r.Time[0]
	switch {
	case step >= 1 && len(r.Time) >= 100 && l.BrakeTimeS < 1 && (r.Channel("brake") != nil || r.Channel("brake_closed") != nil):
		unit := "ms"
		if step >= 1000 {
			unit = "us"
		}
		list.Add("t_s", "the usual step is %s s and the recording is %s s long, and the brake of the axis opens and closes in %s s; the time is likely in %s, as with --units time=%s", short(step), short(whole), short(l.BrakeTimeS), unit, unit)
		return false
	case whole < l.BrakeTimeS && max(r.changes("brake"), r.changes("brake_closed")) > 1:
		list.Add("t_s", "the recording is %s s long, and the brake opens and closes in it, which takes %s s; the time is likely in s, as with --units time=s", short(whole), short(l.BrakeTimeS))
		return false
	}
	if c := r.Channel("position_mm"); c != nil && l.SpeedMMS > 0 {
		low, high, _ := c.span()
		const fast = 10_000 // mm/s, more than a free fall over 5 m
		if speed := (high - low) / whole; speed > max(20*l.SpeedMMS, fast) && high-low <= l.HighMM-l.LowMM {
			list.Add("t_s", "the axis moves over %s mm in %s s, and its speed is %s mm/s; the time is likely in s, as with --units time=s", short(high-low), short(whole), short(l.SpeedMMS))
			return false
		}
	}
	return true
}

// changes is how often a signal changes.
func (r *Recording) changes(signal string) int {
	n, last, known := 0, 0.0, false
	for _, x := range r.Values(signal) {
		if x != x { // a gap
			continue
		}
		if known && x != last {
			n++
		}
		last, known = x, true
	}
	return n
}
