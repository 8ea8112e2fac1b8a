package plant

import "math"

// Derived holds the quantities that follow from a rig's values. Torques are at the motor
// shaft.
type Derived struct {
	MMPerRad           float64 // travel of the load per radian of the motor
	LoadTorqueNM       float64 // maximum magnitude of the static load torque between the stops
	StartLoadTorqueNM  float64 // magnitude of the static load torque at the start
	TransmissionLossNM float64 // friction that represents the loss of the transmission
	LiftingTorqueNM    float64 // motor torque that raises the load slowly
	LoweringTorqueNM   float64 // motor torque that lowers it slowly
	GuideSlidingNM     float64 // friction of the guide with the loss of the transmission
	GuideBreakawayNM   float64
	LoadInertiaKGM2    float64 // load and counterbalance, reflected to the shaft
	InertiaKGM2        float64 // with the motor
	BrakeStiffness     float64 // N·m/rad
	BrakeDamping       float64 // N·m·s/rad
	GuideStiffness     float64 // N·m/rad
	GuideDamping       float64 // N·m·s/rad
	StopStiffness      float64 // N·m/rad
	StopDamping        float64 // N·m·s/rad
	SpeedGain          float64 // N·m·s/rad, of the drive's speed loop
	RequiredTestNM     float64 // factor times the maximum static load torque
	BrakeCapacityNM    float64 // static, in the present condition
	DriveTorqueLimitNM float64
	IncrementDeg       float64
	HoldingCurrentRMSA float64
	HoldingCurrentAmpA float64
	PressDownNM        float64 // motor torque that loads the brake with the test torque
	PressUpNM          float64
	RequiredDownAmpA   float64
	RequiredUpAmpA     float64
	FreeFallMS2        float64 // acceleration of the load without brake and drive

	weight weight
}

// Derive calculates the quantities that follow from the rig's values.
func Derive(r *Rig) Derived {
	var d Derived
	deriveLoad(r, &d)
	deriveElasticity(r, &d)
	deriveTest(r, &d)
	return d
}

// deriveLoad reflects the load to the motor shaft. With p the feed constant in m and n the
// gear ratio:
//
//	τ_L = |m sin α − m_counter| g p/(2π n)
//	J_L = (m + m_counter) (p/(2π n))²
//
// An arm with its centre of mass at r has m g r |cos φ|/n, the maximum between the stops,
// and m r²/n².
//
// The loss of the transmission is modelled as friction: lifting requires τ_L (1/η − 1) more
// than τ_L. Source: statics and the energy of a moving mass, as in any motion-sizing
// handbook.
func deriveLoad(r *Rig, d *Derived) {
	metres := metresPerRad(r)
	w := weightOf(r)
	d.weight = w
	d.MMPerRad = metres * 1000
	d.LoadTorqueNM = w.maximum(r.Stops.LowMM/d.MMPerRad, r.Stops.HighMM/d.MMPerRad)
	d.StartLoadTorqueNM = math.Abs(w.torque(r.Load.StartMM / d.MMPerRad))
	d.LoadInertiaKGM2 = (r.Load.MassKG + r.Load.CounterbalanceKG) * metres * metres
	d.InertiaKGM2 = r.Motor.InertiaKGM2 + d.LoadInertiaKGM2
	d.TransmissionLossNM = d.LoadTorqueNM * (1/r.Transmission.Efficiency - 1)
	guide := r.Guide.curve(d.TransmissionLossNM)
	d.GuideSlidingNM, d.GuideBreakawayNM = guide.sliding, guide.static
	d.LiftingTorqueNM = d.LoadTorqueNM + d.GuideSlidingNM
	d.LoweringTorqueNM = d.LoadTorqueNM - d.GuideSlidingNM
	d.FreeFallMS2 = d.LoadTorqueNM / d.InertiaKGM2 * metres
}

func deriveElasticity(r *Rig, d *Derived) {
	d.BrakeStiffness, d.BrakeDamping = elasticity(r.Brake.StaticNM, r.Brake.WindUpDeg, r.Brake.DampingRatio, d.InertiaKGM2)
	d.GuideStiffness, d.GuideDamping = elasticity(d.GuideBreakawayNM, r.Guide.WindUpDeg, r.Guide.DampingRatio, d.InertiaKGM2)
	perRad := d.MMPerRad / 1000
	d.StopStiffness = r.Stops.StiffnessNPerMM * 1000 * perRad * perRad
	d.StopDamping = damping(r.Stops.DampingRatio, d.StopStiffness, d.InertiaKGM2)
	d.SpeedGain = 2 * math.Pi * r.Drive.SpeedBandwidthHz * d.InertiaKGM2
}

// elasticity converts the deflection φ in degrees at a torque T and a damping ratio ζ into
// stiffness and damping, with J the inertia on the spring:
//
//	σ₀ = T/φ, σ₁ = 2 ζ √(σ₀ J)
//
// Source: linear oscillator, any text on mechanical vibration.
func elasticity(torque, deflectionDeg, ratio, inertia float64) (stiffness, damper float64) {
	stiffness = torque / rad(deflectionDeg)
	return stiffness, damping(ratio, stiffness, inertia)
}

func damping(ratio, stiffness, inertia float64) float64 {
	return 2 * ratio * math.Sqrt(stiffness*inertia)
}

// deriveTest calculates the torques and currents of the test. At the brake the load adds to
// the motor torque of a press down and subtracts from that of a press up:
//
//	down: |τ_m| = τ_test − τ_L    up: τ_m = τ_test + τ_L
//
// Source: torque balance of the shaft at rest.
func deriveTest(r *Rig, d *Derived) {
	kt := r.Motor.TorqueConstant
	d.RequiredTestNM = r.Test.Factor * d.LoadTorqueNM
	d.BrakeCapacityNM = brakeCapacity(&r.Brake)
	d.DriveTorqueLimitNM = r.Drive.CurrentLimitRMSA * kt
	d.IncrementDeg = 360 / r.Encoder.IncrementsPerTurn
	d.HoldingCurrentRMSA = d.LoadTorqueNM / kt
	d.HoldingCurrentAmpA = math.Sqrt2 * d.HoldingCurrentRMSA
	d.PressDownNM = -(d.RequiredTestNM - d.LoadTorqueNM)
	d.PressUpNM = d.RequiredTestNM + d.LoadTorqueNM
	d.RequiredDownAmpA = math.Sqrt2 * d.PressDownNM / kt
	d.RequiredUpAmpA = math.Sqrt2 * d.PressUpNM / kt
}

// brakeCapacity is the static torque of a brake in its present condition, cold.
func brakeCapacity(b *Brake) float64 {
	l := frictionDiscOf(b, 1)
	return b.StaticNM * l.factor(b.AmbientC, b.GapMM, b.Glaze) * timesOf(b).closesTo
}
