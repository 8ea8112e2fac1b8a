package report

import (
	"math"

	"holdbench/sim"
)

// quantity is one that a figure shows over time.
type quantity int

// The quantities, with their units.
const (
	loadMM      quantity = iota // true position of the load, mm
	positionMM                  // as the sequence reads it, mm
	motorNM                     // true motor torque, N·m
	torqueNM                    // as the sequence reads it, N·m
	brakeNM                     // true brake torque, magnitude, N·m
	capacityNM                  // of the brake at that moment, N·m
	brake2NM                    // of a second brake, N·m; no value without one
	capacity2NM                 // likewise
	currentA                    // true torque-forming current, amplitude, A
	judgeA                      // as the judge reads it, amplitude, A
	requiredA                   // that the sequence asks the judge to require, A; no value where none is
	quantities
)

// Trace keeps what the figures of a run show, one sample a functional scan. It is a [sim.Tracer].
type Trace struct {
	t      []float32
	values [quantities][]float32
}

// Row takes one scan.
func (p *Trace) Row(r *sim.Row) error {
	none := math.NaN()
	row := [quantities]float64{
		loadMM: r.LoadMM, positionMM: r.In.PositionMM,
		motorNM: r.Truth.MotorTorqueNM, torqueNM: r.In.TorqueNM, brakeNM: math.Abs(r.Truth.BrakeTorqueNM), capacityNM: r.Truth.CapacityNM,
		brake2NM: none, capacity2NM: none,
		currentA: math.Sqrt2 * r.Truth.CurrentRMSA, judgeA: r.JudgeCurrentA, requiredA: r.Out.RequiredCurrentA,
	}
	if r.Brake2 != nil {
		row[brake2NM], row[capacity2NM] = math.Abs(r.Brake2.BrakeTorqueNM), r.Brake2.CapacityNM
	}
	if row[requiredA] == 0 {
		row[requiredA] = none
	}
	p.t = append(p.t, float32(r.TS))
	for q, x := range row {
		p.values[q] = append(p.values[q], float32(x))
	}
	return nil
}

// begin is the time of the first sample, s.
func (p *Trace) begin() float64 {
	if len(p.t) == 0 {
		return 0
	}
	return float64(p.t[0])
}

// end is the time of the last sample, s.
func (p *Trace) end() float64 {
	if len(p.t) == 0 {
		return 0
	}
	return float64(p.t[len(p.t)-1])
}

// curve is a quantity over time, reduced to what a figure can show.
func (p *Trace) curve(q quantity) []point {
	return reduced(len(p.t), func(i int) point { return point{float64(p.t[i]), float64(p.values[q][i])} })
}

// point is one of a curve; a y that is NaN is a gap.
type point struct{ x, y float64 }

func (p point) isGap() bool { return math.IsNaN(p.y) || math.IsInf(p.y, 0) }

// columns is into how many stretches of time a curve is divided; each keeps its two extremes, so that
// no peak is lost.
const columns = 125

// reduced keeps the first, the last, the smallest and the largest sample of each stretch, in their order.
func reduced(n int, at func(i int) point) []point {
	if n <= 4*columns {
		list := make([]point, n)
		for i := range list {
			list[i] = at(i)
		}
		return list
	}
	list := make([]point, 0, 2*columns+2)
	list = append(list, at(0))
	for c := range columns {
		list = appendExtremes(list, c*n/columns, (c+1)*n/columns, at)
	}
	return append(list, at(n-1))
}

// appendExtremes adds the smallest and the largest of some samples, and a gap if there is one.
func appendExtremes(list []point, from, to int, at func(i int) point) []point {
	low, high, gap := -1, -1, -1
	for i := from; i < to; i++ {
		p := at(i)
		switch {
		case p.isGap():
			gap = i
		case low < 0:
			low, high = i, i
		case p.y < at(low).y:
			low = i
		case p.y > at(high).y:
			high = i
		}
	}
	if low < 0 {
		return append(list, point{at(from).x, math.NaN()})
	}
	if gap >= 0 && gap < min(low, high) {
		list = append(list, point{at(gap).x, math.NaN()})
	}
	list = append(list, at(min(low, high)))
	if low != high {
		list = append(list, at(max(low, high)))
	}
	if gap > max(low, high) {
		list = append(list, point{at(gap).x, math.NaN()})
	}
	return list
}
