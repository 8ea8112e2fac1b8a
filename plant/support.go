package plant

import "math"

// exists reports whether the load can be set down on the support.
func (s *Support) exists() bool { return s.StiffnessNPerMM > 0 && !s.Removed }

// supportRad is the angle of the motor in rad at which the load touches its support, −∞
// without one. The support is the same one-sided spring and damper as a hard stop, at a place
// on the way; it pushes the load up and never pulls:
//
//	τ = max(0, k d' + c (d' − d)/h),  d = max(0, θ_support − θ)
//
// k = k_s (p/(2π n))² or k_s (r/n)², c = 2 ζ √(k J), with k_s N/m the stiffness of the
// support. What the load presses on it is weight as well as what the motor adds. Source:
// statics; linear oscillator. Not modelled: a support that yields or tilts.
func supportRad(r *Rig, d *Derived) float64 {
	if !r.Support.exists() {
		return math.Inf(-1)
	}
	return r.Support.AtMM / d.MMPerRad
}

// SupportN is the force in N with which the support carries the load.
func (p *Plant) SupportN() float64 { return p.state.SupportTorqueNM / p.c.millimetres * 1000 }

// SupportShare is the share of the load that rests on its support: 0 in the air, 1 once it is
// set down, also where the drive presses it down.
func (p *Plant) SupportShare() float64 {
	load := -p.state.LoadTorqueNM
	if p.free.severed {
		load = -p.free.weight.torque(p.free.angle)
	}
	if load <= 0 {
		return 0
	}
	return min(1, p.state.SupportTorqueNM/load)
}

// fallFree advances a load whose transmission is severed, and sets what the support carries of
// it: all of it once it lies there.
func (p *Plant) fallFree() {
	f, low := &p.free, p.rig.Stops.LowMM/p.c.millimetres
	support := p.c.supportRad
	if f.angle >= support {
		low = max(low, support)
	}
	f.fall(p.k.tick, low, p.rig.Stops.HighMM/p.c.millimetres)
	p.state.SupportTorqueNM = 0
	if f.angle == support {
		p.state.SupportTorqueNM = max(0, -f.weight.torque(support))
	}
}
