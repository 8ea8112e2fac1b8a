package sizing

import (
	"math"
	"time"
)

// The upper bounds of these times of a rig, see the fields of package plant.
const (
	longestDwell    = 600 * time.Second
	longestDeadline = time.Hour
	longestRun      = time.Hour
)

// timeFigures are times of the sequence and the judge.
type timeFigures struct {
	rampDown, rampUp, lag time.Duration
	oneWay                time.Duration // maximum delay of a signal between the two sides
	answer                time.Duration // from the ask until the answer is read
	margin                time.Duration
	press                 time.Duration // until the press torque is reached
	deadline              time.Duration
	verdict               time.Duration // from the ask until the verdict is read
	askGap                time.Duration
	fresh                 time.Duration // by which a proof can have aged when it is read
	travel                time.Duration // for the whole travel
	run                   time.Duration // of a test, with the travel to the support after a failure
}

// findTimes adds up the consecutive delays. A signal waits for the next safety scan and is
// delayed by some scans; the response is read in the next functional scan.
func (f *figures) findTimes() {
	t, c := &f.times, f.rig.Clock
	t.oneWay = time.Duration(1+c.LinkDelayScans) * c.SafetyScan
	t.answer = t.oneWay + time.Duration(c.LinkDelayScans)*c.SafetyScan + c.FunctionalScan
	t.margin = time.Duration(f.w.MarginScans) * c.SafetyScan
	if f.down {
		t.rampDown = f.ramp(f.load.positionMaximum + f.load.breakaway + f.press.down)
	}
	if f.up {
		t.rampUp = f.ramp(f.changeUp())
	}
	t.lag = 5 * f.rig.Drive.CurrentLag // e^-5 is 0.7 %
	t.press = max(t.rampDown, t.rampUp) + t.lag + t.margin
	t.deadline = roundUp(t.press+f.window.dwell+c.SafetyScan, 100*time.Millisecond)
	t.verdict = t.deadline + t.answer + t.margin
	t.askGap = c.SafetyScan + c.FunctionalScan
	t.fresh = t.oneWay + c.FunctionalScan
	t.travel = f.travelTime() + t.margin
	t.run = f.runTime()
}

// travelTime is the time of the whole travel from rest to rest: x/v + v/a, which is also an
// upper bound for a travel too short to reach the speed. Source: constant acceleration.
func (f *figures) travelTime() time.Duration {
	d, s := f.rig.Drive, f.rig.Stops
	return inTime((s.HighMM-s.LowMM)/d.SpeedMMS + d.SpeedMMS/d.AccelerationMMS2)
}

// runTime is the maximum duration of a test in which each step ends within its time: travel,
// settle, close the brake, press and ask in each direction, carry and open the brake. After a
// failure the sequence carries, opens the brake and travels to the support. Of two brakes each is
// tested, and between them the drive carries while one closes and the other opens.
func (f *figures) runTime() time.Duration {
	t := &f.times
	param := func(role string) time.Duration { return inTime(f.params.or(role, 0)) }
	path := t.travel + t.press + param("stop_time") + 2*param("brake_time")
	ask := t.press + t.answer + t.verdict + max(t.askGap, param("ask_gap"))
	run := 2*path + param("settle_time") + time.Duration(f.window.dwells)*ask
	if f.rig.Brake2.Exists() {
		run += t.press + param("stop_time") + 2*param("brake_time")
	}
	if f.params.or("coupled", 0) != 0 {
		run += 2 * param("couple_time")
	}
	return roundUp(run, time.Second)
}

// changeUp is the change of the motor torque for the press up: from the press down, or from carrying the load where
// that is not tested.
func (f *figures) changeUp() float64 {
	if f.down {
		return f.press.down + f.press.up
	}
	return f.press.up - f.load.positionMinimum + f.load.breakaway
}

// ramp is the duration of a change of the press torque.
func (f *figures) ramp(nm float64) time.Duration {
	return inTime(nm / f.w.PressRateNMS)
}

// inTime converts a time in s, limited so that sums of a hundred do not overflow.
func inTime(seconds float64) time.Duration {
	const limit = 1e7 // above any value that can be set
	return time.Duration(math.Min(seconds, limit) * float64(time.Second))
}

func roundUp(d, step time.Duration) time.Duration { return (d + step - 1) / step * step }
