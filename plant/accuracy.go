package plant

import (
	"math"
	"time"
)

// Deviation is one result of a manoeuvre at the tick of the rig and at a fine tick.
type Deviation struct {
	Name, Unit, Manoeuvre string
	Working, Fine         float64
}

// Relative is the deviation divided by the fine result; 0 if both are zero.
func (d Deviation) Relative() float64 {
	if d.Fine == 0 {
		return math.Abs(d.Working)
	}
	return math.Abs(d.Working-d.Fine) / math.Abs(d.Fine)
}

// FineTick is the fine tick for comparison: a hundredth of that of the rig.
func FineTick(r *Rig) time.Duration { return max(r.Clock.Tick/100, time.Microsecond) }

// Accuracy runs three manoeuvres of a rig without noise at its tick and at a fine tick: a
// power failure at rest, a power failure while lowering at full speed, and a slow press
// beyond the capacity of the brake.
func Accuracy(r Rig) []Deviation {
	working, fine := measure(r, r.Clock.Tick), measure(r, FineTick(&r))
	for i := range working {
		working[i].Fine = fine[i].Working
	}
	return working
}

func measure(r Rig, tick time.Duration) []Deviation {
	r.Clock.Tick = tick
	r.Encoder.NoiseDeg, r.Drive.CurrentNoiseRMSA = 0, 0
	r.Load.StartMM = (r.Stops.LowMM + r.Stops.HighMM) / 2
	sag, _, held := powerFailure(r, 0)
	distance, stopping, stopped := powerFailure(r, -r.Drive.SpeedMMS)
	return []Deviation{
		{Name: "load sag", Unit: "mm", Manoeuvre: "power failure at rest", Working: sag},
		{Name: "slip of the brake", Unit: "deg", Manoeuvre: "power failure at rest", Working: degrees(held.SlipRad)},
		{Name: "stopping distance", Unit: "mm", Manoeuvre: "power failure while lowering", Working: distance},
		{Name: "stopping time", Unit: "s", Manoeuvre: "power failure while lowering", Working: stopping},
		{Name: "slip of the brake", Unit: "deg", Manoeuvre: "power failure while lowering", Working: degrees(stopped.SlipRad)},
		{Name: "slip work", Unit: "J", Manoeuvre: "power failure while lowering", Working: stopped.SlipWorkJ},
		{Name: "breakaway torque", Unit: "N·m", Manoeuvre: "slow press beyond the brake's capacity", Working: breakawayTorque(r)},
	}
}

// settlingTime is sufficient for any load to come to rest on a brake that holds it.
const settlingTime = 2 * time.Second

// powerFailure simulates a power failure at a speed in mm/s and returns the load drop and the
// time until the shaft, once it moves, first stands: between two ticks on a straight line, and 0
// if it never does.
func powerFailure(r Rig, speed float64) (dropMM, stopS float64, end State) {
	r.Load.StartSpeedMMS = speed
	p := New(r, 1)
	from := p.LoadMM()
	for n := range int(settlingTime / r.Clock.Tick) {
		before := p.state.SpeedRadS
		p.Observe()
		p.Step(Command{Mode: Off, CloseBrake: true, CloseBrake2: true})
		if after := p.state.SpeedRadS; stopS == 0 && before*after < 0 {
			stopS = (float64(n) + before/(before-after)) * r.Clock.Tick.Seconds()
		}
	}
	return from - p.LoadMM(), stopS, p.state
}

// breakawayTorque closes the brake and presses down slowly until it slips by a thousandth of a
// degree; it returns the maximum torque of the brake.
func breakawayTorque(r Rig) float64 {
	r.Drive.CurrentLimitRMSA = 1e5 // the brake must be the limit, not the drive
	p := New(r, 1)
	press := Command{Mode: Press, CloseBrake: true, PressTorqueNM: -4 * p.brake.curve.static, PressRateNMS: 4 * p.brake.curve.static}
	hold := Command{Mode: Hold, CloseBrake: true}
	maximum := 0.0
	for n := range int(settlingTime / r.Clock.Tick) {
		c := press
		if time.Duration(n)*r.Clock.Tick < settlingTime/4 {
			c = hold
		}
		p.Observe()
		p.Step(c)
		maximum = max(maximum, math.Abs(p.state.BrakeTorqueNM))
		if p.state.SlipRad > rad(1e-3) {
			break
		}
	}
	return maximum
}

func degrees(rad float64) float64 { return rad * 180 / math.Pi }
