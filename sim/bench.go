package sim

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"holdbench/plant"
	"holdbench/sequence"
)

// Bench is one run of a case: plant, sequence and judge in lockstep. It belongs to
// one goroutine.
type Bench struct {
	c       *Case
	plant   *plant.Plant
	machine *sequence.Machine
	judge   judge

	requests               delayLine[request]
	verdicts               delayLine[Verdict]
	toSafety, toFunctional linkState
	verdict                Verdict // as the functional side sees it

	in         sequence.Inputs
	out        sequence.Outputs
	command    plant.Command
	reading    plant.Reading
	operator   operator
	script     []buttonEdge
	buttonsSet []Action // live, see Push
	schedule   []*scheduledFault
	visited    []bool // by state
	entries    []stateEntry
	active     activeFaults

	tick, endTick, stopTick                       int64
	latchTick, checkedTick                        int64 // of the judge's newest check: latch and end
	functionalEvery, nextFunctional               int64 // ticks
	safetyEvery, nextSafety                       int64 // ticks
	inDegrees, slipsBrake, ended, done, disturbed bool
	unpowered                                     bool              // the controllers have no power
	forced                                        *sequence.Outputs // in place of the sequence, see Sustain

	monitors    monitors
	lastVerdict string
	capacityNM  float64 // at the last verdict, or at the end
	requiredNM  float64
	guideNM     float64 // that the guide holds at rest
	carryBandNM float64
	events      []Event
	truth       truthWatch
	trace       Tracer
	err         error
}

// settleTime is how long a run goes on after its end, to see whether the load stays.
const settleTime = 500 * time.Millisecond

// NewBench makes a run at its beginning. The trace may be nil.
func NewBench(c *Case, trace Tracer) *Bench {
	tick := c.Rig.Clock.Tick
	b := &Bench{
		c: c, plant: plant.New(c.Rig, c.Seed),
		machine:         sequence.NewMachine(c.Program, c.Rig.Clock.FunctionalScan),
		judge:           newJudge(&c.Rig),
		out:             sequence.DefaultOutputs(),
		functionalEvery: int64(c.Rig.Clock.FunctionalScan / tick),
		safetyEvery:     int64(c.Rig.Clock.SafetyScan / tick),
		endTick:         -1, stopTick: ticksOf(c.Rig.Clock.RunLimit, tick),
		monitors: newMonitors(), lastVerdict: none, trace: trace, events: make([]Event, 0, 64),
		entries: make([]stateEntry, 0, 64),
	}
	b.inDegrees = setsDegrees(c.Program)
	b.visited = make([]bool, len(c.Program.States()))
	b.judge.data = &b.plant.Rig().Judge
	b.script, _ = scriptEdges(&c.Scenario, tick)
	b.schedule, _ = scheduleOf(&c.Scenario, c.stateNames(), tick)
	first := b.machine.StateIndex() // entered without a transition
	b.slipsBrake = c.Program.States()[first].SlipsBrake
	b.scheduleFaults(first)
	b.entries = append(b.entries, stateEntry{state: first})
	b.verdict = b.judge.verdict
	b.verdicts.fill(b.verdict)
	d := plant.Derive(&c.Rig)
	b.guideNM = d.GuideBreakawayNM
	b.carryBandNM = d.GuideBreakawayNM + 0.1*d.LoadTorqueNM
	return b
}

// Result sums up a run that is done; before that it reports what there is.
func (b *Bench) Result() (*Result, error) {
	if b.err != nil {
		return nil, fmt.Errorf("run %s: %w", b.c.Scenario.Scenario, b.err)
	}
	return b.result(), nil
}

// Tick goes one tick on, in the order written in signals.go, and tells whether the
// run goes on.
func (b *Bench) Tick() bool {
	if b.done {
		return false
	}
	if len(b.script) > 0 {
		b.applyScript()
	}
	if len(b.schedule) > 0 {
		b.applyFaults()
	}
	b.plant.Observe()
	functional, safety := b.tick == b.nextFunctional, b.tick == b.nextSafety
	if functional || safety {
		b.reading = b.plant.Read()
		b.control(functional, safety)
	}
	b.plant.StepBy(&b.command)
	b.monitors.watch(b)
	b.watchTruth()
	if functional && b.trace != nil && b.err == nil {
		b.err = b.traceRow()
	}
	b.tick++
	if b.tick >= b.stopTick || b.err != nil {
		b.finish()
	}
	return !b.done
}

