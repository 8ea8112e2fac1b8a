package plant

import "math"

// partner is a second shaft coupled to the axis:
//
//	τ_c = k_c dz(θ − θ₂, ± gap/2) + d_c (ω − ω₂)
//
// the damping only in contact and never pulling; negative on the axis, positive on the
// partner, zero when decoupled. Source: two-mass system with a dead zone.
type partner struct {
	shaft
	coupling   slider // only its elastic part with backlash; it never slides
	engaged    bool
	offset     float64 // θ − θ₂ at the centre of the backlash
	switchingS float64 // s until the coupling has reached the commanded state
	commanded  bool    // coupled is commanded
	hold       holdDrive
}

// holdDrive is the partner's drive: it holds the position of its shaft with proportional
// position and speed control, up to a torque limit.
type holdDrive struct {
	on                 bool
	at                 float64 // rad
	stiffness, damping float64
	limit              float64 // N·m
}

// holdBandwidth is the bandwidth of the partner's drive in rad/s (a choice).
const holdBandwidth = 2 * math.Pi * 15

func newPartner(r *Rig) *partner {
	q := &partner{engaged: true, commanded: true}
	q.brake.open(&q.state.BrakeState, &r.Partner.Brake)
	return q
}

// reload recalculates the constants after a change of the rig's values.
func (q *partner) reload(r *Rig, axisInertia float64) {
	d := r.Partner
	j := d.InertiaKGM2
	q.k.reloadShaft(r.Clock.Tick.Seconds(), j, weight{steady: true})
	q.k.reloadGuide(&d.Guide, 0, 0, j)
	q.k.noStops()
	reduced := j * axisInertia / (j + axisInertia)
	q.coupling = slider{
		stiffness: d.CouplingStiffness, damping: inTick(d.CouplingStiffness, damping(d.CouplingDampingRatio, d.CouplingStiffness, reduced), q.k.tick, 0),
		halfPlay: rad(d.BacklashDeg) / 2,
	}
	q.hold.stiffness, q.hold.damping = j*holdBandwidth*holdBandwidth, 1.4*j*holdBandwidth
	q.hold.limit = d.DriveLimitNM
	q.brake.reload(&q.state.BrakeState, &d.Brake, r.Clock.Tick, j)
}

// command applies the commands of coupling and brake; both brakes have the same command.
func (q *partner) command(d *Partner, c *Command) {
	q.brake.command(&q.state.BrakeState, c.CloseBrake)
	if coupled := !c.Decouple || d.StaysCoupled; coupled != q.commanded {
		q.commanded, q.switchingS = coupled, d.DecoupleTime.Seconds()
	}
	if d.DriveHolds && !q.hold.on {
		q.hold.at = q.state.AngleRad
	}
	q.hold.on = d.DriveHolds
}

// switchCoupling opens or closes the coupling after its switching time. It closes in any
// position: the shafts keep their present relative angle.
func (q *partner) switchCoupling(axis *State) {
	if q.commanded == q.engaged {
		return
	}
	q.switchingS -= q.k.tick
	if q.switchingS > q.k.tick/2 {
		return
	}
	q.engaged = q.commanded
	q.offset = axis.AngleRad - q.state.AngleRad
}

// driveTorque is the torque of the partner's drive in N·m.
func (q *partner) driveTorque() float64 {
	if !q.hold.on {
		return 0
	}
	s := &q.state
	return clamp(float64(q.hold.stiffness*(q.hold.at-s.AngleRad))-float64(q.hold.damping*s.SpeedRadS), q.hold.limit)
}

// reported is the signal of the switch on the coupling.
func (q *partner) reported(d *Partner) bool { return q.engaged && !d.ReportsDecoupled }

// advancePair integrates both shafts over one tick. For a coupling torque T each
// shaft has its mean speed w(T); T solves
//
//	T = τ_c(w₁(T) − w₂(T))
//
// whose right side is falling and piecewise linear in T: Newton's method between bounds.
func (q *partner) advancePair(axis *shaft, motor float64) {
	var r1, r2 resistances
	t1 := motor + axis.prepare(&r1)
	t2 := q.driveTorque() + q.prepare(&r2)
	twist := axis.state.AngleRad - q.state.AngleRad - q.offset
	b := unbounded()
	var w1, w2 float64
	for torque, n := q.state.CouplingNM, 0; n < 60; n++ {
		w1 = axis.meanSpeed(t1-torque, &r1)
		w2 = q.meanSpeed(t2+torque, &r2)
		wanted, slope := q.coupling.elastic(twist, w1-w2, axis.k.tick)
		step := (torque - wanted) / (1 + float64(slope*(axis.mobility+q.mobility)))
		if math.Abs(step) <= 1e-9+float64(1e-9*math.Abs(torque)) {
			q.state.CouplingNM = torque
			break
		}
		torque = b.next(torque, step)
	}
	axis.move(w1, &r1)
	q.move(w2, &r2)
	axis.state.CouplingNM = q.state.CouplingNM
}
