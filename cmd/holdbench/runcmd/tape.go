package runcmd

import (
	"math"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
)

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
		t: r.TS, motorNM: r.Truth.MotorTorqueNM, bornNM: math.Abs(r.Truth.BrakeTorqueNM),
		capacity: r.Truth.CapacityNM, loadMM: r.LoadMM,
	})
	return nil
}

// fold reduces the tape to so many columns; value gives a sample's figure and
// whether it has one, and the figure furthest from zero stands for its column.
func (p *tape) fold(columns int, value func(i int, s sample) (float64, bool)) []page.Column {
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
func (p *tape) end() float64 {
	if len(p.samples) == 0 {
		return 0
	}
	return p.samples[len(p.samples)-1].t
}
