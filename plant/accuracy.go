package plant

import (
	"math"
	"time"
)

// Deviation is one figure of a manoeuvre at the rig's own tick and at a fine one.
type Deviation struct {
	Name, Unit, Manoeuvre string
	Working, Fine         float64
}

// Relative is the deviation over the fine figure, 0 where both are nothing.
func (d Deviation) Relative() float64 {
	if d.Fine == 0 {
		return math.Abs(d.Working)
	}
	return math.Abs(d.Working-d.Fine) / math.Abs(d.Fine)
}

// FineTick is the tick that a rig's own is held against: a hundredth of it.
func FineTick(r *Rig) time.Duration { return max(r.Clock.Tick/100, time.Microsecond) }

// Accuracy runs three manoeuvres of a rig without noise at its tick and at a fine one:
// a power failure at rest, one while lowering at full speed, and a press that slowly
// goes past what the brake holds.
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
	sag, rest := powerFailure(r, 0)
	distance, stopped := powerFailure(r, -r.Drive.SpeedMMS)
	return []Deviation{
		{Name: "load sag", Unit: "mm", Manoeuvre: "power failure at rest", Working: sag},
		{Name: "slip of the brake", Unit: "deg", Manoeuvre: "power failure at rest", Working: degrees(rest.SlipRad)},
		{Name: "stopping distance", Unit: "mm", Manoeuvre: "power failure while lowering", Working: distance},
		{Name: "slip of the brake", Unit: "deg", Manoeuvre: "power failure while lowering", Working: degrees(stopped.SlipRad)},
		{Name: "slip work", Unit: "J", Manoeuvre: "power failure while lowering", Working: stopped.SlipWorkJ},
		{Name: "break-away torque", Unit: "N·m", Manoeuvre: "slow press past the brake", Working: breakawayTorque(r)},
	}
}

// fallTime is long enough for any load to come to rest on a brake that holds it.
const fallTime = 2 * time.Second

// powerFailure takes the power away at a speed in mm/s and returns how far the load sank.
func powerFailure(r Rig, speed float64) (mm float64, end State) {
	r.Load.StartSpeedMMS = speed
	p := New(r, 1)
	from := p.LoadMM()
	for range int(fallTime / r.Clock.Tick) {
		p.Observe()
		p.Step(Command{Mode: Off, CloseBrake: true})
	}
	return from - p.LoadMM(), p.state
}

// breakawayTorque closes the brake and presses down slowly until it slips by a thousandth of
// a degree; the torque is what the brake bore the most.
func breakawayTorque(r Rig) float64 {
	r.Drive.CurrentLimitRMSA = 1e5 // the brake shall give in, not the drive
	p := New(r, 1)
	press := Command{Mode: Press, CloseBrake: true, PressTorqueNM: -4 * p.k.brakeCurve.static, PressRateNMS: 4 * p.k.brakeCurve.static}
	hold := Command{Mode: Hold, CloseBrake: true}
	most := 0.0
	for n := range int(fallTime / r.Clock.Tick) {
		c := press
		if time.Duration(n)*r.Clock.Tick < fallTime/4 {
			c = hold
		}
		p.Observe()
		p.Step(c)
		most = max(most, math.Abs(p.state.BrakeTorqueNM))
		if p.state.SlipRad > rad(1e-3) {
			break
		}
	}
	return most
}

func degrees(rad float64) float64 { return rad * 180 / math.Pi }
