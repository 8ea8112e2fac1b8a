package sim

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sim/fanout"
	"holdbench/sim/safety"
)

// Bench is one run of a case: plant, sequence and safety side in lockstep. It belongs to
// one goroutine. A tick allocates nothing, unless something happens that is an event.
type Bench struct {
	c          *Case
	plant      *plant.Plant
	controller sequence.Controller
	safety     safety.Side

	in      sequence.Inputs
	known   sequence.Inputs // as the present state was entered, for what it kept
	out     sequence.Outputs
	command plant.Command
	reading plant.Reading
	forced  *sequence.Outputs // in place of the sequence's, see BestReaction

	operator   operator
	script     []buttonEdge // that are not due yet
	buttonsSet []Action     // while the run goes on, see SetButton
	schedule   []*scheduledFault
	pending    []*scheduledFault // that are to begin or to end, the next one last; without meaning while nextFault is 0
	nextFault  int64             // tick before which no fault begins or ends, 0 if it has to be found
	active     activeFaults
	disturbed  bool // by a fault, or by an operator who did more than start the test

	disturbedInEnd bool // by a fault while the sequence stood in an end, which counts once the end is left

	visited    []bool // by state
	entries    []stateEntry
	passedOver visitFold
	inDegrees  bool            // the sequence sets its target in degrees
	slipsBrake bool            // the state may move the axis against the closed brake
	state      int             // of the sequence, after its newest scan
	unpowered  bool            // the controllers have no power
	mayLetGo   bool            // the command could let the load fall
	halted     bool            // the controller of the sequence has stopped, or its watchdog has stopped it
	haltTick   int64           // in which it last did
	stopped    *ControllerStop // the first time that it did so, a watchdog apart; shared by copies, never changed
	quiet      quiet
	attended   bool // a person may act at any time
	scans      scanFaults
	guardOpen  bool // it stands open, whatever its signal says
	ended      bool // the sequence is in an end
	atEnd      ending
	done       bool // the run is over

	changes []change // that were made to the run, see Clone
	again   int64    // ticks that were run again to make this copy

	tick, endTick, stopTick         int64
	latchTick, checkedTick          int64 // of the judge's newest check: latch and end
	functionalEvery, nextFunctional int64 // ticks
	safetyEvery, nextSafety         int64 // ticks

	monitors       monitors
	limits         lookLimits
	lastVerdict    string
	proven, failed safety.Brakes // by the judge in this run
	capacityNM     float64       // at the last verdict, or at the end
	capacity2NM    float64       // the same of the second brake, 0 without one
	requiredNM     float64       // at the same moment
	rigAtVerdict   *plant.Rig    // at the same moment, with the brakes as they were
	guideNM        float64       // that the guide holds at rest
	driveLimitNM   float64       // torque limit of the drive as built
	carryBandNM    float64       // from balance, within which the drive carries the load
	events         []Event
	folded         eventFold
	truth          truthWatch
	trace          Tracer
	traced         Row // the newest one, kept so that none is allocated
	err            error
}

// usualEvents is more than most runs have of events, and of states entered.
const usualEvents = 32

// settleTime is how long a run goes on after the sequence has ended, to see whether the load
// stays.
const settleTime = 500 * time.Millisecond

// NewBench makes a run at its beginning. The trace may be nil.
func NewBench(c *Case, trace Tracer) *Bench {
	tick := c.Rig.Clock.Tick
	b := &Bench{
		c: c, plant: plant.New(c.Rig, c.Seed),
		controller:      c.Logic.New(c.Rig.Clock.FunctionalScan),
		out:             sequence.DefaultOutputs(),
		functionalEvery: int64(c.Rig.Clock.FunctionalScan / tick),
		safetyEvery:     int64(c.Rig.Clock.SafetyScan / tick),
		endTick:         -1, stopTick: ticksOf(c.RunLimit(), tick),
		monitors: newMonitors(), lastVerdict: none, trace: trace, events: make([]Event, 0, usualEvents),
	}
	b.inDegrees = c.Sequence.Sets("target_deg")
	b.visited = make([]bool, len(c.Sequence.States))
	b.safety = safety.New(b.plant.Rig())
	b.limits.lookAlways()
	b.plan()
	b.state = b.controller.StateIndex() // entered without a transition
	b.slipsBrake = c.Sequence.States[b.state].SlipsBrake
	b.scheduleFaults(b.state)
	b.entries = append(b.entries, stateEntry{state: b.state})
	d := plant.Derive(&c.Rig)
	b.guideNM, b.driveLimitNM = d.GuideBreakawayNM, d.DriveTorqueLimitNM
	b.carryBandNM = CarryBandNM(&d)
	b.monitors.drop.bandNM = 0.05 * d.WorstLoadTorqueNM
	return b
}

