package runcmd

import (
	"math"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
)

// traceBuffer records what the strips below a timeline and a plot show, one sample a functional scan.
type traceBuffer struct {
	samples []sample
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
	p.samples = append(p.samples, s)
	return nil
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
func (p *traceBuffer) end() float64 {
	if len(p.samples) == 0 {
		return 0
	}
	return p.samples[len(p.samples)-1].t
}
