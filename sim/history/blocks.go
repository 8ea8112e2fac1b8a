package history

import "math"

// BlockSamples is how many samples a block sums up.
const BlockSamples = 64

// Block sums up samples that follow each other, so that drawing a long run need not look at each
// of them. Block i of a run is about its samples from i·[BlockSamples] on. Torques are in N·m at
// the motor shaft, positions in mm.
type Block struct {
	Steady bool // one state in all of them

	Asked    Range
	Torque   Range // of the motor, as measured
	Motor    Range // as it is
	Brake    Range // while the brake is not open
	Capacity Range // while the brake is not open
	Position Range // as measured
	Load     Range // as it is
}

// Range is where a quantity went. All are NaN if it has no value; values that are no number or
// have no limit are left out.
type Range struct{ Low, High, First, Last float32 }

// Add takes a value that comes after those before.
func (r *Range) Add(v float32) {
	if v != v || math.IsInf(float64(v), 0) {
		return
	}
	r.Join(&Range{v, v, v, v})
}

// Join takes what comes after.
func (r *Range) Join(next *Range) {
	switch {
	case next.First != next.First:
	case r.First != r.First:
		*r = *next
	default:
		r.Low, r.High, r.Last = min(r.Low, next.Low), max(r.High, next.High), next.Last
	}
}

// NoRange is that of a quantity without a value.
func NoRange() Range {
	none := float32(math.NaN())
	return Range{none, none, none, none}
}

// Summary sums samples up; there must be one at least.
func Summary(samples []Sample) Block {
	none := NoRange()
	b := Block{Steady: true, Asked: none, Torque: none, Motor: none, Brake: none, Capacity: none, Position: none, Load: none}
	for i := range samples {
		s := &samples[i]
		b.Steady = b.Steady && s.State == samples[0].State
		b.Asked.Add(s.AskedNM)
		b.Torque.Add(s.TorqueNM)
		b.Motor.Add(s.MotorNM)
		b.Position.Add(s.PositionMM)
		b.Load.Add(s.LoadMM)
		if s.CapacityNM != 0 {
			b.Brake.Add(s.BrakeNM)
			b.Capacity.Add(s.CapacityNM)
		}
	}
	return b
}

// block sums the newest samples up once there are enough for a block.
func (r *Run) block() {
	if n := len(r.samples); n%BlockSamples == 0 {
		r.blocks = append(r.blocks, Summary(r.samples[n-BlockSamples:]))
	}
}

// Blocks sum up the samples so far, but for the last few that fill no block yet. Those handed out
// do not change any more.
func (r *Run) Blocks() []Block { return r.blocks[:len(r.blocks):len(r.blocks)] }
