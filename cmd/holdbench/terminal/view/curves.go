package view

import (
	"math"

	"holdbench/sim/history"
)

// The quantities that curves are drawn of.
const (
	askedNM = iota
	motorNM
	brakeNM
	capacityNM
	againstNM // the capacity the other way
	positionMM
	loadMM
	quantities
)

// lane is one quantity in columns: its least and its largest value in each, NaN where it has
// none. The first and last value join a column to its neighbours.
type lane struct{ low, high, first, last []float32 }

// data is one run reduced to columns.
type data struct {
	lanes   [quantities]lane
	columns int
	apart   int  // columns from one sample to the next, at most
	truth   bool // the motor's torque as it is, else as measured
}

// reduce takes a run down to so many columns between two moments. It passes over the samples
// once; all that is drawn after that costs no more for a long run than for a short one.
func reduce(samples []history.Sample, fromS, toS float64, columns int, truth bool) *data {
	d := &data{columns: columns, apart: 1, truth: truth}
	if columns < 1 || len(samples) == 0 || !(toS > fromS) {
		return d
	}
	none := float32(math.NaN())
	all := make([]float32, 4*quantities*columns)
	for i := range all {
		all[i] = none
	}
	for q := range d.lanes {
		part := all[4*q*columns:]
		d.lanes[q] = lane{part[:columns], part[columns : 2*columns], part[2*columns : 3*columns], part[3*columns : 4*columns]}
	}
	seen := between(samples, fromS, toS)
	scale := float64(columns) / (toS - fromS)
	for i := range seen {
		d.add(min(max(int((seen[i].TS-fromS)*scale), 0), columns-1), &seen[i])
	}
	if len(seen) > 1 {
		d.apart = int((seen[len(seen)-1].TS-seen[0].TS)*scale/float64(len(seen)-1)) + 2
	}
	return d
}

func (d *data) add(column int, s *history.Sample) {
	none := float32(math.NaN())
	values := [quantities]float32{s.AskedNM, s.TorqueNM, s.BrakeNM, s.CapacityNM, -s.CapacityNM, s.PositionMM, s.LoadMM}
	if d.truth {
		values[motorNM] = s.MotorNM
	}
	if s.CapacityNM == 0 { // an open brake is not part of the picture
		values[brakeNM], values[capacityNM], values[againstNM] = none, none, none
	}
	for q, v := range values {
		if v != v || math.IsInf(float64(v), 0) {
			continue
		}
		l := &d.lanes[q]
		if l.first[column] != l.first[column] {
			l.first[column], l.low[column], l.high[column] = v, v, v
		}
		l.last[column] = v
		l.low[column], l.high[column] = min(l.low[column], v), max(l.high[column], v)
	}
}

// extent is between which values some quantities go.
func (d *data) extent(low, high float64, of ...int) (float64, float64) {
	for _, q := range of {
		for i := range d.lanes[q].low {
			if v := d.lanes[q].low[i]; v == v {
				low, high = min(low, float64(v)), max(high, float64(d.lanes[q].high[i]))
			}
		}
	}
	return low, high
}

// line says in which columns a curve has dots, so that curves differ without colour.
type line func(column int) bool

func solid(int) bool         { return true }
func dashed(column int) bool { return column%6 < 3 }
func dotted(column int) bool { return column%3 == 0 }

// curve draws a quantity, each column joined to the one before.
func (p *plot) curve(d *data, q int, on line) {
	l := &d.lanes[q]
	before := -1
	for x := range l.low {
		if l.low[x] != l.low[x] {
			continue
		}
		low, high := l.low[x], l.high[x]
		if before >= 0 && x-before <= d.apart {
			low, high = p.join(l, before, x, on)
		}
		if on(x) {
			p.span(x, float64(low), float64(high))
		}
		before = x
	}
}

// join draws the columns between two that have values, and returns the second one stretched
// half way to the first, as far as they do not meet.
func (p *plot) join(l *lane, from, to int, on line) (low, high float32) {
	a, b := l.last[from], l.first[to]
	for x := from + 1; x < to; x++ {
		v := float64(a) + float64(b-a)*float64(x-from)/float64(to-from)
		if on(x) {
			p.span(x, v, v)
		}
	}
	if to-from > 1 {
		return l.low[to], l.high[to]
	}
	return min(l.low[to], max(a, l.low[from])), max(l.high[to], min(a, l.high[from]))
}
