package sim

import (
	"holdbench/plant"
	"holdbench/sequence"
)

// calm is what the truth of a tick is compared with to see that no obligation and no event needs a look at it,
// as in most ticks. It holds until the next look, event, fault or button.
type calm struct {
	torqueNM float64 // magnitude of the motor torque; negative if every tick needs a look
	mode     plant.Mode
}

// end lets the next tick be looked at.
func (c *calm) end() { c.torqueNM = -1 }

// holds is whether the tick behind a plant needs no look.
func (c *calm) holds(p *plant.Plant, d *dropGauge) bool {
	torque, pull, load := p.State().MotorTorqueNM, p.State().LoadTorqueNM, p.LoadMM()
	if torque > c.torqueNM || torque < -c.torqueNM || p.DriveMode() != c.mode || !p.BrakeAtRest() || p.Profiling() != d.moving {
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

// calmDown renews the calm behind a tick that was looked at.
func (b *Bench) calmDown() {
	m, t, d, c := &b.monitors, &b.truth, &b.monitors.drop, &b.calm
	fights := d.moving && b.plant.State().Engagement > dragging
	if !b.commandsCalm() || fights || !t.started || m.letGo.now != "" || m.fightTicks != 0 || m.stopTick >= 0 || b.plant.Brake2State() != nil {
		c.end()
		return
	}
	c.torqueNM = m.peakNM
	if b.end() != sequence.EndPass {
		c.torqueNM = min(c.torqueNM, b.plant.Rig().Judge.CeilingNM)
	}
	c.mode = t.mode
}

// commandsCalm is whether no command of operator, sequence or safety side needs a look at every tick.
func (b *Bench) commandsCalm() bool {
	return !b.mayLetGo && !b.operator.estop && !b.safety.Out().SafeStop
}
