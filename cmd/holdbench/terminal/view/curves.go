package view

import (
	"math"

	"holdbench/sim/history"
)

// The quantities that curves are drawn of.
const (
	demandNM = iota
	motorNM
	brakeNM
	capacityNM
	negativeCapacityNM
	brake2NM
	capacity2NM
	negativeCapacity2NM
	positionMM
	loadMM
	quantities
)

// lane is one quantity in columns: its least and its largest value in each, NaN where it has
// none. The first and last value join a column to its neighbours.
type lane struct{ low, high, first, last []float32 }

func newLane(columns int) lane {
	part := make([]float32, 4*columns)
	for i := range part {
		part[i] = float32(math.NaN())
	}
	return lane{part[:columns], part[columns : 2*columns], part[2*columns : 3*columns], part[3*columns:]}
}

// data is one run reduced to columns.
type data struct {
	lanes   [quantities]lane
	columns int
	maxGap  int  // columns from one sample to the next, at most
	truth   bool // the motor's torque as it is, else as measured
}

// past is a run's samples, and blocks that sum them up as far as there are any.
type past struct {
	samples []history.Sample
	blocks  []history.Block
}

// block is the one that begins at a sample and does not reach beyond the last, nil if there is none.
func (p past) block(i, last int) *history.Block {
	const n = history.BlockSamples
	if i%n != 0 || i+n > last || i/n >= len(p.blocks) {
		return nil
	}
	return &p.blocks[i/n]
}

// stateEnd is the first sample after one, up to the last, that is of another state.
func (p past) stateEnd(i, last int) int {
	state := p.samples[i].State
	for i < last && p.samples[i].State == state {
		if b := p.block(i, last); b != nil && b.Steady {
			i += history.BlockSamples
			continue
		}
		i++
	}
	return i
}

// denseBlocks is how many blocks lie in a column at least when they stand for their samples: the
// edges of a column are then wrong by half of it at most.
const denseBlocks = 2

// reduce takes a run down to so many columns between two moments. It passes once over the samples,
// or over their blocks where many lie in a column; all that is drawn after that costs no more for a
// long run than for a short one.
func reduce(p past, fromS, toS float64, columns int, truth bool) *data {
	d := &data{columns: columns, maxGap: 1, truth: truth}
	if columns < 1 || len(p.samples) == 0 || !(toS > fromS) {
		return d
	}
	for q := range d.lanes {
		d.lanes[q] = newLane(columns)
	}
	first := at(p.samples, fromS)
	seen := between(p.samples, fromS, toS)
	last := first + len(seen)
	if len(seen) < denseBlocks*history.BlockSamples*columns {
		p.blocks = nil
	}
	scale := float64(columns) / (toS - fromS)
	for i := first; i < last; {
		column := min(max(int((p.samples[i].TS-fromS)*scale), 0), columns-1)
		if b := p.block(i, last); b != nil {
			d.addBlock(column, b)
			i += history.BlockSamples
			continue
		}
		d.add(column, &p.samples[i])
		i++
	}
	if len(seen) > 1 {
		d.maxGap = int((seen[len(seen)-1].TS-seen[0].TS)*scale/float64(len(seen)-1)) + 2
	}
	return d
}

func (d *data) add(column int, s *history.Sample) {
	none := float32(math.NaN())
	values := [quantities]float32{s.CommandedNM, s.TorqueNM, s.BrakeNM, s.CapacityNM, -s.CapacityNM, s.Brake2NM, s.Capacity2NM, -s.Capacity2NM, s.PositionMM, s.LoadMM}
	if d.truth {
		values[motorNM] = s.MotorNM
	}
	if s.CapacityNM == 0 { // an open brake is not part of the picture
		values[brakeNM], values[capacityNM], values[negativeCapacityNM] = none, none, none
	}
	if s.Capacity2NM == 0 {
		values[brake2NM], values[capacity2NM], values[negativeCapacity2NM] = none, none, none
	}
	for q, v := range values {
		if v == v && !math.IsInf(float64(v), 0) {
			d.lanes[q].join(column, v, v, v, v)
		}
	}
}

// addBlock adds all samples of a block to the column of its first.
func (d *data) addBlock(column int, b *history.Block) {
	against, against2 := negative(&b.Capacity), negative(&b.Capacity2)
	ranges := [quantities]*history.Range{&b.Commanded, &b.Torque, &b.Brake, &b.Capacity, &against, &b.Brake2, &b.Capacity2, &against2, &b.Position, &b.Load}
	if d.truth {
		ranges[motorNM] = &b.Motor
	}
	for q, r := range ranges {
		if r.First == r.First {
			d.lanes[q].join(column, r.Low, r.High, r.First, r.Last)
		}
	}
}

func negative(r *history.Range) history.Range {
	return history.Range{Low: -r.High, High: -r.Low, First: -r.First, Last: -r.Last}
}

// join adds values that come after those in a column.
func (l *lane) join(column int, low, high, first, last float32) {
	if l.first[column] != l.first[column] {
		l.first[column], l.low[column], l.high[column] = first, low, high
	}
	l.last[column] = last
	l.low[column], l.high[column] = min(l.low[column], low), max(l.high[column], high)
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

// differ is whether two quantities are further apart anywhere than so much.
func (d *data) differ(p, q int, by float64) bool {
	for i := range d.lanes[p].last {
		if math.Abs(float64(d.lanes[p].last[i]-d.lanes[q].last[i])) > by {
			return true
		}
	}
	return false
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
		if before >= 0 && x-before <= d.maxGap {
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
