package plant

import (
	"math"
	"time"
)

// conversions convert electrical and measured quantities into mechanical ones.
type conversions struct {
	tick                           time.Duration
	torqueConstant                 float64 // true, N·m per A rms
	millimetres                    float64 // per rad
	encoderStep, perStep, encoder0 float64 // rad, 1/rad, rad
	encoderTurn                    int64
	encoderStands                  bool // its reading is frozen or lost
	encoderScale                   float64
	encoderDrift, encoderNoise     float64 // rad a tick, rad
	weight                         weight  // of the load, severed or not
	worstLoadNM                    float64
	supportRad                     float64 // −Inf without a support
}

// Reload recalculates the constants after a change of the rig's values.
func (p *Plant) Reload() {
	r := &p.rig
	d := Derive(r)
	p.c = conversionsOf(r, &d)
	p.sensor.rescale(r.Encoder.Scale, p.state.AngleRad)
	p.loop.reload(r, p.sensor.amps)
	p.angle.reload(p)
	p.heat.reload(r)
	inertia, load := d.InertiaKGM2, p.c.weight
	if r.Transmission.Severed && !p.free.severed {
		p.free.sever(&p.shaft, load, d.LoadInertiaKGM2)
		p.severSecond()
	}
	if p.free.severed {
		inertia, load = r.Motor.InertiaKGM2, weight{steady: true}
	}
	k := &p.k
	k.reloadShaft(r.Clock.Tick.Seconds(), inertia, load)
	if p.free.severed { // the guide is on the load side
		k.noGuide(inertia)
	} else {
		up, down := d.losses()
		k.reloadGuide(&r.Guide, up, down, inertia)
	}
	k.reloadStops(r, &d)
	if p.free.severed {
		k.noStops()
	}
	p.simple = p.brake2 == nil && p.partner == nil && !p.free.severed
	p.forgetSlope()
	p.brake.reload(&p.state.BrakeState, &r.Brake, r.Clock.Tick, inertia)
	p.brake.disc.creepShare = creepShareOf(r, &r.Brake)
	if p.brake2 != nil {
		p.reloadSecond(inertia)
	}
	p.drive.reload(r, &d)
	if p.partner != nil {
		p.partner.reload(r, inertia)
		p.partner.forgetSlope()
	}
}

func (k *constants) reloadShaft(tick, inertia float64, load weight) {
	k.tick, k.inertia, k.weight = tick, inertia, load
	k.perTick = 2 * inertia / tick
}

// reloadStops sets hard stops and support.
func (k *constants) reloadStops(r *Rig, d *Derived) {
	k.stopLow, k.stopHigh = r.Stops.LowMM/d.MMPerRad, r.Stops.HighMM/d.MMPerRad
	k.stopStiffness, k.stopDamping = d.StopStiffness, inTick(d.StopStiffness, d.StopDamping, k.tick, 0)
	k.support = supportRad(r, d)
	k.supportStiffness, k.supportDamping = d.SupportStiffness, inTick(d.SupportStiffness, d.SupportDamping, k.tick, 0)
	k.lowestContact = max(k.stopLow, k.support)
}

// noStops is a shaft without hard stops and support.
func (k *constants) noStops() {
	k.stopLow, k.stopHigh = math.Inf(-1), math.Inf(1)
	k.support, k.lowestContact = math.Inf(-1), math.Inf(-1)
}

// reloadGuide adds the loss of the transmission in N·m, upwards and downwards, to the friction
// of the guide. The stiffness is that of the larger friction.
func (k *constants) reloadGuide(g *Guide, up, down, inertia float64) {
	k.guideCurve, k.guideLowering = g.curve(up), down-up
	stiffness, damper := elasticity(g.curve(max(up, down)).static, g.WindUpDeg, g.DampingRatio, inertia)
	k.guide = sliderInTick(stiffness, damper, k.tick)
	k.guideSlope = float64(k.guide.stiffness*k.tick) + k.guide.damping
	k.viscous = g.ViscousNMS
}

// noGuide is a shaft without friction of a guide, stops and support.
func (k *constants) noGuide(inertia float64) {
	k.reloadGuide(&Guide{StribeckRPM: 1, WindUpDeg: 1}, 0, 0, inertia)
	k.noStops()
}

// curve is the friction of a guide plus the loss of the transmission in N·m.
func (g *Guide) curve(loss float64) curve {
	return curve{
		static: max(g.BreakawayNM, g.SlidingNM) + loss, sliding: g.SlidingNM + loss, scale: radS(g.StribeckRPM),
	}
}

func conversionsOf(r *Rig, d *Derived) conversions {
	c := conversions{
		torqueConstant: r.Motor.TorqueConstant * r.Motor.TorqueFactor,
		millimetres:    d.MMPerRad,
		tick:           r.Clock.Tick,
		encoderTurn:    int64(r.Encoder.IncrementsPerTurn),
		encoderStands:  r.Encoder.Frozen || r.Encoder.Lost,
		encoder0:       rad(r.Encoder.OffsetDeg),
		encoderScale:   r.Encoder.Scale,
		encoderNoise:   rad(r.Encoder.NoiseDeg),
		encoderDrift:   rad(r.Encoder.DriftDegPerS) * r.Clock.Tick.Seconds(),
		weight:         d.weight,
		worstLoadNM:    d.WorstLoadTorqueNM,
		supportRad:     supportRad(r, d),
	}
	c.encoderStep = 2 * math.Pi / r.Encoder.IncrementsPerTurn
	c.perStep = 1 / c.encoderStep
	return c
}

func rad(degrees float64) float64 { return degrees * math.Pi / 180 }

func radS(rpm float64) float64 { return rpm * 2 * math.Pi / 60 }
