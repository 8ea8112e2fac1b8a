package life

import (
	"context"
	"math/rand/v2"
	"time"

	"holdbench/plant"
	"holdbench/plant/portable"
)

// model is what all simulated histories have in common.
type model struct {
	plan    *Plan
	rig     *plant.Rig
	stop    func(b Brake, how Stopping) StopResult
	drops   *DropLimits // nil if nothing asks for them
	test    Tester
	windows bool // long enough for a test
}

// The streams of random numbers of a history: with another interval or another number of stops
// the failures are still the same.
const (
	streamFailures = iota
	streamStops
	streamTests
	streams
)

// streamSupply marks the stream of power failures, so that it is none of the others.
const streamSupply = 1 << 63

// never is after the end of every history.
const never = time.Duration(1<<63 - 1)

// simulation is one history while it is simulated.
type simulation struct {
	*model
	record   Record
	failures *rand.Rand
	stops    *rand.Rand
	tests    *rand.Rand
	supply   *rand.Rand

	now               time.Duration
	brake             Brake
	insufficientSince time.Duration           // since when the torque is insufficient; never if it is sufficient
	missedSince       [fallings]time.Duration // since when the drop limit is not met; never if it is
	nuisanceInRow     int                     // nuisance failures
	failingSince      time.Duration           // beginning of the first failed test in a row
	trend             trend
	nextTest          time.Duration
	inWindow          bool
	afterService      bool          // the next test ends a service
	nextStop          time.Duration // emergency stop
	nextOutage        time.Duration // power failure
	failure           time.Duration
}

// simulate simulates one history, or ends with the context's error.
func (w *model) simulate(ctx context.Context, number int) (Record, error) {
	j := w.start(number)
	for ctx.Err() == nil {
		at, event := j.next()
		if at >= w.plan.Span {
			break
		}
		j.advance(at)
		if err := event(); err != nil {
			return Record{}, err
		}
	}
	if ctx.Err() != nil {
		return Record{}, ctx.Err()
	}
	j.advance(w.plan.Span) // unless a service ends later
	if j.insufficientSince != never {
		j.endExposure(NotDetected)
	} else {
		j.recordFalseWarnings()
	}
	for _, from := range Fallings() {
		j.endDropExposure(from)
	}
	j.record.Brake = j.brake
	return j.record, nil
}

// start starts with a new proof.
func (w *model) start(number int) *simulation {
	source := func(stream uint64) *rand.Rand {
		return rand.New(rand.NewPCG(w.plan.Seed, uint64(number)*streams+stream))
	}
	j := &simulation{
		model: w, record: Record{History: number, Span: w.plan.Span, Scheduled: w.plan.Scheduled(w.plan.Span)},
		failures: source(streamFailures), stops: source(streamStops), tests: source(streamTests),
		supply: rand.New(rand.NewPCG(w.plan.Seed, streamSupply|uint64(number))),
		brake:  initial(w.rig), insufficientSince: never, missedSince: [fallings]time.Duration{never, never}, trend: newTrend(),
	}
	j.checkTorque()
	j.renew(w.plan.Interval)
	j.planStop()
	j.planOutage()
	j.planFailure()
	return j
}

// next is the event that comes first. An event within a service comes at its end.
func (j *simulation) next() (time.Duration, func() error) {
	at, event := j.nextTest, j.makeTest
	if j.nextStop < at {
		at, event = j.nextStop, j.makeStop
	}
	if j.nextOutage < at {
		at, event = j.nextOutage, j.makeOutage
	}
	if j.failure <= at {
		at, event = j.failure, j.suddenFailure
	}
	return max(at, j.now), event
}

// renew plans the test after the proof that lapses at the given moment.
func (j *simulation) renew(lapse time.Duration) {
	j.nextTest, j.inWindow = j.plan.nextTest(j.now, lapse, j.windows)
	j.afterService = false
}

// planStop draws the next emergency stop: a constant rate in the time of production, independent
// of the others (Poisson process).
func (j *simulation) planStop() {
	j.nextStop = never
	if j.plan.StopsPerShift > 0 {
		j.nextStop = j.inProduction(portable.Exponential(j.stops) / j.plan.StopsPerShift * float64(j.plan.Shift))
	}
}

// planOutage draws the next power failure in the same way.
func (j *simulation) planOutage() {
	j.nextOutage = never
	if n := j.plan.PowerFailuresPerYear; n > 0 {
		j.nextOutage = j.inProduction(portable.Exponential(j.supply) / n * float64(j.plan.Scheduled(weeksPerYear*week)))
	}
}

