package sim

import (
	"holdbench/plant"
	"holdbench/sequence"
)

// powerDown is the loss of power: neither side runs, signals on the link are lost, and the
// judge loses its proof.
func (b *Bench) powerDown() {
	b.unpowered = true
	b.powerless(false)
	if b.ended && b.lastAction() <= b.tick {
		return // the result of the run stays
	}
	if b.ended {
		b.goOn()
	}
	if b.safety.Out().Busy {
		b.record(EventCheckLost, "check lost with the power, no verdict")
	}
	if !b.monitors.begun {
		b.monitors.before = b.out
	}
	b.loseProofs()
	b.out = sequence.PowerUpOutputs()
	b.safety.PowerDown()
	b.monitors.proofTick, b.monitors.askTick = -1, -1
}

// powerUp starts the sequence anew. One that had ended stays as it is, without power, so
// that its end can be judged.
func (b *Bench) powerUp() {
	if b.ended {
		return
	}
	from := b.stateName()
	b.unpowered, b.halted, b.scans.overrun = false, false, false
	b.controller.PowerUp()
	b.state = b.controller.StateIndex()
	b.slipsBrake = b.c.Sequence.States[b.state].SlipsBrake
	const cause = "power returned"
	b.recordOf(EventPowerReturned, from+" → "+b.stateName()+because(cause), from, cause)
	b.scheduleFaults(b.state)
	b.entries = append(b.passedOver.fold(b.entries), stateEntry{state: b.state, tick: b.tick})
}

// powerless commands an axis without power: drive off, brake closed. The sensors are still
// read, for the trace.
func (b *Bench) powerless(functional bool) {
	if functional {
		b.readInputs(&b.reading)
		b.in.InStateS = 0
		b.in.ForgetKept()
		b.known.ForgetKept()
	}
	b.command.Mode = plant.Off
	b.command.CloseBrakes()
}
