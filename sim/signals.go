package sim

// The order of a tick, everywhere in holdbench:
//
//  1. faults and operator actions that are due
//  2. sensors sampled
//  3. functional scan if due: inputs image in, outputs image out
//  4. safety scan if due: link, judge and stop, link
//  5. commands latched into drive and brake
//  6. the plant integrates to the next tick
//  7. truth, obligations, trace
//
// This file holds the only mapping between plant, sequence and safety side.

import (
	"math"
	"time"

	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sim/safety"
)

// readInputs makes the inputs image from the sensors, the link and the operator.
func (b *Bench) readInputs(r *plant.Reading) {
	in := &b.in
	in.Clock = time.Duration(b.tick) * b.c.Rig.Clock.Tick
	in.Trigger, in.Cancel, in.Estop = b.operator.trigger, b.operator.cancel, b.operator.estop
	in.Reset, in.Acknowledge = b.operator.reset, b.operator.acknowledge
	in.GuardClosed, in.SetupMode, in.Access = b.guardClosed(), b.operator.setupMode, b.operator.access
	in.DriveReady, in.DriveOn, in.DriveFault = r.DriveReady && !b.safety.Out().STO, r.DriveOn, r.DriveFault
	in.PositionMM, in.Speed = r.PositionMM, r.SpeedMMS
	in.TorqueNM, in.CurrentRMSA = r.TorqueNM, r.CurrentRMSA
	in.Standstill, in.InPosition = r.Standstill, r.InPosition
	in.PositionDeg = r.PositionDeg
	in.BrakeClosed, in.Brake2Closed, in.PartnerCoupled = r.BrakeClosed, r.Brake2Closed, r.Coupled
	v := b.safety.Received()
	in.JudgeBusy, in.Proof, in.JudgeFailed = v.Busy, v.Proof, v.Failed
	in.JudgeCause, in.ProofLeftS = v.Cause, v.ProofLeft.Seconds()
	in.Tested, in.TestCount = v.Tested.String(), float64(v.TestCount)
	in.ProofDue = v.ProofDue || !v.Proof // also while the link is down
	in.SafeStop, in.ResetNeeded, in.StopCause = v.SafeStop, v.ResetNeeded, v.StopCause.String()
	in.OperationInhibited = v.OperationInhibited
	in.Brake1ProofLeftS, in.Brake2ProofLeftS = v.Left[0].Seconds(), v.Left[1].Seconds()
}

// safetyReadings is what the safety side reads itself.
func (b *Bench) safetyReadings(r *plant.Reading) safety.Readings {
	return safety.Readings{
		Estop:        b.operator.estop,
		Reset:        b.operator.reset,
		Acknowledge:  b.operator.acknowledge,
		GuardClosed:  b.guardClosed(),
		SetupMode:    b.operator.setupMode,
		Access:       b.operator.access,
		BrakeClosed:  r.BrakeClosed,
		Brake2Closed: r.Brake2Closed,
		SingleTurn:   r.SingleTurn,
		PositionLost: r.PositionLost,
		CurrentAmpA:  math.Sqrt2 * b.plant.JudgeCurrentRMSA(r),
		SpeedMMS:     r.SpeedMMS,
		Standstill:   r.Standstill,
	}
}

// outgoing is what the functional side sends over the link.
func (b *Bench) outgoing() safety.Request {
	return safety.Request{Ask: askDirection(b.out.Ask), RequiredA: b.out.RequiredCurrentA, Released: b.out.Operation == sequence.OperationAllowed}
}

// latch turns the outputs image into the command of the plant. The safety side overrides it.
func (b *Bench) latch() {
	o, before := &b.out, b.command
	b.command = plant.Command{
		Mode:          plantMode(o.Drive),
		TargetMM:      b.targetMM(),
		SpeedMMS:      o.MoveSpeed,
		PressTorqueNM: o.PressTorqueNM,
		PressRateNMS:  o.PressRateNMS,
		TorqueLimitNM: o.TorqueLimitNM,
		CloseBrake:    o.Brake == sequence.BrakeClosed,
		CloseBrake2:   o.Brake2Command() == sequence.BrakeClosed,
		Decouple:      o.Decouple,
	}
	b.override(before)
}

// override gives the safety side the last word over drive and brakes. In a stop no brake opens, and
// a drive that is off stays off.
func (b *Bench) override(before plant.Command) {
	s, c := b.safety.Out(), &b.command
	if !s.SafeStop {
		return
	}
	c.CloseBrake, c.CloseBrake2 = c.CloseBrake || before.CloseBrake, c.CloseBrake2 || before.CloseBrake2
	if s.SBC {
		c.CloseBrakes()
	}
	if c.Mode = plant.Hold; s.STO || b.plant.DriveMode() == plant.Off {
		c.Mode = plant.Off
	}
}

// targetMM is where a move ends. A sequence that sets its target in degrees is for an arm.
func (b *Bench) targetMM() float64 {
	if b.inDegrees {
		return b.plant.ArmMM(b.out.TargetDeg)
	}
	return b.out.TargetMM
}

func askDirection(a sequence.Ask) safety.Directions {
	switch a {
	case sequence.AskDown:
		return safety.Down
	case sequence.AskUp:
		return safety.Up
	}
	return 0
}

func plantMode(m sequence.DriveMode) plant.Mode {
	switch m {
	case sequence.DriveHold:
		return plant.Hold
	case sequence.DriveMove:
		return plant.Move
	case sequence.DrivePress:
		return plant.Press
	}
	return plant.Off
}
