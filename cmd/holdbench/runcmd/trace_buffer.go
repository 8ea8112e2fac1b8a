package runcmd

import (
	"math"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
)

// mostSamples bounds the samples of a run: one minute of scans of 2 ms is kept as it is, and of more what
// a line of two pixels in width can show.
const mostSamples = 1 << 15

// traceBuffer records what the strips below a timeline and a plot show, one sample a functional scan. Of a long
// run it keeps the highest and the lowest value of each quantity over equal numbers of scans.
type traceBuffer struct {
	samples []sample
	joined  int // scans that a sample stands for; 0 and 1: one
	group   []sample
	last    float64 // time of the newest scan, s
}

type sample struct {
	t        float64
	motorNM  float64
	brakeNM  float64 // magnitude
	capacity float64 // of the brake at that moment

	brake2NM, capacity2 float64 // the same of a second brake, 0 without one
	loadMM              float64

	positionMM, dropMM          float64 // as measured; the largest drop so far
	currentA, judgeA, requiredA float64 // amplitudes; the last is 0 where none is required
}

// values are the quantities of a sample.
func (s *sample) values() []*float64 {
	return []*float64{
		&s.motorNM, &s.brakeNM, &s.capacity, &s.brake2NM, &s.capacity2, &s.loadMM,
		&s.positionMM, &s.dropMM, &s.currentA, &s.judgeA, &s.requiredA,
	}
}

// Row records one scan.
func (p *traceBuffer) Row(r *sim.Row) error {
	s := sample{
		t: r.TS, motorNM: r.Truth.MotorTorqueNM, brakeNM: math.Abs(r.Truth.BrakeTorqueNM),
		capacity: r.Truth.CapacityNM, loadMM: r.LoadMM, positionMM: r.In.PositionMM, dropMM: r.DropMM,
		currentA: math.Sqrt2 * r.Truth.CurrentRMSA, judgeA: r.JudgeCurrentA, requiredA: r.Out.RequiredCurrentA,
	}
	if r.Brake2 != nil {
		s.brake2NM, s.capacity2 = math.Abs(r.Brake2.BrakeTorqueNM), r.Brake2.CapacityNM
	}
	p.add(s)
	return nil
}

// add takes a sample. Once there are too many, pairs of them are joined, and so are those that follow.
func (p *traceBuffer) add(s sample) {
	p.last = s.t
	if p.joined <= 1 {
		p.samples = append(p.samples, s)
	} else if p.group = append(p.group, s); len(p.group) == 2*p.joined {
		low, high := extremes(p.group)
		p.samples, p.group = append(p.samples, low, high), p.group[:0]
	}
	if len(p.samples) < mostSamples {
		return
	}
	kept := p.samples[:0]
	for i := 0; i < len(p.samples); i += 4 {
		first, second := extremes(p.samples[i : i+4])
		kept = append(kept, first, second)
	}
	p.samples, p.joined = kept, 2*max(1, p.joined)
}

// finish takes the last scans, which fill no pair of samples.
func (p *traceBuffer) finish() {
	if len(p.group) > 0 {
		low, high := extremes(p.group)
		p.samples, p.group = append(p.samples, low, high), nil
	}
}

// extremes are two samples that stand for successive ones: of each quantity they have the lowest and the highest
// value, in their order.
func extremes(list []sample) (first, second sample) {
	first, second = list[0], list[0]
	first.t, second.t = list[0].t, list[len(list)/2].t
	early, late := first.values(), second.values()
	columns := make([][]*float64, len(list))
	for i := range list {
		columns[i] = list[i].values()
	}
	for k := range early {
		low, high := 0, 0
		for i := range columns {
			if *columns[i][k] < *columns[low][k] {
				low = i
			}
			if *columns[i][k] > *columns[high][k] {
				high = i
			}
		}
		*early[k], *late[k] = *columns[min(low, high)][k], *columns[max(low, high)][k]
	}
	return first, second
}

// fold reduces the buffer to a number of columns; value gives a sample's figure and whether it has
// one, and the figure furthest from zero represents its column.
func (p *traceBuffer) fold(columns int, value func(i int, s sample) (float64, bool)) []page.Column {
	folded := make([]page.Column, columns)
	for i, s := range p.samples {
		x, ok := value(i, s)
		if !ok {
			continue
		}
		c := &folded[min(columns-1, i*columns/len(p.samples))]
		if !c.Filled || math.Abs(x) > math.Abs(c.Value) {
			*c = page.Column{Value: x, Filled: true}
		}
	}
	return folded
}

// end is the time of the last sample.
func (p *traceBuffer) end() float64 { return p.last }
