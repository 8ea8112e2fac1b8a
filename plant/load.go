package plant

import (
	"math"

	"holdbench/plant/portable"
)

// weight is the torque of load, payload and counterbalance at the motor shaft; negative
// lowers the load. With s the travel:
//
//	linear:   τ_g = (−((m + m_p) sin α − m_c) g + F(s)) p/(2π n)
//	arm:      τ_g = (−(m + m_p) g cos(φ) + F(s)) r/n with φ = φ₀ + θ/n
//	force:    F(s) = F₀ + c (s − s₀)
//
// m kg own mass, m_p kg payload, m_c kg counterbalance by mass, α incline, g m/s², p m feed
// constant, n gear ratio, r m arm; F₀ N and c N/m a counterbalance by force, a spring or
// gas. The payload of an arm is at its centre of mass, and the force acts along its arc.
// Valid where F(s) is not negative. Source: statics; c of a gas spring is the linear part of
// its characteristic (common practice).
type weight struct {
	steady   bool    // the torque is the constant at any angle
	constant float64 // N·m, at zero travel, of an arm without its moment
	perRad   float64 // N·m/rad, of the force: c (p/(2π n))² or c (r/n)²
	moment   float64 // (m + m_p) g r/n in N·m, of an arm
	angle0   float64 // φ₀ in rad
	perTurn  float64 // 1/n of an arm; 0 for a linear axis
}

func (w *weight) torque(angle float64) float64 {
	if w.steady {
		return w.constant
	}
	return w.varying(angle)
}

func (w *weight) varying(angle float64) float64 {
	torque := w.constant + float64(w.perRad*angle)
	if w.perTurn != 0 {
		torque -= float64(w.moment * portable.Cos(w.angle0+float64(angle*w.perTurn)))
	}
	return torque
}

// worst is the angle in rad between two others at which the magnitude of the torque is
// greatest, the lowest of several. It lies at an end, or where the torque of an arm is
// stationary:
//
//	dτ_g/dθ = c (r/n)² + M sin(φ)/n = 0
//
// that is without a force at φ = 0, ±180 degrees. A range of more than two turns of the arm,
// which [Validate] refuses, is searched over two turns.
func (w *weight) worst(low, high float64) float64 {
	at := low
	consider := func(angle float64) {
		if angle > low && angle <= high && math.Abs(w.torque(angle)) > math.Abs(w.torque(at)) {
			at = angle
		}
	}
	if sine := -w.perRad / (w.moment * w.perTurn); math.Abs(sine) <= 1 { // false for a linear axis
		first, second := portable.Asin(sine), math.Pi-portable.Asin(sine)
		from := w.angle0 + float64(low*w.perTurn)
		turn := 2 * math.Pi * math.Floor(from/(2*math.Pi))
		for range 4 {
			consider((first + turn - w.angle0) / w.perTurn)
			consider((second + turn - w.angle0) / w.perTurn)
			turn += 2 * math.Pi
		}
	}
	consider(high)
	return at
}