// control runs the scans that are due, and latches what they command.
func (b *Bench) control(functional, safety bool) {
	if functional {
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

// finish ends the run: some time after the sequence has, or at the run's limit.
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
}

func (b *Bench) functionalScan() {
	b.readInputs(&b.reading)
	if b.forced != nil {
		b.out = *b.forced
		return
	}
	before := b.out
	fired, err := b.machine.Scan(&b.in, &b.out)
	if err != nil {
		b.err = err
		return
	}
	if b.out.Ask && !before.Ask {
		b.monitors.askTick = b.tick
	}
	if !fired.OK {
		b.recordFirstOutputs()
		return
	}
	if !b.monitors.begun {
		b.monitors.begin(before)
	}
	b.recordTransition(fired)
}

// recordFirstOutputs takes down what a state sets that a controller begins in.
func (b *Bench) recordFirstOutputs() {
	if s := &b.entries[len(b.entries)-1]; !s.set {
		s.out, s.set = b.out, true
	}
}

// recordTransition notes a transition.
func (b *Bench) recordTransition(f sequence.Fired) {
	b.slipsBrake = b.c.Program.States()[f.ToIndex].SlipsBrake
	b.entries = append(b.entries, stateEntry{f.ToIndex, f.Edge.Event, b.tick, b.out, true})
	b.recordOf(EventStateEntered, f.From+" → "+f.To+because(f.Cause), f.From, f.Cause)
	b.scheduleFaults(f.ToIndex)
	if end, ended := b.machine.Ended(); ended && !b.ended {
		b.ended, b.endTick = true, b.tick
		b.stopTick = min(b.stopTick, b.tick+ticksOf(settleTime, b.c.Rig.Clock.Tick))
		b.recordOf(EventEnded, end.String()+because(b.machine.Cause()), "", b.machine.Cause())
	}
}

// scheduleFaults sets the time of the faults that wait for a state.
func (b *Bench) scheduleFaults(state int) {
	b.visited[state] = true
	for _, c := range b.schedule {
		if c.state == state && c.due < 0 {
			c.due = b.tick + c.delay
		}
	}
}

func because(cause string) string {
	if cause == "" {
		return ""
	}
	return " (" + cause + ")"
}

func (b *Bench) safetyScan() {
	clock := &b.plant.Rig().Clock
	q := b.requests.carry(b.outgoing(), clock.LinkDelayScans, &b.toSafety, clock.SafetyScan, clock.LinkWatchdog)
	q.ask = q.ask || b.toSafety.stuck
	b.judge.step(b.judgeInput(&b.reading, q))
	b.recordJudge()
	b.verdict = b.verdicts.carry(b.judge.verdict, clock.LinkDelayScans, &b.toFunctional, clock.SafetyScan, clock.LinkWatchdog)
	if b.toFunctional.stuck {
		b.verdict = Verdict{Proof: true, ProofLeft: b.plant.Rig().Judge.Interval}
	}
}

// setProof sets the judge's proof. At the start both sides know of it, as if it had been
// there for long; a judge without power keeps none.
func (b *Bench) setProof(left time.Duration) {
	if b.unpowered {
		return
	}
	b.judge.setProof(left)
	if b.tick == 0 {
		b.verdict = b.judge.verdict
		b.verdicts.fill(b.verdict)
	}
}

// recordJudge takes down what the judge just did.
func (b *Bench) recordJudge() {
	v, news := &b.judge.verdict, b.judge.events
	if news == 0 {
		return
	}
	if news&proofLapsed != 0 {
		b.record(EventProofLapsed, "proof lapsed")
	}
	if news&(askDropped|proofGiven|checkFailed) != 0 {
		b.checkedTick = b.tick
	}
	if news&askDropped != 0 {
		b.record(EventAskDropped, "ask dropped, no verdict")
	}
	if news&askRose != 0 {
		b.record(EventAsked, "asked")
	}
	if news&positionLatched != 0 {
		b.latchTick = b.tick
		b.record(EventTorqueReached, "torque reached, position latched")
	}
	if news&proofGiven != 0 {
		b.monitors.proofTick = b.tick
		b.recordVerdict(proven)
		b.record(EventProven, "proven for "+shortDuration(v.ProofLeft))
	}
	if news&checkFailed != 0 {
		b.recordVerdict(failed)
		b.recordOf(EventFailed, "failed: "+v.Cause, "", v.Cause)
	}
}

// recordVerdict keeps a verdict and looks at the brake at that moment.
func (b *Bench) recordVerdict(verdict string) {
	b.lastVerdict = verdict
	b.recordCapacity()
}

// recordCapacity looks at the brake as it truly is.
func (b *Bench) recordCapacity() {
	b.capacityNM, b.requiredNM = b.plant.StaticCapacityNM(), b.plant.RequiredTestNM()
}

func (b *Bench) stateName() string { return b.machine.State() }

func (b *Bench) seconds(tick int64) float64 {
	// Seconds of a Duration would add whole and fraction and print 3.7359999999999998.
	return float64(time.Duration(tick)*b.c.Rig.Clock.Tick) / float64(time.Second)
}

func sortByTick(edges []buttonEdge) {
	slices.SortStableFunc(edges, func(a, b buttonEdge) int { return cmp.Compare(a.tick, b.tick) })
}
