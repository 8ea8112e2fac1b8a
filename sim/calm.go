package sim

import (
	"math"

	"holdbench/plant"
	"holdbench/sequence"
)

// calm is what the truth of a tick is compared with to see that no obligation and no event needs a look at it,
// as in most ticks. It holds until the next look, event, fault or button.
type calm struct {
	torqueNM   float64 // magnitude of the motor torque; negative if every tick needs a look
	pullNM     float64 // of the load towards the other side
	side       float64 // 1, or −1 where the load rises when it drops
	fromMM     float64 // position from which a drop counts, with that sign
	dropMM     float64 // largest so far
	engagement float64
	slipRad    float64
	mode       plant.Mode
}

// end lets the next tick be looked at.
func (c *calm) end() { c.torqueNM = -1 }

// holds is whether the tick behind a plant needs no look.
func (c *calm) holds(p *plant.Plant) bool {
	s := p.State()
	return math.Abs(s.MotorTorqueNM) <= c.torqueNM && float64(c.side*s.LoadTorqueNM) <= c.pullNM &&
		c.fromMM-float64(c.side*p.LoadMM()) <= c.dropMM &&
		s.Engagement == c.engagement && s.SlipRad == c.slipRad && p.DriveMode() == c.mode && !p.Profiling()
}

// calmDown renews the calm behind a tick that was looked at.
func (b *Bench) calmDown() {
	m, t, d, c := &b.monitors, &b.truth, &b.monitors.drop, &b.calm
	if !b.commandsCalm() || d.moving || !t.started || m.letGo.now != "" || m.fightTicks != 0 || m.stopTick >= 0 || b.plant.Brake2State() != nil {
		c.end()
		return
	}
	c.torqueNM, c.pullNM, c.side, c.fromMM, c.dropMM = m.peakNM, d.bandNM, 1, d.accumulated+d.reference, d.largest
	if d.rises {
		c.side = -1
	}
	if b.end() != sequence.EndPass {
		c.torqueNM = min(c.torqueNM, b.plant.Rig().Judge.CeilingNM)
	}
	c.engagement, c.slipRad, c.mode = t.first.engagement, t.first.slip, t.mode
}

// commandsCalm is whether no command of operator, sequence or safety side needs a look at every tick.
func (b *Bench) commandsCalm() bool {
	return !b.mayLetGo && !b.operator.estop && !b.safety.Out().SafeStop
}
