package plant

import (
	"math"

	"holdbench/plant/problem"
)

// loadRelations refuses payloads out of order, a counterbalance that would push, and values that
// contradict the kind of axis.
func loadRelations(r *Rig) problem.List {
	found := append(payloadRelations(&r.Load), forceRelations(r)...)
	if r.isArm() {
		found = append(found, armRelations(r)...)
	}
	return found
}

func payloadRelations(l *Load) problem.List {
	var found problem.List
	if l.PayloadLeastKG > l.PayloadKG {
		found.Add("load.payload_least_kg", "load.payload_least_kg is %g kg; must be at most load.payload_kg, which is %g kg", l.PayloadLeastKG, l.PayloadKG)
	}
	if l.PayloadMostKG != 0 && l.PayloadMostKG < l.PayloadKG {
		found.Add("load.payload_most_kg", "load.payload_most_kg is %g kg; must be 0 or at least load.payload_kg, which is %g kg", l.PayloadMostKG, l.PayloadKG)
	}
	return found
}

// forceRelations refuses a counterbalance that pushes at an end of the travel: a spring or a gas
// cylinder pulls or is slack.
func forceRelations(r *Rig) problem.List {
	l := &r.Load
	var found problem.List
	for _, stop := range []struct {
		path string
		mm   float64
	}{{"stops.low_mm", r.Stops.LowMM}, {"stops.high_mm", r.Stops.HighMM}} {
		if force := l.CounterbalanceN + float64(l.CounterbalanceNPerMM*(stop.mm-l.CounterbalanceAtMM)); force < 0 {
			found.Add("load.counterbalance_n_per_mm", "load.counterbalance_n_per_mm is %g N/mm, which gives a counterbalance of %.4g N at %s; must not be below 0 N between the stops", l.CounterbalanceNPerMM, force, stop.path)
		}
	}
	return found
}

// armRelations refuses an arm with values of a linear axis, and one that travels more than a turn
// to either side.
func armRelations(r *Rig) problem.List {
	var found problem.List
	if r.Transmission.FeedConstantMMPerTurn != 0 {
		found.Add("transmission.feed_constant_mm_per_turn", "transmission.feed_constant_mm_per_turn is %g mm beside load.arm_mm; must be omitted for a swivelling axis", r.Transmission.FeedConstantMMPerTurn)
	}
	if r.Load.CounterbalanceKG != 0 {
		found.Add("load.counterbalance_kg", "load.counterbalance_kg is %g kg beside load.arm_mm; must be omitted: mass and centre of mass of an arm include its counterbalance, and load.inertia_kg_m2 its inertia", r.Load.CounterbalanceKG)
	}
	const fullTurn = 360 * (1 + 1e-9) // an arc in mm is rounded
	for _, stop := range []struct {
		path string
		mm   float64
	}{{"stops.low_mm", r.Stops.LowMM}, {"stops.high_mm", r.Stops.HighMM}} {
		if angle := armAngle(r, stop.mm); math.Abs(angle) > fullTurn {
			found.Add(stop.path, "%s corresponds to an arm angle of %.4g degrees; must be between -360 and 360", stop.path, angle)
		}
	}
	return found
}

// armAngle is the angle of an arm above the horizontal in degrees, at a position in mm.
func armAngle(r *Rig, mm float64) float64 {
	return r.Load.ArmAngleDeg + mm/r.Load.ArmMM*180/math.Pi
}

// supportRelations refuses a support that the load cannot be set down on.
func supportRelations(r *Rig) problem.List {
	s := &r.Support
	var found problem.List
	if s.StiffnessNPerMM == 0 {
		if s.AtMM != 0 {
			found.Add("support.stiffness_n_per_mm", "support.stiffness_n_per_mm is missing or 0, and support.at_mm is %g mm; must be above 0 N/mm, or support.at_mm must be omitted", s.AtMM)
		}
		return found
	}
	if s.AtMM > r.Load.StartMM {
		found.Add("support.at_mm", "support.at_mm is %g mm; must be at most load.start_mm, which is %g mm: the load starts above its support", s.AtMM, r.Load.StartMM)
	}
	if r.isArm() && math.Abs(armAngle(r, s.AtMM)) > 90 {
		found.Add("support.at_mm", "support.at_mm corresponds to an arm angle of %.4g degrees; must be between -90 and 90, where a support that pushes up carries the arm", armAngle(r, s.AtMM))
	}
	return found
}

// loadWarnings are about a load that rises by itself, a transmission that locks itself and a
// support that the load does not reach.
func loadWarnings(r *Rig) problem.List {
	var found problem.List
	least, _ := r.Load.payloads()
	w := weightWith(r, least)
	metres := metresPerRad(r)
	rises := max(w.torque(r.Stops.LowMM/1000/metres), w.torque(r.Stops.HighMM/1000/metres)) > 0
	if rises && !r.isArm() {
		path := "load.counterbalance_kg"
		if r.Load.CounterbalanceN > 0 {
			path = "load.counterbalance_n"
		}
		found.Warn(path, "the counterbalance outweighs the load of %g kg with its least payload: the load rises by itself, and the brake must hold it down", r.Load.MassKG+least)
	}
	if t := &r.Transmission; t.Efficiency <= 0.5 && t.EfficiencyLowering == 0 {
		found.Warn("transmission.efficiency", "transmission.efficiency is %g; at 0.5 and below, the loss in both directions is at least the load torque, so that the transmission locks itself and holds the load without a brake; state transmission.efficiency_lowering if it does not", t.Efficiency)
	}
	if r.Support.exists() && r.Support.AtMM <= r.Stops.LowMM {
		found.Warn("support.at_mm", "support.at_mm is %g mm, not above stops.low_mm, which is %g mm: the stop carries the load before the support does", r.Support.AtMM, r.Stops.LowMM)
	}
	return found
}
