package history

import "math"

// BlockSamples is the number of samples of a block.
const BlockSamples = 64

// Block sums up successive samples, so that drawing a long run does not read each of them. Block
// i of a run sums up its samples from i·[BlockSamples] on. Torques are in N·m at the motor
// shaft, positions in mm.
type Block struct {
	Steady bool // all in one state

	Commanded Range
	Torque    Range // of the motor, measured
	Motor     Range // true
	Brake     Range // while the brake is not open
	Capacity  Range // while the brake is not open
	Brake2    Range // while a second brake is not open
	Capacity2 Range // while a second brake is not open
	Position  Range // measured
	Load      Range // true
}

// Range is the range of a quantity. All are NaN if it has no value; NaN and infinite values are
// left out.
type Range struct{ Low, High, First, Last float32 }

// Add adds the next value.
func (r *Range) Add(v float32) {
	if v != v || math.IsInf(float64(v), 0) {
		return
	}
	r.Join(&Range{v, v, v, v})
}

// Join adds the next range.
func (r *Range) Join(next *Range) {
	switch {
	case next.First != next.First:
	case r.First != r.First:
		*r = *next
	default:
		r.Low, r.High, r.Last = min(r.Low, next.Low), max(r.High, next.High), next.Last
	}
}

// noRange is that of a quantity without a value.
func noRange() Range {
	none := float32(math.NaN())
	return Range{none, none, none, none}
}

// Summary sums samples up; there must be one at least.
func Summary(samples []Sample) Block {
	none := noRange()
	b := Block{Steady: true, Commanded: none, Torque: none, Motor: none, Brake: none, Capacity: none, Brake2: none, Capacity2: none, Position: none, Load: none}
	for i := range samples {
		s := &samples[i]
		b.Steady = b.Steady && s.State == samples[0].State
		b.Commanded.Add(s.CommandedNM)
		b.Torque.Add(s.TorqueNM)
		b.Motor.Add(s.MotorNM)
		b.Position.Add(s.PositionMM)
		b.Load.Add(s.LoadMM)
		if s.CapacityNM != 0 {
			b.Brake.Add(s.BrakeNM)
			b.Capacity.Add(s.CapacityNM)
		}
		if s.Capacity2NM != 0 {
			b.Brake2.Add(s.Brake2NM)
			b.Capacity2.Add(s.Capacity2NM)
		}
	}
	return b
}

// addBlock sums up the newest samples once they fill a block.
func (r *Run) addBlock() {
	if n := len(r.samples); n%BlockSamples == 0 {
		r.blocks = append(r.blocks, Summary(r.samples[n-BlockSamples:]))
	}
}

// Blocks sum up the samples so far, except for the last ones that do not fill a block yet. Those
// returned do not change any more.
func (r *Run) Blocks() []Block { return r.blocks[:len(r.blocks):len(r.blocks)] }
