package safety

import (
	"math"

	"holdbench/plant"
)

// guard is the function of an interlocking guard with guard locking. Outside setup mode an open or
// unlocked guard demands a stop; in setup mode a speed above the rig's does so. A request for access is
// granted at standstill with a valid proof, operation released and no test running, as from then on the
// brake alone holds the load above a person: it demands a stop, and the guard is unlocked when the torque is gone. In setup
// mode it is unlocked at standstill. Without a valid proof the request is refused.
//
// Sources, all from memory: guard locking is released only when the hazard has ceased, ISO 14119, 3.5;
// reduced speed with an open guard in a mode of its own, ISO 12100, 6.2.11.9; a load above a person must
// not sink, ISO 16090-1.
type guard struct {
	granted  bool // until the request ends and the guard is closed
	unlocked bool
	refused  bool // the present request, once
}

// step is one scan, in which access is possible or not. It says whether access was granted or refused.
func (g *guard) step(in *Inputs, possible, sto bool, r *plant.Safety) (granted, refused bool) {
	if r.Guard == plant.GuardNone {
		*g = guard{}
		return false, false
	}
	switch {
	case !in.Access:
		g.granted, g.refused = false, false
	case g.granted:
	case possible && in.Standstill:
		g.granted, g.refused, granted = true, false, true
	case !possible && !g.refused:
		g.refused, refused = true, true
	}
	g.unlocked = g.granted && (sto || in.SetupMode && in.Standstill || g.unlocked)
	return granted, refused
}

// demand is what the guard demands.
func (g *guard) demand(in *Inputs, r *plant.Safety) StopCause {
	switch {
	case r.Guard == plant.GuardNone:
	case !in.SetupMode && (!in.GuardClosed || g.granted):
		return StopGuard
	case in.SetupMode && !in.GuardClosed && math.Abs(in.SpeedMMS) > r.SetupSpeedMMS:
		return StopSetupSpeed
	}
	return StopNone
}