// inProduction is the moment after so much more time of production, in ns; never after the end.
func (j *simulation) inProduction(ahead float64) time.Duration {
	if at := j.plan.Scheduled(j.now) + bounded(ahead); at < j.record.Scheduled {
		return j.plan.at(at)
	}
	return never
}

// planFailure draws the next sudden failure.
func (j *simulation) planFailure() {
	switch {
	case j.plan.FailureOnce:
		j.failure = time.Duration(j.failures.Float64() * float64(j.plan.Span))
	case j.plan.FailureEvery > 0:
		every := float64(j.plan.FailureEvery)
		if j.rig.Brake2.Exists() {
			every /= 2 // either brake can fail
		}
		j.failure = j.now + bounded(portable.Exponential(j.failures)*every)
	default:
		j.failure = never
	}
}

// bounded is a time that can be added to any moment of a history.
func bounded(t float64) time.Duration { return time.Duration(min(t, float64(2*maxSpan))) }

// advance goes to a moment: the lining declines, the brake cools.
func (j *simulation) advance(to time.Duration) {
	passed := to - j.now
	if passed <= 0 {
		return
	}
	before, was := j.brake, j.now
	j.now = to
	j.brake = j.aged(before, passed)
	if j.plan.DeclinePerDay > 0 || before.soaked() {
		j.findCrossings(before, was)
	}
}

// aged is a brake some time later without slip.
func (j *simulation) aged(b Brake, passed time.Duration) Brake {
	b = b.aged(passed, j.rig)
	if j.plan.DeclinePerDay > 0 {
		b = b.weakened(j.plan.DeclinePerDay * passed.Hours() / 24)
	}
	return b
}

// crossing is the share of a time after which the first of two ratios that fall in proportion to it
// is below 1.
func crossing(from, to [2]float64) float64 {
	share := 1.0
	for i := range from {
		if to[i] < 1 {
			share = min(share, (from[i]-1)/(from[i]-to[i]))
		}
	}
	return share
}

// findCrossings finds when the torque became insufficient, and when the drop limit was no longer met.
func (j *simulation) findCrossings(before Brake, was time.Duration) {
	if j.insufficientSince == never {
		j.insufficientSince = j.crossed(before, was, func(b Brake) [2]float64 { return b.coldRatios(j.rig) })
	}
	if j.drops == nil {
		return
	}
	for _, from := range Fallings() {
		if j.missedSince[from] == never {
			j.missedSince[from] = j.crossed(before, was, func(b Brake) [2]float64 { return j.drops.ratios(b, b.cold(j.rig), from) })
		}
	}
}

// crossed is when one of two ratios fell below 1 since a moment, never if none did: the capacity
// falls in proportion to time, that of a soaked lining by [Brake.rested], which is searched to the
// second.
func (j *simulation) crossed(before Brake, was time.Duration, ratios func(Brake) [2]float64) time.Duration {
	below := func(b Brake) bool { each := ratios(b); return min(each[0], each[1]) < 1 }
	switch {
	case !below(j.brake):
		return never
	case !before.soaked():
		return was + time.Duration(float64(j.now-was)*crossing(ratios(before), ratios(j.brake)))
	}
	low, high := time.Duration(0), j.now-was
	for high-low > time.Second {
		if middle := (low + high) / 2; below(j.aged(before, middle)) {
			high = middle
		} else {
			low = middle
		}
	}
	return was + high
}

// checkTorque finds out at an event that the torque has become insufficient, and whether the drop
// limit is met.
func (j *simulation) checkTorque() {
	c := j.brake.cold(j.rig)
	if each := c.ratios(j.rig); j.insufficientSince == never && min(each[0], each[1]) < 1 {
		j.insufficientSince = j.now
	}
	j.checkDrops(c)
}

// suddenFailure is oil on the lining or a broken spring, of two brakes on either with equal
// probability.
func (j *simulation) suddenFailure() error {
	low, high := j.plan.FailureTo[0], j.plan.FailureTo[1]
	left := low + float64((high-low)*j.failures.Float64())
	if j.rig.Brake2.Exists() && j.failures.Uint64()&1 == 0 {
		j.brake.Second.Condition = min(j.brake.Second.Condition, left)
	} else {
		j.brake.Condition = min(j.brake.Condition, left)
	}
	j.record.Failures++
	j.checkTorque()
	if j.plan.FailureOnce {
		j.failure = never
	} else {
		j.planFailure()
	}
	return nil
}
