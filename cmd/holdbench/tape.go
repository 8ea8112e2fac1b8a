package main

import "holdbench/sim"

// tape keeps what the strips below a timeline are drawn from, one sample a
// functional scan.
type tape struct {
	samples []sample
}

type sample struct {
	t        float64
	motorNM  float64
	bornNM   float64 // by the brake, size
	capacity float64 // of the brake at that moment
	loadMM   float64
}

// Row keeps one scan.
func (p *tape) Row(r *sim.Row) error {
	p.samples = append(p.samples, sample{
		t: r.TS, motorNM: r.Truth.MotorTorqueNM, bornNM: size(r.Truth.BrakeTorqueNM),
		capacity: r.Truth.CapacityNM, loadMM: r.LoadMM,
	})
	return nil
}

// fold reduces the tape to so many columns; value gives a sample's figure and
// whether it has one, and the figure furthest from zero stands for its column.
func (p *tape) fold(columns int, value func(i int, s sample) (float64, bool)) []column {
	folded := make([]column, columns)
	for i, s := range p.samples {
		x, ok := value(i, s)
		if !ok {
			continue
		}
		c := &folded[min(columns-1, i*columns/len(p.samples))]
		if !c.filled || size(x) > size(c.value) {
			*c = column{x, true}
		}
	}
	return folded
}

// column is one character of a strip.
type column struct {
	value  float64
	filled bool
}

// end is the time of the last sample.
func (p *tape) end() float64 {
	if len(p.samples) == 0 {
		return 0
	}
	return p.samples[len(p.samples)-1].t
}

func size(x float64) float64 { return max(x, -x) }
