package plant

import (
	"math"
	"time"
)

// bareRig is a vertical axis without guide friction, noise, play or stops in reach, and with a
// brake that is open or closed long before the middle of a tick, in numbers that are easy to check by hand. The travel of 20π mm a turn gives
// 0.02π/(2π) = 0.01 m a radian, so that
//
//	τ_L = m g · 0.01 m = 50 kg · 10 m/s² · 0.01 m = 5 N·m
//	J   = J_m + m (0.01 m)² = 0.005 + 50 · 1e-4 = 0.01 kg·m²
//
// The brake has 20 N·m, at rest and slipping alike.
func bareRig() Rig {
	r := Defaults()
	r.Rig = "bare"
	r.Load.MassKG, r.Load.GravityMS2 = 50, 10
	r.Transmission.FeedConstantMMPerTurn = 20 * math.Pi
	r.Stops.LowMM, r.Stops.HighMM = -1e5, 1e5
	r.Motor.InertiaKGM2, r.Motor.TorqueConstant = 0.005, 1
	r.Drive.CurrentLimitRMSA, r.Drive.SpeedMMS, r.Drive.AccelerationMMS2 = 100, 150, 600
	r.Brake.StaticNM, r.Brake.SlidingNM = 20, 20
	r.Brake.ResponseDelay, r.Brake.RiseTime, r.Brake.ReleaseTime = time.Microsecond, time.Microsecond, time.Microsecond
	r.Judge.CeilingNM = 100
	return r
}

// The values that bareRig is made for.
const (
	bareInertia = 0.01 // kg·m²
	bareLoad    = 5.0  // N·m
	bareBrake   = 20.0 // N·m
)

// unpowered takes drive and current off the shaft at once.
func unpowered(p *Plant) *Plant {
	p.drive.mode, p.drive.commandRMSA = Off, 0
	p.state.CurrentRMSA, p.state.MotorTorqueNM = 0, 0
	return p
}

// run repeats one command for a time: sensors first, then the tick.
func run(p *Plant, c Command, d time.Duration) Reading {
	var last Reading
	for range int(d / p.rig.Clock.Tick) {
		last = p.Sample()
		p.Step(c)
	}
	return last
}

// stored is the energy of a shaft in J: moving mass, height, and the springs of
// guide, brake, stops, support and counterbalance. Of an arm it is without the height.
//
//	E = ½Jω² − τ_0 θ − ½ c θ² + Σ ½ k x²
func stored(p *Plant) float64 {
	k, s := &p.k, &p.state
	deflection := math.Max(0, math.Abs(s.BrakeDeflectionRad)-p.brake.friction.halfPlay)
	low, high := math.Max(0, k.stopLow-s.AngleRad), math.Max(0, s.AngleRad-k.stopHigh)
	support := math.Max(0, k.support-s.AngleRad)
	return k.inertia*s.SpeedRadS*s.SpeedRadS/2 - k.weight.constant*s.AngleRad - k.weight.perRad*s.AngleRad*s.AngleRad/2 +
		(k.guide.stiffness*s.GuideDeflectionRad*s.GuideDeflectionRad+p.brake.friction.stiffness*deflection*deflection+
			k.stopStiffness*(low*low+high*high)+k.supportStiffness*support*support)/2
}

// Sample is Observe and Read in one.
func (p *Plant) Sample() Reading {
	p.Observe()
	return p.Read()
}
