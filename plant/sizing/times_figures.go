package sizing

import (
	"math"
	"time"
)

// The longest times that a rig can have, see the fields of package plant.
const (
	longestDwell    = 600 * time.Second
	longestDeadline = time.Hour
	longestRun      = time.Hour
)

// timeFigures are times of the sequence and the judge.
type timeFigures struct {
	rampDown, rampUp, lag time.Duration
	oneWay                time.Duration // of a signal between the two sides, at most
	answer                time.Duration // from the ask until the answer is read
	margin                time.Duration
	press                 time.Duration // for a press to be there
	deadline              time.Duration
	verdict               time.Duration // from the ask until the verdict is read
	askGap                time.Duration
	fresh                 time.Duration // by which a proof can be older when it is read
	travel                time.Duration // for the whole travel
	run                   time.Duration // of a test, with the way to the support after one that failed
}

// findTimes adds up what happens one after the other. A signal waits for the next safety
// scan and is some scans late; what comes back is read in the next functional scan.
func (f *figures) findTimes() {
	t, c := &f.times, f.rig.Clock
	t.oneWay = time.Duration(1+c.LinkDelayScans) * c.SafetyScan
	t.answer = t.oneWay + time.Duration(c.LinkDelayScans)*c.SafetyScan + c.FunctionalScan
	t.margin = time.Duration(f.w.MarginScans) * c.SafetyScan
	t.rampDown = f.ramp(f.load.heavy + f.load.breakaway + f.press.down)
	t.rampUp = f.ramp(f.press.down + f.press.up) // straight from the other direction
	t.lag = 5 * f.rig.Drive.CurrentLag           // e^-5 is 0.7 %
	t.press = max(t.rampDown, t.rampUp) + t.lag + t.margin
	t.deadline = roundUp(t.press+f.window.dwell+c.SafetyScan, 100*time.Millisecond)
	t.verdict = t.deadline + t.answer + t.margin
	t.askGap = c.SafetyScan + c.FunctionalScan
	t.fresh = t.oneWay + c.FunctionalScan
	t.travel = f.travelTime() + t.margin
	t.run = f.runTime()
}

// travelTime is that of the whole travel, at rest at both ends: x/v + v/a, which is also
// enough for a way too short to reach the speed. Source: constant acceleration.
func (f *figures) travelTime() time.Duration {
	d, s := f.rig.Drive, f.rig.Stops
	return inTime((s.HighMM-s.LowMM)/d.SpeedMMS + d.SpeedMMS/d.AccelerationMMS2)
}

// runTime is the longest that a test can take if everything is there in its time: travel,
// settle, close the brake, press and ask in each direction, carry and open the brake. One
// that fails goes on to carry, open and travel to the support.
func (f *figures) runTime() time.Duration {
	t := &f.times
	own := func(name string) time.Duration { return inTime(f.params.or(name, 0)) }
	way := t.travel + t.press + own("stop_time_s") + 2*own("brake_time_s")
	ask := t.press + t.answer + t.verdict + max(t.askGap, own("ask_gap_s"))
	run := 2*way + own("settle_time_s") + time.Duration(f.window.dwells)*ask
	if f.params.or("coupled", 0) != 0 {
		run += 2 * own("couple_time_s")
	}
	return roundUp(run, time.Second)
}

// ramp is how long a change of press torque takes.
func (f *figures) ramp(nm float64) time.Duration {
	return inTime(nm / f.w.PressRateNMS)
}

// inTime is a time in s as one that can be added to others a hundred times.
func inTime(seconds float64) time.Duration {
	const endless = 1e7 // above all that can be set
	return time.Duration(math.Min(seconds, endless) * float64(time.Second))
}

func roundUp(d, step time.Duration) time.Duration { return (d + step - 1) / step * step }
