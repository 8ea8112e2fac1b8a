package plant

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"hash"
	"math"
	"time"

	"holdbench/plant/portable"
)

// SelfTest is the sum of a fixed test of the arithmetic of a tick: the functions of
// [portable] and short runs of three rigs. Two machines, or two versions of the program, of which
// it differs do not have the same runs. It takes a few milliseconds.
func SelfTest() string {
	sum := sha256.New()
	portable.Digest(sum)
	for _, rig := range selfTestRigs() {
		sumOfRun(sum, New(rig, 1))
	}
	return hex.EncodeToString(sum.Sum(nil)[:8])
}

// selfTestRigs are a lift with a worn brake that slips, an arm with a wrong transducer and a
// commutation that is off, and a pair. The values are invented.
func selfTestRigs() []Rig {
	lift := Defaults()
	lift.Load.MassKG, lift.Transmission.FeedConstantMMPerTurn = 180, 20
	lift.Stops.LowMM, lift.Stops.HighMM = -40, 400
	lift.Motor.InertiaKGM2, lift.Motor.TorqueConstant = 0.012, 1.6
	lift.Guide.SlidingNM, lift.Guide.BreakawayNM, lift.Guide.ViscousNMS = 0.3, 0.5, 0.004
	lift.Drive.CurrentLimitRMSA, lift.Drive.SpeedMMS, lift.Drive.AccelerationMMS2, lift.Drive.CurrentNoiseRMSA = 20, 200, 1500, 0.05
	lift.Brake.StaticNM, lift.Brake.SlidingNM, lift.Brake.Condition = 14, 11, 0.7
	lift.Brake.ResponseDelay, lift.Brake.RiseTime, lift.Brake.ReleaseTime = 20*time.Millisecond, 15*time.Millisecond, 40*time.Millisecond
	lift.Encoder.NoiseDeg, lift.Brake.WindUpDeg, lift.Brake.CreepDegPerS = 0.004, 0.2, 0.01

	arm := lift
	arm.Load.MassKG, arm.Load.ArmMM, arm.Load.ArmAngleDeg = 15, 500, 20
	arm.Transmission.FeedConstantMMPerTurn, arm.Transmission.GearRatio = 0, 11
	arm.Drive.CurrentGain, arm.Drive.CurrentOffsetRMSA = 1.1, 0.2
	arm.Encoder.OffsetDeg, arm.Encoder.Scale, arm.Brake.PlayDeg = 31, 1.001, 0.05

	pair := lift
	pair.Partner.InertiaKGM2, pair.Partner.BacklashDeg = 0.02, 0.1
	pair.Partner.Brake = lift.Brake
	return []Rig{lift, arm, pair}
}

// sumOfRun moves, presses against the closed brake until it slips, lets go and catches the load.
func sumOfRun(sum hash.Hash, p *Plant) {
	const ticks = 200 // of each command, 50 ms
	for _, c := range []Command{
		{Mode: Move, TargetMM: 30}, {Mode: Hold, CloseBrake: true},
		{Mode: Press, PressTorqueNM: -18, PressRateNMS: 400, CloseBrake: true},
		{Mode: Off, CloseBrake: true}, {Mode: Off}, {Mode: Off, CloseBrake: true},
	} {
		for range ticks {
			p.Observe()
			reading := p.Read()
			p.StepBy(&c)
			p.state.sum(sum, reading.PositionMM, reading.SpeedMMS, reading.CurrentRMSA)
		}
	}
}

// sum adds the bits of a state and of other values.
func (s *State) sum(to hash.Hash, values ...float64) {
	var buffer []byte
	for _, v := range append(values, s.AngleRad, s.SpeedRadS, s.CurrentRMSA, s.MotorTorqueNM, s.GuideTorqueNM, s.LoadTorqueNM,
		s.CouplingNM, s.BrakeTorqueNM, s.CapacityNM, s.BrakeTempC, s.SlipWorkJ) {
		buffer = binary.LittleEndian.AppendUint64(buffer, math.Float64bits(v))
	}
	to.Write(buffer)
}
