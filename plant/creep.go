package plant

import (
	"math"

	"holdbench/plant/portable"
)

// creepExponent is n of the creep law. Norton's law for the creep of solids has n from 3 to 8
// (from memory); 4 is a choice.
const creepExponent = 4

// creepSpeed is the speed in rad/s at which a closed brake yields below its breakaway, as a
// contaminated or glazed lining does:
//
//	v_creep = v₀ (|τ|/C)ⁿ  with the sign of τ,  τ = σ₀ z + σ₁ dz/dt,  dz/dt = v − v_creep
//
// v₀ is the creep under a torque equal to the capacity C, zero for a healthy lining. The creep of
// a tick h is that of the deflection z at its start: an explicit step, with an error of first
// order in v_creep h/z. It counts as slip, with its heat, wear and bedding-in, and no energy is
// created: it is at most half of the speed C/(σ₀ h + σ₁) at which the torque can turn round within
// the tick. Source: a power law as Norton's for the creep of solids (from memory); that it holds
// for linings is a choice. Limits: no dependence on temperature or on how long the lining has
// rested; n is the same for all linings.
func (b *brake) creepSpeed(st *BrakeState, h, capacity float64) float64 {
	f := &b.friction
	depth := math.Abs(st.BrakeDeflectionRad) - f.halfPlay
	if depth <= 0 || capacity <= 0 || st.brakeSlipRadS != 0 {
		return 0
	}
	ratio := min(1, f.stiffness*depth/capacity)
	limit := min(depth/h, capacity/(2*(float64(f.stiffness*h)+f.damping)))
	return math.Copysign(min(limit, b.disc.creep*ratio*ratio*ratio*ratio), st.BrakeDeflectionRad)
}

// creeps applies the slip of one tick h of creep against a torque in N·m. A torque that has
// turned round within the tick does no work on it.
func (b *brake) creeps(st *BrakeState, h, speed, torque float64) {
	if speed*torque < 0 {
		torque = 0
	}
	b.slip(st, h, speed*h, torque)
}

// regain is one tick of a brake at rest whose glaze returns: dg/dt = (g_r − g)/T.
func (b *brake) regain(st *BrakeState) {
	if missing := b.disc.returnsTo - st.BrakeGlaze; missing > 0 {
		st.BrakeGlaze += float64(b.disc.returnShare * missing)
		b.refresh(st)
	}
}

// creepShareOf is the share of its static capacity that a brake can be relied on. A load torque
// τ_L lowers the load by v₀ (τ_L/C)ⁿ t in the time t for which the brake alone must hold it, and
// no more than the permitted drop d, as an angle of the shaft, is held:
//
//	C_held = C min(1, f (d/(v₀ t))^(1/n))
//
// so that C_held compares with the test torque f τ_L as C does. f is the test factor.
func creepShareOf(r *Rig, b *Brake) float64 {
	if b.CreepDegPerS == 0 {
		return 1
	}
	permitted := r.Test.DropLimitMM / 1000 / metresPerRad(r) / r.Test.HoldTime.Seconds()
	return min(1, r.Test.Factor*portable.Pow(permitted/rad(b.CreepDegPerS), 1.0/creepExponent))
}

// PermittedCreep is the creep of the shaft in rad/s under the test torque of a brake that, under
// the load torque, lowers the load by the permitted drop in the time for which it must hold:
//
//	v = (d/t) fⁿ
//
// with d the drop as an angle of the shaft, t the time and f the test factor. See the creep law.
func PermittedCreep(r *Rig) float64 {
	return r.Test.DropLimitMM / 1000 / metresPerRad(r) / r.Test.HoldTime.Seconds() * portable.Pow(r.Test.Factor, creepExponent)
}