// armDeg is the angle of an arm above the horizontal at an angle of the motor in rad, 0 for
// a linear axis.
func (p *Plant) armDeg(angle float64) float64 {
	if p.c.weight.perTurn == 0 {
		return 0
	}
	return (p.c.weight.angle0 + float64(angle*p.c.weight.perTurn)) * 180 / math.Pi
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

// weightOf is the weight with the payload that is on the axis now.
func weightOf(r *Rig) weight { return weightWith(r, r.Load.PayloadKG) }

// weightWith is the weight with a payload in kg.
func weightWith(r *Rig, payload float64) weight {
	l, metres := &r.Load, metresPerRad(r)
	mass := l.MassKG + payload
	force := l.CounterbalanceN - float64(l.CounterbalanceNPerMM*l.CounterbalanceAtMM) // at zero travel
	w := weight{perRad: l.CounterbalanceNPerMM * 1000 * metres * metres}
	if r.isArm() {
		w.moment = mass * l.GravityMS2 * l.ArmMM / 1000 / r.Transmission.GearRatio
		w.angle0 = rad(l.ArmAngleDeg)
		w.perTurn = 1 / r.Transmission.GearRatio
		w.constant = force * metres
		return w
	}
	unbalanced := float64(mass*portable.Sin(rad(l.InclineDeg))) - l.CounterbalanceKG
	w.constant = float64(-unbalanced*l.GravityMS2*metres) + float64(force*metres)
	w.steady = w.perRad == 0
	return w
}

// payloads are the least and the most payload in kg that the brake must hold: those of
// operation, and the present one should it lie outside. A most payload that is not stated is
// the present one.
func (l *Load) payloads() (least, most float64) {
	return min(l.PayloadLeastKG, l.PayloadKG), max(l.PayloadMostKG, l.PayloadKG)
}

// LoadTorque is the static torque of a rig's load at the motor shaft in N·m, with its present
// payload, at a position of the load in mm; negative lowers it.
func LoadTorque(r *Rig, mm float64) float64 {
	w := weightOf(r)
	return w.torque(mm / 1000 / metresPerRad(r))
}

// WorstPosition is the position in mm between two others at which the magnitude of the load
// torque is greatest, with the present payload; the lowest of several.
func WorstPosition(r *Rig, lowMM, highMM float64) float64 {
	w := weightOf(r)
	millimetres := metresPerRad(r) * 1000
	at := w.worst(lowMM/millimetres, highMM/millimetres) * millimetres
	return max(lowMM, min(highMM, at))
}

// worstPayload is the greatest magnitude of the load torque in N·m at any position between
// the stops with any payload in operation. The torque is linear in the payload, so that one of
// its limits is the worst: the least where the counterbalance outweighs an empty axis.
func worstPayload(r *Rig) float64 {
	low, high := r.Stops.LowMM/1000/metresPerRad(r), r.Stops.HighMM/1000/metresPerRad(r)
	least, most := r.Load.payloads()
	largest := 0.0
	for _, payload := range []float64{least, most} {
		w := weightWith(r, payload)
		largest = max(largest, math.Abs(w.torque(w.worst(low, high))))
	}
	return largest
}

// freeLoad is a load whose transmission is severed: it falls freely from its present speed
// until it reaches its support or a hard stop. The friction of its guide is neglected, which is
// on the safe side.
type freeLoad struct {
	severed bool
	inertia float64 // of load and counterbalance, reflected to the motor
	weight  weight
	angle   float64 // corresponding angle of the motor, rad
	speed   float64 // rad/s
	braked  *shaft  // the load with its brake, nil without one behind the transmission
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

// StopShare is the share of the load that a hard stop carries, 1 or more once it lies there. A
// severed load that lies on a stop rests on it as a whole.
func (p *Plant) StopShare() float64 {
	load := p.state.LoadTorqueNM
	switch f := &p.free; {
	case f.severed:
		low, high := p.rig.Stops.LowMM/p.c.millimetres, p.rig.Stops.HighMM/p.c.millimetres
		if pull := f.weight.torque(f.angle); f.angle <= low && pull <= 0 || f.angle >= high && pull >= 0 {
			return 1
		}
		return 0
	case load*p.state.StopTorqueNM >= 0:
		return 0
	}
	return math.Abs(p.state.StopTorqueNM / load)
}

// fall advances the load by one tick h with the midpoint rule. A support or a hard stop ends
// its motion without rebound.
func (f *freeLoad) fall(h, low, high float64) {
	if f.braked != nil {
		f.slideDown()
	} else {
		acceleration := f.weight.torque(f.angle+float64(f.speed*h/2)) / f.inertia
		f.angle += float64(f.speed*h) + float64(acceleration*h*h/2)
		f.speed += float64(acceleration * h)
	}
	if f.angle < low || f.angle > high {
		f.rest(max(low, min(high, f.angle)))
	}
}
