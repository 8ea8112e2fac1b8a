package life

import (
	"fmt"
	"time"
)

// alarmsToExchange is how many alarms in a row take a brake out that is fit: a service that
// finds nothing twice trusts it no more (common practice).
const alarmsToExchange = 2

// mostServices is how many services end a life: nearly every test fails then, and to go on
// would tell no more.
const mostServices = 10_000

// makeStop is an emergency stop at full speed, as often lowering as raising.
func (j *journey) makeStop() error {
	lowering := j.stops.Uint64()&1 == 0
	h := j.stop(j.brake, lowering)
	r := &j.record
	r.Stops++
	r.StopWorkJ += h.WorkJ
	if j.unfit != never {
		r.StopsUnfit++
	}
	if lowering {
		j.see(StopDistance, h.DistanceMM)
	}
	j.brake = j.brake.slipped(h.WorkJ, j.rig)
	j.brake.Condition = max(0, j.brake.Condition-j.plan.DeclinePerStop)
	j.look()
	if !h.Held {
		j.fall()
	}
	j.planStop()
	return nil
}

// fall is the load that an emergency stop did not stop.
func (j *journey) fall() {
	j.record.Falls++
	j.leads(j.now)
	if j.unfit != never {
		j.tell(ToldByFall)
	}
	j.exchange()
	j.record.LostToRepairs += j.serve()
}

// makeTest is a test, and what it leads to.
func (j *journey) makeTest() error {
	o, err := j.test.Test(j.brake, j.tests)
	switch {
	case err != nil:
		return err
	case j.record.AfterService > mostServices:
		return fmt.Errorf("more than %d services, as nearly every test fails; look at holdbench run, or make the service longer", mostServices)
	}
	j.note(o)
	j.brake = j.brake.slipped(o.WorkJ, j.rig)
	began := j.now
	if !o.Passed && j.alarms == 0 {
		j.alarmed = began
	}
	j.advance(j.now + o.Took)
	if !j.inWindow {
		j.record.LostToTests += j.plan.Scheduled(j.now) - j.plan.Scheduled(began)
	}
	switch {
	case o.Passed:
		j.pass()
	case j.unfit != never:
		j.detect()
	default:
		j.alarm()
	}
	return nil
}

// note counts a test and what could be seen in it.
func (j *journey) note(o Outcome) {
	r := &j.record
	r.Tests++
	switch {
	case j.afresh:
		r.AfterService++
	case j.inWindow:
		r.InWindow++
	default:
		r.Overdue++
	}
	p := Point{At: j.now, Outcome: o, Fit: j.unfit == never, Ratio: j.brake.coldRatio(j.rig)}
	r.Points = append(r.Points, p)
	if o.Judged {
		j.see(WindUp, o.WindUp)
		j.see(SeenWindUp, o.SeenDeg)
		j.see(Slip, o.SlipDeg)
	}
}

func (j *journey) pass() {
	if j.unfit != never {
		j.record.Missed++
	}
	j.alarms = 0
	j.renew(j.now + j.plan.Interval)
}

// detect is the test that tells of an unfit brake.
func (j *journey) detect() {
	j.record.Detections++
	j.leads(j.alarmed)
	j.tell(ToldByTest)
	j.exchange()
	j.record.LostToRepairs += j.serve()
}

// alarm is a test in vain: the brake is fit, and there is no proof.
func (j *journey) alarm() {
	j.record.InVain++
	j.alarms++
	if j.alarms >= alarmsToExchange {
		j.record.FitExchanged++
		j.leads(j.alarmed)
		j.exchange()
	}
	j.record.LostToFalseAlarms += j.serve()
}

// tell ends an exposure.
func (j *journey) tell(by Told) {
	j.record.Exposures = append(j.record.Exposures, Exposure{From: j.unfit, To: j.now, By: by, Production: j.plan.Scheduled(j.now) - j.plan.Scheduled(j.unfit)})
	j.unfit = never
}

func (j *journey) exchange() {
	j.brake = exchanged(j.rig)
	j.record.Exchanged++
	j.alarms = 0
	j.trend = newTrend()
	if j.brake.coldRatio(j.rig) < 1 { // no brake of this kind is fit
		j.unfit = j.now
	}
}

// serve lets production stand until somebody has been there, and a test ends it.
func (j *journey) serve() (lost time.Duration) {
	began := j.now
	j.advance(j.now + j.plan.Service)
	j.nextTest, j.inWindow, j.afresh = j.now, false, true
	if j.nextStop < j.now {
		j.planStop()
	}
	return j.plan.Scheduled(j.now) - j.plan.Scheduled(began)
}
