package plant

// secondBrake is a second holding brake of the axis, with armature, friction disc, switch and wear
// of its own. While the transmission is whole it acts on the same shaft as the first:
//
//	J dω/dt = … + τ_b1 + τ_b2
//
// Everything of it is in coordinates of the motor shaft. One behind a gear of ratio n has there
//
//	τ = T/n,  φ_motor = n φ,  ω_motor = n ω
//
// so that its power and its work are those at its own shaft. A severed transmission leaves it with
// the load. Source: ideal gear, statics. The loss of the transmission is friction of the guide and
// helps neither brake twice.
type secondBrake struct {
	brake
	state BrakeState
	now   braking // of the present tick
}

func newSecondBrake(r *Rig) *secondBrake {
	b := &secondBrake{}
	own := r.Brake2.atMotor(r.Transmission.GearRatio)
	b.open(&b.state, &own)
	return b
}

// atMotor is the brake with its torques, angles and speeds at the motor shaft.
func (b *SecondBrake) atMotor(gearRatio float64) Brake {
	own := b.Brake
	if b.Place == PlaceMotor {
		return own
	}
	own.StaticNM /= gearRatio
	own.SlidingNM /= gearRatio
	own.StribeckRPM *= gearRatio
	own.WindUpDeg *= gearRatio
	own.PlayDeg *= gearRatio
	own.CreepDegPerS *= gearRatio
	return own
}

// severSecond moves a brake behind the transmission to the load that has just been severed.
func (p *Plant) severSecond() {
	f := &p.free
	if p.brake2 == nil || p.rig.Brake2.Place == PlaceMotor {
		return
	}
	p.second = nil
	f.braked = &shaft{second: p.brake2}
	f.braked.k.reloadShaft(p.rig.Clock.Tick.Seconds(), f.inertia, f.weight)
	f.braked.k.noGuide(f.inertia)
	f.braked.state.AngleRad, f.braked.state.SpeedRadS = f.angle, f.speed
}

// reloadSecond recalculates the constants of the second brake on a shaft of an inertia in kg·m².
func (p *Plant) reloadSecond(inertia float64) {
	if p.free.braked != nil {
		inertia = p.free.inertia
		p.free.braked.forgetSlope()
	}
	own := p.rig.Brake2.atMotor(p.rig.Transmission.GearRatio)
	p.brake2.reload(&p.brake2.state, &own, p.rig.Clock.Tick, inertia)
	p.brake2.disc.creepShare = creepShareOf(&p.rig, &own)
}

// slideDown advances a severed load with a brake by one tick.
func (f *freeLoad) slideDown() {
	f.braked.advance(0)
	f.angle, f.speed = f.braked.state.AngleRad, f.braked.state.SpeedRadS
}

// rest brings the load to rest at an angle in rad.
func (f *freeLoad) rest(angle float64) {
	f.angle, f.speed = angle, 0
	if f.braked != nil {
		f.braked.state.AngleRad, f.braked.state.SpeedRadS = angle, 0
	}
}

// cloneSecond gives a copy of the plant a second brake of its own, on the shaft on which this
// one's is.
func (p *Plant) cloneSecond(c *Plant) {
	if p.brake2 == nil {
		return
	}
	own := *p.brake2
	c.brake2 = &own
	if p.second != nil {
		c.second = c.brake2
	}
	if p.free.braked != nil {
		load := *p.free.braked
		load.second = c.brake2
		c.free.braked = &load
	}
}

// switches are the signals of the switches on both brakes, or with swapped wires those of the
// other one.
func (p *Plant) switches() (first, second bool) {
	r := &p.rig
	first = p.brake.feedback(&r.Brake, p.sensor.now)
	if p.brake2 == nil {
		return first, false
	}
	second = p.brake2.feedback(&r.Brake2.Brake, p.sensor.now)
	if r.Brake2.SwitchesSwapped {
		return second, first
	}
	return first, second
}

// Brake2State is the truth of the second brake, at the motor shaft; nil without one.
func (p *Plant) Brake2State() *BrakeState {
	if p.brake2 == nil {
		return nil
	}
	return &p.brake2.state
}

// StaticCapacity2NM is the static capacity of the second brake after a close command in N·m at
// the motor shaft, in its present condition; 0 without one.
func (p *Plant) StaticCapacity2NM() float64 {
	if p.brake2 == nil {
		return 0
	}
	return p.brake2.staticCapacity(&p.brake2.state)
}

// Brake2OnLoad reports whether the transmission is severed and the second brake is on the side of
// the load.
func (p *Plant) Brake2OnLoad() bool { return p.free.braked != nil }