// plan prepares script and faults. [NewCase] has checked them; a scenario that was changed
// afterwards and is wrong stops here, with the reason.
func (b *Bench) plan() {
	var wrong problem.List
	script, found := scriptEdges(&b.c.Scenario, b.c.Rig.Clock.Tick)
	wrong = append(wrong, found...)
	schedule, found := scheduleOf(&b.c.Scenario, b.c.Sequence.StateNames(), b.c.Rig.Clock.Tick)
	if wrong = append(wrong, found...); len(wrong) > 0 {
		panic("sim: unchecked scenario: " + wrong.Error())
	}
	b.script, b.schedule = script, schedule
}

// Result sums up a run that is over; before that it sums up the run so far.
func (b *Bench) Result() (*Result, error) {
	if b.err != nil {
		return nil, fmt.Errorf("run %s: %w", b.c.Scenario.Scenario, b.err)
	}
	return b.result(), nil
}

// control runs the scans that are due and latches their commands.
func (b *Bench) control(functional, safety bool) {
	for functional && b.nextFunctional <= b.tick { // of one that was so late that others fell away
		b.nextFunctional += b.functionalEvery
	}
	if safety {
		b.nextSafety += b.safetyEvery
	}
	if b.unpowered {
		b.powerless(functional)
		return
	}
	if functional {
		b.functionalScan()
	}
	if safety {
		b.safetyScan()
	}
	b.latch()
}

// finish ends the run: some time after the sequence has ended, or at the limit of the run.
func (b *Bench) finish() {
	b.done = true
	if !b.ended {
		b.endTick = b.tick
	}
	if b.lastVerdict == none {
		b.recordCapacity()
	}
	b.monitors.finish(b)
	b.recordBroken()
	if f, ok := b.controller.(sequence.Finisher); ok {
		f.Finish()
	}
}

// stateName is the present state of the sequence.
func (b *Bench) stateName() string { return b.c.Sequence.States[b.state].Name }

// seconds is the time of a tick.
func (b *Bench) seconds(tick int64) float64 {
	// Seconds of a Duration would add whole and fraction and print 3.7359999999999998.
	return float64(time.Duration(tick)*b.c.Rig.Clock.Tick) / float64(time.Second)
}

func sortByTick(edges []buttonEdge) {
	slices.SortStableFunc(edges, func(a, b buttonEdge) int { return cmp.Compare(a.tick, b.tick) })
}

// Run runs a case to its end. An error means that the sequence's controller was lost
// or the trace could not be written.
func Run(c *Case, trace Tracer) (*Result, error) {
	return RunUntil(context.Background(), c, trace)
}

// RunUntil runs a case to its end, or until the context ends; the error then wraps the context's.
// The trace may be nil.
func RunUntil(ctx context.Context, c *Case, trace Tracer) (*Result, error) {
	const ticksBetweenLooks = 4096
	b := NewBench(c, trace)
	for b.Advance(ticksBetweenLooks) {
		if ctx.Err() != nil {
			return nil, &interruption{c.Scenario.Scenario, ctx.Err()}
		}
	}
	if b.err != nil && ctx.Err() != nil { // it ended while a controller was to answer
		return nil, &interruption{c.Scenario.Scenario, ctx.Err()}
	}
	return b.Result()
}

// interruption is the end of a context during a run.
type interruption struct {
	scenario string
	cause    error
}

func (i *interruption) Error() string { return "interrupted before " + i.scenario + " had ended" }

func (i *interruption) Unwrap() error { return i.cause }

// RunAll runs the cases on a number of workers and hands over each result in the
// order of the cases, so that what is written does not depend on the workers. It
// stops early, with the context's error, when the context ends; what was handed
// over until then is complete.
func RunAll(ctx context.Context, cases []*Case, workers int, done func(i int, r *Result, err error)) error {
	type outcome struct {
		result *Result
		err    error
	}
	return fanout.InOrder(ctx, len(cases), workers, func(i int) (outcome, bool) {
		r, err := RunUntil(ctx, cases[i], nil)
		return outcome{r, err}, r != nil || ctx.Err() == nil
	}, func(i int, o outcome) { done(i, o.result, o.err) })
}
