package sizing

import "time"

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
}

// ramp is how long a change of press torque takes.
func (f *figures) ramp(nm float64) time.Duration {
	return time.Duration(nm / f.w.PressRateNMS * float64(time.Second))
}

func roundUp(d, step time.Duration) time.Duration { return (d + step - 1) / step * step }
