package history

import (
	"math"

	"holdbench/sequence"
	"holdbench/sim"
)

// Sample is one functional scan, for curves. Torques are in N·m at the motor
// shaft, positions in mm.
type Sample struct {
	Tick  int64
	TS    float64
	State int

	PositionMM  float32 // measured
	LoadMM      float32 // true
	CommandedNM float32 // press torque, NaN while the drive does not press
	TorqueNM    float32 // of the motor, measured
	MotorNM     float32 // true
	BrakeNM     float32 // carried by the brake
	CapacityNM  float32 // of the brake at its engagement
	Brake2NM    float32 // carried by a second brake; 0 without one
	Capacity2NM float32 // of the second brake at its engagement
}

// sampler is the tracer of the head of a run.
type sampler struct{ run *Run }

// Row takes one scan.
func (s sampler) Row(row *sim.Row) error {
	r := s.run
	commanded := math.NaN()
	if row.Out.Drive == sequence.DrivePress {
		commanded = row.Out.PressTorqueNM
	}
	var carried2, capacity2 float64
	if b := row.Brake2; b != nil {
		carried2, capacity2 = b.BrakeTorqueNM, b.CapacityNM
	}
	r.samples = append(r.samples, Sample{
		Tick: r.head.Ticks(), TS: row.TS, State: r.head.StateIndex(),
		PositionMM: float32(row.In.PositionMM), LoadMM: float32(row.LoadMM),
		CommandedNM: float32(commanded), MotorNM: float32(row.Truth.MotorTorqueNM), TorqueNM: float32(row.In.TorqueNM),
		BrakeNM: float32(row.Truth.BrakeTorqueNM), CapacityNM: float32(row.Truth.CapacityNM),
		Brake2NM: float32(carried2), Capacity2NM: float32(capacity2),
	})
	r.addBlock()
	return nil
}
