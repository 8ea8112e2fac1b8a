package life

import (
	"context"
	"math/rand/v2"
	"time"

	"holdbench/plant"
)

// world is what all lives have in common.
type world struct {
	plan    *Plan
	rig     *plant.Rig
	stop    func(b Brake, lowering bool) Halt
	test    Tester
	windows bool // they are long enough for a test
}

// The streams of random numbers of a life: another interval, another number of stops, and
// still the same failures.
const (
	streamFailures = iota
	streamStops
	streamTests
	streams
)

// never lies behind the end of every life.
const never = time.Duration(1<<63 - 1)

// journey is a life on its way.
type journey struct {
	*world
	record   Record
	failures *rand.Rand
	stops    *rand.Rand
	tests    *rand.Rand

	now      time.Duration
	brake    Brake
	unfit    time.Duration // since when; never if it is fit
	alarms   int           // in a row for a fit brake
	alarmed  time.Duration // when the first test in a row that failed began
	trend    trend
	nextTest time.Duration
	inWindow bool
	afresh   bool // the next test ends a service
	nextStop time.Duration
	failure  time.Duration
}

// live lives one life through, or gives up with the context's error.
func (w *world) live(ctx context.Context, number int) (Record, error) {
	j := w.begin(number)
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
	j.advance(w.plan.Span) // unless a service lasts longer
	if j.unfit != never {
		j.tell(ToldByNone)
	} else {
		j.idleWarnings()
	}
	j.record.Brake = j.brake
	return j.record, nil
}

// begin starts with a proof that was just given.
func (w *world) begin(number int) *journey {
	source := func(stream uint64) *rand.Rand {
		return rand.New(rand.NewPCG(w.plan.Seed, uint64(number)*streams+stream))
	}
	j := &journey{
		world: w, record: Record{Life: number, Span: w.plan.Span, Scheduled: w.plan.Scheduled(w.plan.Span)},
		failures: source(streamFailures), stops: source(streamStops), tests: source(streamTests),
		brake: initial(w.rig), unfit: never, trend: newTrend(),
	}
	if j.brake.coldRatio(w.rig) < 1 {
		j.unfit = 0
	}
	j.renew(w.plan.Interval)
	j.planStop()
	j.planFailure()
	return j
}

// next is the event that comes first. What fell into a service comes when it is over.
func (j *journey) next() (time.Duration, func() error) {
	at, event := j.nextTest, j.makeTest
	if j.nextStop < at {
		at, event = j.nextStop, j.makeStop
	}
	if j.failure <= at {
		at, event = j.failure, j.fail
	}
	return max(at, j.now), event
}

// renew plans the test after the proof that lapses at the given moment.
func (j *journey) renew(lapse time.Duration) {
	j.nextTest, j.inWindow = j.plan.nextTest(j.now, lapse, j.windows)
	j.afresh = false
}

// planStop draws the next emergency stop: so many in the time of production, each at a
// moment that owes nothing to the others (Poisson process).
func (j *journey) planStop() {
	j.nextStop = never
	if j.plan.StopsPerShift == 0 {
		return
	}
	ahead := bounded(j.stops.ExpFloat64() / j.plan.StopsPerShift * float64(j.plan.Shift))
	if at := j.plan.Scheduled(j.now) + ahead; at < j.record.Scheduled {
		j.nextStop = j.plan.at(at)
	}
}

func (j *journey) planFailure() {
	switch {
	case j.plan.FailureOnce:
		j.failure = time.Duration(j.failures.Float64() * float64(j.plan.Span))
	case j.plan.FailureEvery > 0:
		j.failure = j.now + bounded(j.failures.ExpFloat64()*float64(j.plan.FailureEvery))
	default:
		j.failure = never
	}
}

// bounded is a time ahead that can be added to any moment of a life.
func bounded(t float64) time.Duration { return time.Duration(min(t, float64(2*longestSpan))) }

// advance goes on to a moment: the lining declines, the brake cools.
func (j *journey) advance(to time.Duration) {
	passed := to - j.now
	if passed <= 0 {
		return
	}
	before, was := j.brake, j.now
	j.now = to
	j.brake = j.brake.cooled(passed, j.rig)
	if j.plan.DeclinePerDay > 0 {
		j.brake.Condition = max(0, before.Condition-j.plan.DeclinePerDay*passed.Hours()/24)
		j.crossed(before, was)
	}
}

// crossed finds when the brake ceased to be fit on the way: its capacity falls in
// proportion to the time.
func (j *journey) crossed(before Brake, was time.Duration) {
	if j.unfit != never {
		return
	}
	from, to := before.coldRatio(j.rig), j.brake.coldRatio(j.rig)
	if to < 1 {
		j.unfit = was + time.Duration(float64(j.now-was)*(from-1)/(from-to))
	}
}

// look notices at an event that the brake is not fit any more.
func (j *journey) look() {
	if j.unfit == never && j.brake.coldRatio(j.rig) < 1 {
		j.unfit = j.now
	}
}

// fail is the sudden failure: oil on the lining, a spring that breaks.
func (j *journey) fail() error {
	low, high := j.plan.FailureTo[0], j.plan.FailureTo[1]
	j.brake.Condition = min(j.brake.Condition, low+(high-low)*j.failures.Float64())
	j.record.Failures++
	j.look()
	if j.plan.FailureOnce {
		j.failure = never
	} else {
		j.planFailure()
	}
	return nil
}
