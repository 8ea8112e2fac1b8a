package sim

import (
	"holdbench/plant"
	"holdbench/sequence"
)

// powerUp starts both sides anew after a loss of power. The judge has no proof then,
// and nothing of what was on the link is left.
func (b *Bench) powerUp() {
	if b.ended {
		return
	}
	from := b.stateName()
	b.machine = sequence.NewMachineAt(b.c.Program, b.c.Rig.Clock.FunctionalScan, b.c.Program.AfterPowerLoss())
	b.out = sequence.PowerUpOutputs()
	stopped := b.judge.verdict.Busy
	b.judge = newJudge(b.plant.Rig())
	b.judge.verdict = Verdict{}
	b.verdict = Verdict{}
	b.requests, b.verdicts = delayLine[request]{}, delayLine[Verdict]{}
	if stopped {
		b.note(eventJudge, "check lost with the power, no verdict")
	}
	b.note(eventState, from+" → "+b.stateName()+" (power came back)")
	b.dueIn(b.machine.StateIndex())
}

// powerless is the command that an axis without power obeys.
func (b *Bench) powerless() {
	b.command.Mode, b.command.CloseBrake = plant.Off, true
}
