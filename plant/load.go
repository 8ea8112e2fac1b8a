package plant

import "math"

// weight is the torque of the load at the motor shaft; negative lowers the load.
//
//	linear:   τ_g = −(m sin α − m_counter) g p/(2π n)
//	arm:      τ_g = −m g r cos(φ)/n with φ = φ₀ + θ/n
//
// Source: statics.
type weight struct {
	constant float64 // N·m, of a linear axis
	moment   float64 // m g r/n in N·m, of an arm
	angle0   float64 // φ₀ in rad
	perTurn  float64 // 1/n of an arm; 0 for a linear axis
}

func (w *weight) torque(angle float64) float64 {
	if w.perTurn == 0 {
		return w.constant
	}
	return w.arm(angle)
}

func (w *weight) arm(angle float64) float64 {
	return -w.moment * math.Cos(w.angle0+float64(angle*w.perTurn))
}

// maximum is the largest magnitude of the torque between two angles in rad.
func (w *weight) maximum(low, high float64) float64 {
	if w.perTurn == 0 {
		return math.Abs(w.constant)
	}
	from, to := w.angle0+low*w.perTurn, w.angle0+high*w.perTurn
	if from <= 0 && to >= 0 {
		return w.moment
	}
	return max(math.Abs(w.torque(low)), math.Abs(w.torque(high)))
}

// armDeg is the angle of an arm above the horizontal at an angle of the motor in rad, 0 for
// a linear axis.
func (p *Plant) armDeg(angle float64) float64 {
	if p.c.weight.perTurn == 0 {
		return 0
	}
	return (p.c.weight.angle0 + angle*p.c.weight.perTurn) * 180 / math.Pi
}

// ArmMM is the travel in mm at which an arm has an angle in degrees, 0 for a linear axis.
func (p *Plant) ArmMM(degrees float64) float64 {
	w := &p.c.weight
	if w.perTurn == 0 {
		return 0
	}
	return (rad(degrees) - w.angle0) / w.perTurn * p.c.millimetres
}

func (r *Rig) isArm() bool { return r.Load.ArmMM > 0 }

// metresPerRad is the travel of the load per radian of the motor: p/(2π n) of a linear axis,
// r/n along the arc of an arm.
func metresPerRad(r *Rig) float64 {
	if r.isArm() {
		return r.Load.ArmMM / 1000 / r.Transmission.GearRatio
	}
	return r.Transmission.FeedConstantMMPerTurn / 1000 / (2 * math.Pi * r.Transmission.GearRatio)
}

func weightOf(r *Rig) weight {
	if r.isArm() {
		return weight{
			moment:  r.Load.MassKG * r.Load.GravityMS2 * r.Load.ArmMM / 1000 / r.Transmission.GearRatio,
			angle0:  rad(r.Load.ArmAngleDeg),
			perTurn: 1 / r.Transmission.GearRatio,
		}
	}
	unbalanced := r.Load.MassKG*math.Sin(rad(r.Load.InclineDeg)) - r.Load.CounterbalanceKG
	return weight{constant: -unbalanced * r.Load.GravityMS2 * metresPerRad(r)}
}

// LoadTorque is the static torque of a rig's load at the motor shaft in N·m, at a position of
// the load in mm; negative lowers it.
func LoadTorque(r *Rig, mm float64) float64 {
	w := weightOf(r)
	return w.torque(mm / 1000 / metresPerRad(r))
}

// freeLoad is a load whose transmission is severed: it falls freely from its present speed
// until it reaches a hard stop. The friction of its guide is neglected, which is on the safe
// side.
type freeLoad struct {
	severed bool
	inertia float64 // of load and counterbalance, reflected to the motor
	weight  weight
	angle   float64 // corresponding angle of the motor, rad
	speed   float64 // rad/s
}

// sever separates the load from a shaft at its present position and speed.
func (f *freeLoad) sever(s *shaft, w weight, inertia float64) {
	*f = freeLoad{severed: true, inertia: inertia, weight: w, angle: s.state.AngleRad, speed: s.state.SpeedRadS}
}

// Severed reports whether the load is separated from the motor shaft.
func (p *Plant) Severed() bool { return p.free.severed }

// LoadAtStandstill reports whether the speed of the load is below the standstill limit of the
// drive.
func (p *Plant) LoadAtStandstill() bool {
	speed := p.state.SpeedRadS
	if p.free.severed {
		speed = p.free.speed
	}
	return math.Abs(speed) < radS(p.rig.Drive.StandstillRPM)
}

// fall advances the load by one tick h with the midpoint rule. A hard stop ends its motion
// without rebound.
func (f *freeLoad) fall(h, low, high float64) {
	acceleration := f.weight.torque(f.angle+float64(f.speed*h/2)) / f.inertia
	f.angle += float64(f.speed*h) + float64(acceleration*h*h/2)
	f.speed += float64(acceleration * h)
	if f.angle < low || f.angle > high {
		f.angle, f.speed = max(low, min(high, f.angle)), 0
	}
}
