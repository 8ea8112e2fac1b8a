package life

import (
	"math"
	"time"

	"holdbench/plant"
)

// Brake is the state of a brake.
type Brake struct {
	Condition float64 // share of the rated torque, without gap, glaze and heat
	GapMM     float64
	Glaze     float64 // share of the friction that is lost
	SoakedTo  float64 // glaze to which a soaked lining returns at rest; 0 for any other
	TempC     float64
}

// initial is the brake of the rig.
func initial(r *plant.Rig) Brake {
	return Brake{
		Condition: r.Brake.Condition, GapMM: r.Brake.GapMM, Glaze: max(r.Brake.Glaze, r.Brake.GlazeReturnsTo),
		SoakedTo: r.Brake.GlazeReturnsTo, TempC: r.Brake.AmbientC + r.Brake.ExcessK,
	}
}

// exchanged is a new brake in its place, run in.
func exchanged(r *plant.Rig) Brake {
	return Brake{Condition: 1, GapMM: r.Brake.NewGapMM, TempC: r.Brake.AmbientC}
}

// in puts the brake into a rig. Ambient temperature is that of the brake for the seconds of a
// run: the friction pair cools within minutes, and the oil of a soaked lining takes hours.
func (b Brake) in(r *plant.Rig) {
	r.Brake.Condition, r.Brake.GapMM, r.Brake.Glaze = b.Condition, b.GapMM, b.Glaze
	r.Brake.AmbientC, r.Brake.ExcessK, r.Brake.GlazeReturnsTo = b.TempC, 0, 0
}

// ratio is the static capacity over the required test torque. With 1 or more the torque is
// sufficient.
func (b Brake) ratio(r plant.Rig) float64 {
	b.in(&r)
	d := plant.Derive(&r)
	return d.BrakeCapacityNM / d.RequiredTestNM
}

// coldRatio is the ratio of the cold brake: heat is temporary and no failure.
func (b Brake) coldRatio(r *plant.Rig) float64 {
	b.TempC = r.Brake.AmbientC
	return b.ratio(*r)
}

// slipped is the brake after slip work W in joules:
//
//	Δh = k W,  g' = g exp(−W/W_b),  ΔT = W/C_th
//
// h mm gap, k mm/J, g glaze, W_b J bedding in, C_th J/K. The sums of what the plant does
// in each tick, with all of the heat before any of it is dissipated. Sources: as there,
// Archard, J. Appl. Phys. 24, 1953, for wear; lumped capacitance for heat; bedding in is
// common practice.
func (b Brake) slipped(work float64, r *plant.Rig) Brake {
	b.GapMM += float64(r.Brake.WearMMPerMJ * work * 1e-6)
	b.Glaze *= math.Exp(-work / r.Brake.BedInJ)
	b.TempC += work / r.Brake.HeatCapacity
	return b
}

// cooled is the brake some time later:
//
//	T = T_amb + (T₀ − T_amb) exp(−t/(R_th C_th))
//
// Source: lumped capacitance, e.g. Incropera and DeWitt, Fundamentals of Heat and Mass
// Transfer, ch. 5.1 (from memory).
func (b Brake) cooled(t time.Duration, r *plant.Rig) Brake {
	b.TempC = r.Brake.AmbientC + float64((b.TempC-r.Brake.AmbientC)*math.Exp(-t.Seconds()/(r.Brake.ThermalResistance*r.Brake.HeatCapacity)))
	return b
}

// rested is the brake some time later, with the oil of a soaked lining back at its surface:
//
//	g = g_r − (g_r − g₀) exp(−t/T)  for g₀ < g_r
//
// g₀ and g glaze before and after, g_r that to which it returns, T the time constant. Source: the
// first-order return of package plant, solved; that oil returns so is a choice.
func (b Brake) rested(t time.Duration, r *plant.Rig) Brake {
	if missing := b.SoakedTo - b.Glaze; missing > 0 {
		b.Glaze = b.SoakedTo - float64(missing*math.Exp(-t.Seconds()/r.Brake.GlazeReturnTime.Seconds()))
	}
	return b
}
