package life

import (
	"math"
	"time"

	"holdbench/plant"
	"holdbench/plant/portable"
)

// Lining is the state of a brake.
type Lining struct {
	Condition float64 // share of the rated torque, without gap, glaze and heat
	GapMM     float64
	Glaze     float64 // share of the friction that is lost
	SoakedTo  float64 // glaze to which a soaked lining returns at rest; 0 for any other
	TempC     float64
}

// Brake is the state of the brake of an axis, and of its second one.
type Brake struct {
	Lining
	Second Lining // zero for a rig with one brake
}

// initial is the brake of the rig.
func initial(r *plant.Rig) Brake {
	return brakeOf(r, initialLining)
}

// brakeOf makes the lining of each brake of a rig.
func brakeOf(r *plant.Rig, lining func(*plant.Brake) Lining) Brake {
	b := Brake{Lining: lining(&r.Brake)}
	if r.Brake2.Exists() {
		b.Second = lining(&r.Brake2.Brake)
	}
	return b
}

func initialLining(b *plant.Brake) Lining {
	return Lining{
		Condition: b.Condition, GapMM: b.GapMM, Glaze: max(b.Glaze, b.GlazeReturnsTo),
		SoakedTo: b.GlazeReturnsTo, TempC: b.AmbientC + b.ExcessK,
	}
}

// exchanged is a new brake in its place, run in; of two both.
func exchanged(r *plant.Rig) Brake {
	return brakeOf(r, exchangedLining)
}

func exchangedLining(b *plant.Brake) Lining {
	return Lining{Condition: 1, GapMM: b.NewGapMM, TempC: b.AmbientC}
}

// in puts the brake into a rig. Ambient temperature is that of the brake for the seconds of a
// run: the friction pair cools within minutes, and the oil of a soaked lining takes hours.
func (b Brake) in(r *plant.Rig) {
	b.Lining.in(&r.Brake)
	b.Second.in(&r.Brake2.Brake)
}

func (l Lining) in(b *plant.Brake) {
	b.Condition, b.GapMM, b.Glaze = l.Condition, l.GapMM, l.Glaze
	b.AmbientC, b.ExcessK, b.GlazeReturnsTo = l.TempC, 0, 0
}

// capacities are the static capacities of the brakes and the required test torque, in N·m at the
// motor shaft.
type capacities struct{ first, second, required float64 }

// ratios are the capacities over the required test torque; the second is infinite for a rig with one
// brake.
func (c capacities) ratios(r *plant.Rig) [2]float64 {
	if !r.Brake2.Exists() {
		return [2]float64{c.first / c.required, math.Inf(1)}
	}
	return [2]float64{c.first / c.required, c.second / c.required}
}

func (b Brake) capacities(r plant.Rig) capacities {
	b.in(&r)
	d := plant.Derive(&r)
	return capacities{d.BrakeCapacityNM, d.Brake2CapacityNM, d.RequiredTestNM}
}

// ratio is the static capacity over the required test torque, of two brakes the smaller, as each
// must hold alone. With 1 or more the torque is sufficient.
func (b Brake) ratio(r plant.Rig) float64 {
	each := b.capacities(r).ratios(&r)
	return min(each[0], each[1])
}

// coldRatio is the ratio of the cold brake: heat is temporary and no failure.
func (b Brake) coldRatio(r *plant.Rig) float64 {
	each := b.coldRatios(r)
	return min(each[0], each[1])
}

func (b Brake) coldRatios(r *plant.Rig) [2]float64 { return b.cold(r).ratios(r) }

// cold are the capacities of the brakes at ambient temperature.
func (b Brake) cold(r *plant.Rig) capacities {
	b.TempC, b.Second.TempC = r.Brake.AmbientC, r.Brake2.AmbientC
	return b.capacities(*r)
}

// soaked is whether a lining is soaked.
func (b Brake) soaked() bool { return b.SoakedTo > 0 || b.Second.SoakedTo > 0 }

// renewed has a new brake in place of each that is insufficient, and in place of both if neither
// is.
func (b Brake) renewed(r *plant.Rig) Brake {
	after, each := exchanged(r), b.coldRatios(r)
	if each[0] >= 1 && each[1] < 1 {
		after.Lining = b.Lining
	}
	if each[1] >= 1 && each[0] < 1 {
		after.Second = b.Second
	}
	return after
}

// weaken gives a new brake a ratio; of two the one or the other, by the number of the run.
func (b *Brake) weaken(r *plant.Rig, run int, ratio float64) {
	of, each := &b.Lining, b.coldRatios(r)
	full := each[0]
	if r.Brake2.Exists() && run%2 == 1 {
		of, full = &b.Second, each[1]
	}
	of.Condition = ratio / full
}

// slipped is the brake after slip work in joules on it and on the second one.
func (b Brake) slipped(work, second float64, r *plant.Rig) Brake {
	b.Lining = b.Lining.slipped(work, &r.Brake)
	if r.Brake2.Exists() {
		b.Second = b.Second.slipped(second, &r.Brake2.Brake)
	}
	return b
}

// aged is the brake some time later without slip.
func (b Brake) aged(t time.Duration, r *plant.Rig) Brake {
	b.Lining = b.cooled(t, &r.Brake).rested(t, &r.Brake)
	if r.Brake2.Exists() {
		b.Second = b.Second.cooled(t, &r.Brake2.Brake).rested(t, &r.Brake2.Brake)
	}
	return b
}

// weakened is the brake with so much less of its rated torque; of two each.
func (b Brake) weakened(by float64) Brake {
	b.Condition = max(0, b.Condition-by)
	b.Second.Condition = max(0, b.Second.Condition-by)
	return b
}

// slipped is the lining after slip work W in joules:
//
//	Δh = k W,  g' = g exp(−W/W_b),  ΔT = W/C_th
//
// h mm gap, k mm/J, g glaze, W_b J bedding in, C_th J/K. The sums of what the plant does
// in each tick, with all of the heat before any of it is dissipated. Sources: as there,
// Archard, J. Appl. Phys. 24, 1953, for wear; lumped capacitance for heat; bedding in is
// common practice.
func (l Lining) slipped(work float64, b *plant.Brake) Lining {
	l.GapMM += float64(b.WearMMPerMJ * work * 1e-6)
	l.Glaze *= portable.Exp(-work / b.BedInJ)
	l.TempC += work / b.HeatCapacity
	return l
}

// cooled is the lining some time later:
//
//	T = T_amb + (T₀ − T_amb) exp(−t/(R_th C_th))
//
// Source: lumped capacitance, e.g. Incropera and DeWitt, Fundamentals of Heat and Mass
// Transfer, ch. 5.1 (from memory).
func (l Lining) cooled(t time.Duration, b *plant.Brake) Lining {
	l.TempC = b.AmbientC + float64((l.TempC-b.AmbientC)*portable.Exp(-t.Seconds()/(b.ThermalResistance*b.HeatCapacity)))
	return l
}

// rested is the lining some time later, with the oil of a soaked lining back at its surface:
//
//	g = g_r − (g_r − g₀) exp(−t/T)  for g₀ < g_r
//
// g₀ and g glaze before and after, g_r that to which it returns, T the time constant. Source: the
// first-order return of package plant, solved; that oil returns so is a choice.
func (l Lining) rested(t time.Duration, b *plant.Brake) Lining {
	if missing := l.SoakedTo - l.Glaze; missing > 0 {
		l.Glaze = l.SoakedTo - float64(missing*portable.Exp(-t.Seconds()/b.GlazeReturnTime.Seconds()))
	}
	return l
}
