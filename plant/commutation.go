package plant

import (
	"holdbench/plant/portable"
)

// fieldAngle is the angle by which the drive is wrong about the rotor. A drive with
// field-oriented control puts the torque-forming current at right angles to the field of the
// rotor, whose angle it takes from the encoder. With an encoder that is wrong by Δθ
//
//	τ_m = k_t i cos(p Δθ)
//
// with p the pole pairs: Δθ of the shaft is p Δθ electrical, and only the part of the current
// at right angles to the true field forms torque. The drive measures i all the same. Δθ is what
// scale, drift, offset and a frozen position have added since the start of the run, when the
// commutation is correct; an offset that is there from the start is part of the commissioning.
// A motor with a commutation encoder of its own has Δθ = 0.
//
// Source: field-oriented control, any text on electrical drives. Limit: the part of the current
// in line with the field weakens or saturates it, which is not modelled; noise and rounding of
// the encoder do not enter Δθ, as they take (pσ)²/2 of the torque, 0.2 % at σ = 1° and p = 4;
// a wrap error is one of the judge's position alone.
type fieldAngle struct {
	wrong   bool    // Δθ may differ from 0
	poles   float64 // pole pairs
	correct float64 // rad, error of the encoder at the start of the run
}

// start makes the commutation correct at the present position.
func (f *fieldAngle) start(p *Plant) {
	f.correct = p.encoderError(p.state.AngleRad)
	f.reload(p)
}

// reload finds out whether the encoder can be wrong, so that a tick with a correct one needs no
// cosine.
func (f *fieldAngle) reload(p *Plant) {
	e := &p.rig.Encoder
	f.poles = float64(p.rig.Motor.PolePairs)
	f.wrong = p.rig.Motor.Commutation == CommutationEncoder && (e.Frozen || e.Lost || e.DriftDegPerS != 0 ||
		e.Scale != 1 || p.encoderError(0) != f.correct)
}

// cosine is cos(p Δθ) at the middle of the tick.
func (f *fieldAngle) cosine(p *Plant) float64 {
	angle := p.state.AngleRad + float64(p.state.SpeedRadS*p.k.tick/2)
	deviation := p.encoderError(angle) - float64(p.c.encoderDrift/2) // the sample has the drift of the whole tick
	if p.rig.Encoder.Frozen || p.rig.Encoder.Lost {
		deviation = float64(float64(p.sensor.held)*p.c.encoderStep) - angle
	}
	return portable.Cos(f.poles * (deviation - f.correct))
}

// encoderError is the reading of the encoder less the angle of the shaft, in rad, without noise
// and rounding.
func (p *Plant) encoderError(angle float64) float64 {
	return float64(angle*(p.c.encoderScale-1)) + p.sensor.rescaled + p.sensor.drift + p.c.encoder0
}
