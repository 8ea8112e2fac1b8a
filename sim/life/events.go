package life

import (
	"fmt"
	"time"
)

// nuisancesToExchange is the number of nuisance failures in a row after which a brake with
// sufficient torque is exchanged: a service that finds nothing twice exchanges it (common
// practice).
const nuisancesToExchange = 2

// maxServices is the number of services that ends a simulation: nearly every test fails then.
const maxServices = 10_000

// makeStop is an emergency stop at full speed, lowering or raising with equal probability.
func (j *simulation) makeStop() error {
	h := j.stop(j.brake, Stopping{Lowering: j.stops.Uint64()&1 == 0})
	r := &j.record
	r.Stops++
	r.StopWorkJ += h.WorkJ + h.SecondWorkJ
	if j.insufficientSince != never {
		r.StopsInsufficient++
	}
	j.afterStop(h)
	j.planStop()
	return nil
}

// makeOutage is a power failure at full speed, lowering or raising with equal probability.
func (j *simulation) makeOutage() error {
	lowering := j.supply.Uint64()&1 == 0
	h := j.stop(j.brake, Stopping{Lowering: lowering, PowerFailure: true})
	r := &j.record
	r.Outages++
	r.OutageWorkJ += h.WorkJ + h.SecondWorkJ
	if j.insufficientSince != never {
		r.OutagesInsufficient++
	}
	if lowering {
		j.observe(StopDistance, h.DistanceMM)
	}
	j.afterStop(h)
	j.planOutage()
	return nil
}

// afterStop is what a stop does to the brake, and a load drop to production.
func (j *simulation) afterStop(h StopResult) {
	j.brake = j.brake.slipped(h.WorkJ, h.SecondWorkJ, j.rig).weakened(j.plan.DeclinePerStop)
	j.checkTorque()
	if !h.Held {
		j.loadDrop()
	}
}

// loadDrop is a stop in which the brakes did not hold the load.
func (j *simulation) loadDrop() {
	j.record.LoadDrops++
	j.recordLeads(j.now)
	if j.insufficientSince != never {
		j.endExposure(DetectedByDrop)
	}
	j.exchange()
	j.record.LostToRepairs += j.service()
}

// makeTest is a test and its consequences.
func (j *simulation) makeTest() error {
	o, err := j.test.Test(j.brake, j.tests)
	switch {
	case err != nil:
		return err
	case j.record.AfterService > maxServices && o.ControllerStopped != nil:
		return fmt.Errorf("more than %d services, as nearly every test fails; %s", maxServices, o.ControllerStopped)
	case j.record.AfterService > maxServices:
		return fmt.Errorf("more than %d services, as nearly every test fails; check the case with holdbench run, or choose a longer service", maxServices)
	}
	j.recordTest(o)
	j.brake = j.brake.slipped(o.WorkJ, o.SecondWorkJ, j.rig)
	if o.WorkJ > 0 || o.SecondWorkJ > 0 {
		j.checkDrops(j.brake.cold(j.rig))
	}
	began := j.now
	if !o.Passed && j.nuisanceInRow == 0 {
		j.failingSince = began
	}
	j.advance(j.now + o.Duration)
	if !j.inWindow {
		j.record.LostToTests += j.plan.Scheduled(j.now) - j.plan.Scheduled(began)
	}
	switch {
	case o.Passed:
		j.pass()
	case j.insufficientSince != never:
		j.detect()
	default:
		j.nuisance()
	}
	return nil
}

// recordTest counts a test and takes its indicators.
func (j *simulation) recordTest(o Outcome) {
	r := &j.record
	r.Tests++
	switch {
	case j.afterService:
		r.AfterService++
	case j.inWindow:
		r.InWindow++
	default:
		r.Overdue++
	}
	p := TestPoint{At: j.now, Outcome: o, Sufficient: j.insufficientSince == never, Ratio: j.brake.coldRatio(j.rig)}
	r.TestPoints = append(r.TestPoints, p)
	if o.Judged {
		j.observe(WindUp, o.WindUp)
		j.observe(MeasuredWindUp, o.MeasuredDeg)
		j.observe(Slip, o.SlipDeg)
	}
}

// pass is a test that ends in a pass: of a brake with insufficient torque it is missed, unless
// the test itself restored it by a run-in.
func (j *simulation) pass() {
	switch {
	case j.insufficientSince == never:
	case j.brake.coldRatio(j.rig) >= 1:
		j.record.Restored++
		j.endExposure(DetectedByTest)
	default:
		j.record.Missed++
	}
	j.nuisanceInRow = 0
	j.renew(j.now + j.plan.Interval)
}

// detect is a test that detects a brake with insufficient torque.
func (j *simulation) detect() {
	j.record.Detections++
	j.recordLeads(j.failingSince)
	j.endExposure(DetectedByTest)
	j.exchange()
	j.record.LostToRepairs += j.service()
}

// nuisance is a nuisance failure: the brake torque is sufficient, and there is no proof.
func (j *simulation) nuisance() {
	j.record.NuisanceFailures++
	j.nuisanceInRow++
	if j.nuisanceInRow >= nuisancesToExchange {
		j.record.ExchangedInVain++
		j.recordLeads(j.failingSince)
		j.exchange()
	}
	j.record.LostToFalseAlarms += j.service()
}

// endExposure ends an exposure.
func (j *simulation) endExposure(by DetectedBy) {
	j.record.Exposures = append(j.record.Exposures, Exposure{From: j.insufficientSince, To: j.now, By: by, Production: j.plan.Scheduled(j.now) - j.plan.Scheduled(j.insufficientSince)})
	j.insufficientSince = never
}

// exchange puts a new brake in.
func (j *simulation) exchange() {
	j.brake = j.brake.renewed(j.rig)
	j.record.Exchanged++
	j.nuisanceInRow = 0
	j.trend = newTrend()
	j.checkTorque() // a new brake need not be sufficient either
}

// service stops production for its time, and a test ends it.
func (j *simulation) service() (lost time.Duration) {
	began := j.now
	j.advance(j.now + j.plan.Service)
	j.nextTest, j.inWindow, j.afterService = j.now, false, true
	if j.nextStop < j.now {
		j.planStop()
	}
	if j.nextOutage < j.now {
		j.planOutage()
	}
	return j.plan.Scheduled(j.now) - j.plan.Scheduled(began)
}
