package life

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sim"
)

// Outcome is the outcome of a test.
type Outcome struct {
	Passed      bool // the judge gave its proof and the sequence ended in a pass
	Cause       string
	Duration    time.Duration
	WorkJ       float64
	SecondWorkJ float64 // of a second brake
	Judged      bool    // the judge was asked, so that there is a wind-up
	WindUp      float64 // deg, the most that the brake gave under the test torque, by the truth
	MeasuredDeg float64 // deg of the motor, the same and all else that moved, by the sequence's encoder
	SlipDeg     float64 // truth, until the verdict
	// ControllerStopped is where the controller stopped by itself; nil if it never did.
	ControllerStopped *sim.ControllerStop
}

// Tester tests a brake in its present state; draw is the source of random numbers.
type Tester interface {
	Test(b Brake, draw *rand.Rand) (Outcome, error)
}

// BenchTester runs every test as a whole run of the bench.
type BenchTester struct{ Case *sim.Case }

// Test runs the case with the brake and a seed of its own.
func (t BenchTester) Test(b Brake, draw *rand.Rand) (Outcome, error) {
	return runTest(t.Case, b, 1+draw.Uint64()>>1)
}

// runTest runs a case with a brake.
func runTest(c *sim.Case, b Brake, seed uint64) (Outcome, error) {
	own := *c
	b.in(&own.Rig)
	own.Seed = seed
	g := &measurement{perDeg: plant.Derive(&own.Rig).MMPerRad * math.Pi / 180}
	r, err := sim.Run(&own, g)
	if err != nil {
		return Outcome{}, fmt.Errorf("test of a brake with %.3g of its torque: %w", b.Condition, err)
	}
	return Outcome{
		Passed: r.End == sequence.EndPass.String() && r.Verdict == "proven", Cause: r.Cause,
		Duration: time.Duration(r.DurationS * float64(time.Second)),
		WorkJ:    r.SlipWorkJ, SecondWorkJ: g.secondWork, Judged: g.judged, WindUp: g.windUp, MeasuredDeg: g.seen, SlipDeg: g.slip,
		ControllerStopped: r.ControllerStopped,
	}, nil
}

// measurement is a tracer that measures while the judge is busy.
type measurement struct {
	perDeg             float64 // mm of load for a degree of the motor
	from               float64 // mm, where the closed brake was before the press
	judged, pressed    bool
	windUp, seen, slip float64 // deg
	secondWork         float64 // J
}

// Row takes one scan.
func (g *measurement) Row(r *sim.Row) error {
	g.pressed = g.pressed || r.Out.Drive == sequence.DrivePress
	if !g.pressed {
		g.from = r.In.PositionMM
	}
	deflection, slip := math.Abs(r.Truth.BrakeDeflectionRad), r.Truth.SlipRad
	if second := r.Brake2; second != nil {
		deflection, slip = max(deflection, math.Abs(second.BrakeDeflectionRad)), max(slip, second.SlipRad)
		g.secondWork = second.SlipWorkJ
	}
	if r.In.JudgeBusy {
		g.judged = true
		g.windUp = max(g.windUp, deflection*180/math.Pi)
		g.seen = max(g.seen, math.Abs(r.In.PositionMM-g.from)/g.perDeg)
		g.slip = slip * 180 / math.Pi
	}
	return nil
}
