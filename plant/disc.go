package plant

import (
	"math"
	"time"

	"holdbench/plant/portable"
)

// frictionDisc holds the parameters of the friction of a closed brake and of the effects of slip.
type frictionDisc struct {
	condition          float64
	fadeFrom, fadePerK float64 // °C, 1/K
	newGap, gapLimit   float64 // mm
	wear               float64 // mm per J
	bedIn              float64 // J
	heatPath           float64 // K/W
	heatDecay          float64 // of the excess temperature in one tick
	ambient            float64 // °C
	cold               float64 // K, a negligible excess temperature
	creep              float64 // rad/s at a torque equal to the capacity
	creepShare         float64 // of the static capacity that holds without too much creep
	returnsTo          float64 // glaze
	returnShare        float64 // of the glaze that is missing, in one tick
}

func frictionDiscOf(b *Brake, tick time.Duration) frictionDisc {
	return frictionDisc{
		condition: b.Condition, fadeFrom: b.FadeFromC, fadePerK: b.FadePerK,
		newGap: b.NewGapMM, gapLimit: b.GapLimitMM, wear: b.WearMMPerMJ * 1e-6, bedIn: b.BedInJ,
		heatPath: b.ThermalResistance, heatDecay: portable.Exp(-tick.Seconds() / (b.ThermalResistance * b.HeatCapacity)),
		ambient: b.AmbientC, cold: 1e-9,
		creep: rad(b.CreepDegPerS), creepShare: 1, returnsTo: b.GlazeReturnsTo,
		returnShare: -portable.Expm1(-tick.Seconds() / b.GlazeReturnTime.Seconds()),
	}
}

// factor is κ, the capacity divided by the rated capacity:
//
//	κ = κ_condition · κ_heat · κ_gap · (1 − glaze)
//	κ_heat = 1 − a (T − T_knee) above the knee
//	κ_gap  = 1 − (h − h_limit)/h_limit past the limit gap
//
// none below 0. The force of the springs decreases with the air gap; heat fades and glazing
// polishes the friction disc (common practice).
func (l *frictionDisc) factor(tempC, gapMM, glaze float64) float64 {
	heat := 1 - float64(l.fadePerK*max(0, tempC-l.fadeFrom))
	gap := 1 - max(0, gapMM-l.gapLimit)/l.gapLimit
	return l.condition * max(0, heat) * max(0, gap) * (1 - glaze)
}

// refresh recalculates κ for the present temperature, air gap and glaze.
func (b *brake) refresh(st *BrakeState) {
	st.BrakeFactor = b.disc.factor(st.BrakeTempC, st.BrakeGapMM, st.BrakeGlaze)
}

// slip applies the work of a slip under a torque in N·m during a tick in s: heat, wear and
// bedding-in. With P the slip power,
//
//	C_th dT/dt = P − (T − T_amb)/R_th   (the loss is in cool)
//	dh/dt = k P,  dg/dt = −g P/W
//
// Elastic work has none of these effects. Source: lumped capacitance, e.g. Incropera and
// DeWitt, Fundamentals of Heat and Mass Transfer, ch. 5.1 (from memory); Archard, J.
// Appl. Phys. 24, 1953, for wear proportional to the work; bedding-in by work with
// the constant W is common practice.
func (b *brake) slip(st *BrakeState, tick, slipRad, torque float64) {
	l := &b.disc
	work := math.Abs(float64(slipRad * torque))
	st.SlipRad += math.Abs(slipRad)
	st.SlipWorkJ += work
	st.BrakeTempC += float64(float64(work/tick*l.heatPath) * (1 - l.heatDecay))
	st.BrakeGapMM += float64(l.wear * work)
	st.BrakeGlaze *= max(0, 1-work/l.bedIn)
	if st.BrakeAdhesion != 0 {
		b.part(st, slipRad)
	}
	b.refresh(st)
}

// partingRad is the slip in rad over which the bond of a disc parts (a choice: 0.2°).
const partingRad = 0.2 * math.Pi / 180

// part breaks the bond of a disc in proportion to slip: a' = a (1 − Δφ/φ_a), and none is left
// once it is below a thousandth of the rated torque. Moisture and rust hold the disc after a
// long rest; its first breakaway is high and the next is normal (common practice).
func (b *brake) part(st *BrakeState, slipRad float64) {
	st.BrakeAdhesion *= max(0, 1-math.Abs(slipRad)/partingRad)
	if st.BrakeAdhesion < 1e-3 {
		st.BrakeAdhesion = 0
	}
}

// isCold is whether a disc at a temperature in °C has cooled down to the surroundings.
func (l *frictionDisc) isCold(tempC float64) bool { return math.Abs(tempC-l.ambient) < l.cold }

// coolDown is cool for a disc of any temperature.
func (b *brake) coolDown(st *BrakeState) (fading bool) {
	b.warm = !b.disc.isCold(st.BrakeTempC)
	return b.warm && b.cool(st)
}

// cool applies the heat flow to the surroundings, and reports whether κ has changed with it.
func (b *brake) cool(st *BrakeState) (fading bool) {
	l := &b.disc
	excess := st.BrakeTempC - l.ambient
	fading = st.BrakeTempC > l.fadeFrom
	st.BrakeTempC = l.ambient + float64(excess*l.heatDecay)
	if fading {
		b.refresh(st)
	}
	return fading
}
