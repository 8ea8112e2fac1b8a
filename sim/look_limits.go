package sim

import (
	"holdbench/plant"
	"holdbench/sequence"
)

// lookLimits is what the truth of a tick is compared with to see whether an obligation or an event needs a look at
// it. In most ticks none does. The limits hold until the next look, event, fault or button.
type lookLimits struct {
	torqueNM float64 // magnitude of the motor torque; negative if every tick needs a look
	mode     plant.Mode
}

// lookAlways lets the next tick be looked at.
func (l *lookLimits) lookAlways() { l.torqueNM = -1 }

// take takes the tick behind a plant, in which the reference of the drop gauge may move with a travel. It is false,
// and takes nothing, if the tick needs a look.
func (l *lookLimits) take(p *plant.Plant, d *dropGauge) bool {
	torque, pull, load := p.State().MotorTorqueNM, p.State().LoadTorqueNM, p.LoadMM()
	if torque > l.torqueNM || torque < -l.torqueNM || p.DriveMode() != l.mode || !p.BrakeAtRest() || p.Profiling() != d.moving {
		return false
	}
	if d.rises {
		load, pull = -load, -pull
	}
	if d.moving {
		return pull <= d.bandNM && d.steadyTravel(p, load)
	}
	return pull <= d.bandNM && d.accumulated+d.reference-load <= d.largest
}

// renewLimits sets the limits behind a tick that was looked at.
func (b *Bench) renewLimits() {
	m, t, d, l := &b.monitors, &b.truth, &b.monitors.drop, &b.limits
	fights := d.moving && b.plant.State().Engagement > dragging
	if b.commandsNeedLook() || fights || !t.started || m.letGo.now != "" || m.fightTicks != 0 || m.stopTick >= 0 || b.plant.Brake2State() != nil {
		l.lookAlways()
		return
	}
	l.torqueNM, l.mode = m.peakNM, t.mode
	if b.end() != sequence.EndPass {
		l.torqueNM = min(l.torqueNM, b.plant.Rig().Judge.CeilingNM)
	}
}

// commandsNeedLook is whether a command of operator, sequence or safety side needs a look at every tick.
func (b *Bench) commandsNeedLook() bool {
	return b.mayLetGo || b.operator.estop || b.safety.Out().SafeStop
}
