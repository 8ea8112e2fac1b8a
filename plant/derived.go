package plant

import "math"

// Derived holds the quantities that follow from a rig's values. Torques are at the motor
// shaft.
type Derived struct {
	MMPerRad           float64 // travel of the load per radian of the motor
	LoadTorqueNM       float64 // maximum magnitude of the static load torque between the stops, with the present payload
	WorstLoadTorqueNM  float64 // the same with the payload in operation for which it is greatest
	StartLoadTorqueNM  float64 // magnitude of the static load torque at the start
	TransmissionLossNM float64 // friction that represents the loss of the transmission when it moves against the load
	LoweringLossNM     float64 // the same when the load drives it
	LiftingTorqueNM    float64 // motor torque that raises the load slowly
	LoweringTorqueNM   float64 // motor torque that lowers it slowly
	GuideSlidingNM     float64 // friction of the guide with the loss of the transmission, against the load
	GuideLoweringNM    float64 // the same with the load
	GuideBreakawayNM   float64 // breakaway friction in the direction of the larger loss
	LoadInertiaKGM2    float64 // load and counterbalance, reflected to the shaft
	InertiaKGM2        float64 // with the motor
	BrakeStiffness     float64 // N·m/rad
	BrakeDamping       float64 // N·m·s/rad
	Brake2Stiffness    float64 // N·m/rad, of the second brake, at the motor shaft; 0 without one
	Brake2Damping      float64 // N·m·s/rad
	GuideStiffness     float64 // N·m/rad
	GuideDamping       float64 // N·m·s/rad
	StopStiffness      float64 // N·m/rad
	StopDamping        float64 // N·m·s/rad
	SupportStiffness   float64 // N·m/rad
	SupportDamping     float64 // N·m·s/rad
	SpeedGain          float64 // N·m·s/rad, of the drive's speed loop
	RequiredTestNM     float64 // factor times the maximum static load torque with the worst payload
	BrakeCapacityNM    float64 // static, in the present condition, less for creep
	Brake2CapacityNM   float64 // of the second brake, at the motor shaft; 0 without one
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
	held   float64 // N·m that holds the load where its torque is greatest; negative if it rises by itself
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
//	τ_L = |((m + m_p) sin α − m_c) g − F(s)| p/(2π n), the maximum between the stops
//	J_L = (m + m_p + m_c) (p/(2π n))² + J_e/n²
//
// An arm with its centre of mass at r has |(m + m_p) g cos φ − F(s)| r/n and
// (m + m_p) r²/n² + J_e/n². J_e is a further inertia at the slow side of the gear, such as that
// of a balanced arm about its pivot; a counterbalance by force has none. See [weight].
//
// Required is the torque with the payload in operation that makes it greatest, whatever is on
// the axis now (common practice). Source: statics and the energy of a moving mass, as in any
// motion-sizing handbook.
func deriveLoad(r *Rig, d *Derived) {
	metres := metresPerRad(r)
	w := weightOf(r)
	d.weight = w
	d.MMPerRad = metres * 1000
	d.held = -w.torque(w.worst(r.Stops.LowMM/d.MMPerRad, r.Stops.HighMM/d.MMPerRad))
	d.LoadTorqueNM, d.WorstLoadTorqueNM = math.Abs(d.held), worstPayload(r)
	d.StartLoadTorqueNM = math.Abs(w.torque(r.Load.StartMM / d.MMPerRad))
	n := r.Transmission.GearRatio
	d.LoadInertiaKGM2 = float64((r.Load.MassKG+r.Load.PayloadKG+r.Load.CounterbalanceKG)*metres*metres) + r.Load.InertiaKGM2/(n*n)
	d.InertiaKGM2 = r.Motor.InertiaKGM2 + d.LoadInertiaKGM2
	d.FreeFallMS2 = d.LoadTorqueNM / d.InertiaKGM2 * metres
	deriveFriction(r, d)
}

// deriveFriction adds the loss of the transmission to the friction of the guide. Raising takes
// τ_L/η, and lowering gives τ_L η_b back:
//
//	loss against the load: τ_L (1/η − 1)    loss with the load: τ_L (1 − η_b)
//
// An η_b that is not stated is that of the same loss in both directions, η_b = 2 − 1/η, the
// backdriving efficiency of a screw; at η up to 0.5 it is not above 0, and the transmission locks
// itself. The loss is that of the greatest load torque between the stops, everywhere. Source:
// motion-sizing handbooks and the handbooks of ball screw makers, η_b = 2 − 1/η (from memory).
func deriveFriction(r *Rig, d *Derived) {
	d.TransmissionLossNM = d.LoadTorqueNM * (1/r.Transmission.Efficiency - 1)
	d.LoweringLossNM = d.TransmissionLossNM
	if back := r.Transmission.EfficiencyLowering; back > 0 {
		d.LoweringLossNM = d.LoadTorqueNM * (1 - back)
	}
	against, with := r.Guide.curve(d.TransmissionLossNM), r.Guide.curve(d.LoweringLossNM)
	d.GuideSlidingNM, d.GuideLoweringNM = against.sliding, with.sliding
	d.GuideBreakawayNM = max(against.static, with.static)
	d.LiftingTorqueNM = d.LoadTorqueNM + d.GuideSlidingNM
	d.LoweringTorqueNM = d.LoadTorqueNM - d.GuideLoweringNM
}

// losses are the losses of the transmission in N·m upwards and downwards: a load that rises by
// itself drives it upwards.
func (d *Derived) losses() (up, down float64) {
	if d.held < 0 {
		return d.LoweringLossNM, d.TransmissionLossNM
	}
	return d.TransmissionLossNM, d.LoweringLossNM
}

func deriveElasticity(r *Rig, d *Derived) {
	d.BrakeStiffness, d.BrakeDamping = elasticity(r.Brake.StaticNM, r.Brake.WindUpDeg, r.Brake.DampingRatio, d.InertiaKGM2)
	if r.Brake2.Exists() {
		own := r.Brake2.atMotor(r.Transmission.GearRatio)
		d.Brake2Stiffness, d.Brake2Damping = elasticity(own.StaticNM, own.WindUpDeg, own.DampingRatio, d.InertiaKGM2)
	}
	d.GuideStiffness, d.GuideDamping = elasticity(d.GuideBreakawayNM, r.Guide.WindUpDeg, r.Guide.DampingRatio, d.InertiaKGM2)
	perRad := d.MMPerRad / 1000
	d.StopStiffness = r.Stops.StiffnessNPerMM * 1000 * perRad * perRad
	d.StopDamping = damping(r.Stops.DampingRatio, d.StopStiffness, d.InertiaKGM2)
	d.SupportStiffness = r.Support.StiffnessNPerMM * 1000 * perRad * perRad
	d.SupportDamping = damping(r.Support.DampingRatio, d.SupportStiffness, d.InertiaKGM2)
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
	return float64(2 * ratio * math.Sqrt(stiffness*inertia))
}

// deriveTest calculates the torques and currents of the test. At the brake the load adds to
// the motor torque of a press down and subtracts from that of a press up:
//
//	down: |τ_m| = τ_test − τ_L    up: τ_m = τ_test + τ_L
//
// τ_L is that of the present payload, at its greatest, and negative of a load that rises by
// itself; τ_test is that of the worst payload.
//
// Source: torque balance of the shaft at rest.
func deriveTest(r *Rig, d *Derived) {
	kt := r.Motor.TorqueConstant
	d.RequiredTestNM = r.Test.Factor * d.WorstLoadTorqueNM
	d.BrakeCapacityNM = brakeCapacity(r, &r.Brake)
	if r.Brake2.Exists() {
		own := r.Brake2.atMotor(r.Transmission.GearRatio)
		d.Brake2CapacityNM = brakeCapacity(r, &own)
	}
	d.DriveTorqueLimitNM = r.Drive.CurrentLimitRMSA * kt
	d.IncrementDeg = 360 / r.Encoder.IncrementsPerTurn
	d.HoldingCurrentRMSA = d.LoadTorqueNM / kt
	d.HoldingCurrentAmpA = math.Sqrt2 * d.HoldingCurrentRMSA
	d.PressDownNM = -(d.RequiredTestNM - d.held)
	d.PressUpNM = d.RequiredTestNM + d.held
	d.RequiredDownAmpA = math.Sqrt2 * d.PressDownNM / kt
	d.RequiredUpAmpA = math.Sqrt2 * d.PressUpNM / kt
}

// brakeCapacity is the torque that a brake holds in the condition in which a run starts.
func brakeCapacity(r *Rig, b *Brake) float64 {
	if b.OutputStuckOn {
		return 0
	}
	l := frictionDiscOf(b, 1)
	return b.StaticNM * l.factor(b.AmbientC+b.ExcessK, b.GapMM, max(b.Glaze, b.GlazeReturnsTo)) * timesOf(b).closesTo * creepShareOf(r, b)
}
