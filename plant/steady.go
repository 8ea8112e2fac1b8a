package plant

import "math"

// Most ticks find a shaft away from its stops, with a brake that is open or holds. They take the same equations
// as any other, see [shaft.advance], without what is not there.

// advanceSteady is advance for such a tick. It is false, and changes nothing, if the tick is not one or if two looks
// do not find the mean speed.
func (s *shaft) advanceSteady(torque float64) bool {
	k, st, holds := &s.k, &s.state, s.brake.rest == holdingAtRest
	if s.brake.rest == notAtRest || s.second != nil || s.nearStops() || holds && st.BrakeTorqueNM == 0 {
		return false
	}
	up := k.guideCurve.static
	if st.guideSlipRadS != 0 {
		up = s.slidingGuide()
	}
	down := k.againstLowering(up)
	load := k.weight.torque(st.AngleRad + float64(st.SpeedRadS*k.tick/2))
	torque += load
	spring, w, brake := float64(k.guide.stiffness*st.GuideDeflectionRad), st.SpeedRadS, 0.0
	for range 2 {
		guide, slope := between(spring+float64(k.guideSlope*w), k.guideSlope, down, up)
		resist, slopes := guide+float64(k.viscous*w), slope+k.viscous
		if holds {
			brake, slope = s.brake.friction.torque(st.BrakeDeflectionRad, w, k.tick, st.CapacityNM)
			resist, slopes = resist+brake, slopes+slope
		}
		step := float64((float64(k.perTick*(w-st.SpeedRadS)) - torque + resist) * s.mobilityOf(slopes))
		if negligibleStep(step, w) {
			w -= step
			st.LoadTorqueNM = load
			s.moveSteady(w, guide, down, up, brake)
			return true
		}
		w -= step
	}
	return false
}

// moveSteady is move for a steady tick, with the torques of guide and brake and the capacities of the guide in N·m.
func (s *shaft) moveSteady(w, guide, down, up, brake float64) {
	k, st := &s.k, &s.state
	s.turn(w)
	if guide < up && guide > -down { // it sticks
		st.GuideDeflectionRad, st.guideSlipRadS = st.GuideDeflectionRad+float64(k.tick*w), 0
	} else {
		s.slideGuide(w, guide)
	}
	st.GuideTorqueNM, st.StopTorqueNM, st.SupportTorqueNM = 0-guide, 0, 0
	b, holds := &s.brake, s.brake.rest == holdingAtRest
	if holds && math.Abs(brake) >= st.CapacityNM {
		b.advance(&st.BrakeState, w, k.tick, &braking{capacity: st.CapacityNM, torque: brake})
		return
	}
	if b.warm {
		b.coolDown(&st.BrakeState)
	}
	if holds {
		b.holdOn(&st.BrakeState, w, k.tick, brake)
	}
}
