package sim

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"holdbench/plant/problem"
)

// Foresee runs a case once, with its seed, and says what its scenario names that does not happen in the run: faults
// that never begin or change nothing, states that are never entered, stops of the lesson that never come. Each is a
// warning, as another seed may give another run. Expectations that are not met otherwise are a note.
func Foresee(ctx context.Context, c *Case) (problem.List, error) {
	b := NewBench(c, nil)
	stops := NewStops(c.Scenario.Lesson, c.Rig.Clock.Tick)
	reached := 0
	for more := true; more; {
		more = b.ToNextScan()
		for _, due := b.AtStop(stops); due; _, due = b.AtStop(stops) {
			reached++
		}
		switch {
		case ctx.Err() != nil:
			return nil, &interruption{c.Scenario.Scenario, ctx.Err()}
		case more && b.now() > foreseen:
			return unforeseen(c), nil
		}
	}
	r, err := b.Result()
	if err != nil {
		return nil, err
	}
	f := foresight{b: b, r: r}
	f.faults()
	f.states()
	f.within()
	f.stops(reached)
	if len(c.Contradictions()) == 0 { // otherwise some are not met in any run
		f.unmet()
	}
	return f.found, nil
}

// foreseen is how much of a run is looked at: some seconds of work.
const foreseen = time.Hour

// unforeseen notes that a run is longer than what is looked at.
func unforeseen(c *Case) problem.List {
	at := problem.At("scenario", "in a run with seed %d the end has not come after %s, and no more of it is looked at: what does not happen is not told; holdbench check runs it to its end", c.Seed, problem.Time(foreseen)).AsWarning()
	at.Note = true
	return problem.List{at}
}

// foresight is what is found in a run that is over.
type foresight struct {
	b     *Bench
	r     *Result
	found problem.List
	told  []string // expectations whose reason is told
}

// warn warns of something that does not happen.
func (f *foresight) warn(path, format string, values ...any) {
	f.found.Warn(path, "in a run with seed %d %s", f.r.Seed, fmt.Sprintf(format, values...))
}

// faults warns of faults that never begin, and of those that change nothing.
func (f *foresight) faults() {
	for i := range f.r.Faults {
		record, fault := &f.r.Faults[i], &f.b.c.Scenario.Faults[i]
		at := fmt.Sprintf("faults[%d]", i)
		switch {
		case record.BeganS == nil:
			f.told = append(f.told, "faults")
			f.warn(at+momentKey(fault, f.b.schedule[i].due >= 0), "the fault never begins: %s; %s", record.Because, f.instead(i))
		case !record.Acted:
			key := ".set"
			if fault.Fault != "" {
				key = ".fault"
			}
			f.warn(at+key, "the fault changes nothing: %s", record.Because)
		case fault.Fault == "":
			f.idleSettings(i)
		}
	}
}

// idleSettings notes what a fault that acts sets to the value that it has, where no other fault sets it: it may be
// written to be explicit.
func (f *foresight) idleSettings(i int) {
	fault := f.b.schedule[i]
	for k, s := range fault.settings {
		others := func(other *scheduledFault) bool { return other != fault && hasKey(other.fault.Set, s.target.Name) }
		if on := fault.effect.on[k]; on.was == on.now && !s.target.Operator && !slices.ContainsFunc(f.b.schedule, others) {
			f.warn(fmt.Sprintf("faults[%d].set%s", i, quoted(s.target.Name)), "%s changes nothing, as it is %s already", s.target.Name, on.was)
			f.found[len(f.found)-1].Note = true
		}
	}
}

// momentKey is the key of a fault that says a moment which does not come.
func momentKey(f *Fault, entered bool) string {
	switch {
	case f.When == nil:
		return ".at"
	case f.When.State != "" && !entered:
		return ".when.state"
	}
	return ".when.after"
}

// instead is what would let a fault begin.
func (f *foresight) instead(i int) string {
	switch {
	case f.b.schedule[i].due < 0:
		return "must be a state that the run enters; holdbench run shows them"
	case f.b.ended:
		return "must be earlier, or the last step of the script must be later, as a run goes on until then"
	}
	return "must be earlier"
}

// states warns of states in the expectations that are never entered.
func (f *foresight) states() {
	e := &f.b.c.Scenario.Expect
	for i, state := range e.Path {
		if state != anyStates {
			f.state(fmt.Sprintf("expect.path[%d]", i), expectPath, state)
		}
	}
	for _, state := range sortedKeys(e.Took) {
		f.state("expect.took"+quoted(state), expectTook, state)
	}
	for _, state := range sortedKeys(e.Outputs) {
		f.state("expect.outputs"+quoted(state), expectOutputs, state)
	}
}

func (f *foresight) state(path, expectation, state string) {
	if i := slices.Index(f.b.c.Sequence.StateNames(), state); i >= 0 && !f.b.visited[i] {
		f.told = append(f.told, expectation)
		f.warn(path, "%s is never entered: the run is over at %s, %s", state, f.b.timeText(f.b.tick), f.b.overText())
	}
}

// within warns of a time limit that is over before the operator has done the last thing, and that the sequence does
// not keep.
func (f *foresight) within() {
	limit, last := f.b.c.Scenario.Expect.Within, f.b.c.lastStep()
	ended := time.Duration(f.b.endTick) * f.b.c.Rig.Clock.Tick
	if limit == 0 || limit >= last || ended <= limit {
		return
	}
	f.told = append(f.told, "within")
	f.warn("expect.within", "within %s is not kept: the script acts until %s, and the sequence ends at %s", problem.Time(limit), problem.Time(last), f.b.timeText(f.b.endTick))
}

// stops warns of the first stop of the lesson that never comes; those behind it wait for it.
func (f *foresight) stops(reached int) {
	lesson := f.b.c.Scenario.Lesson
	if reached >= len(lesson) {
		return
	}
	key := ".event"
	switch stop := &lesson[reached]; {
	case stop.At != nil:
		key = ".at"
	case stop.When != nil:
		key = ".when"
	}
	behind := ""
	if reached+1 < len(lesson) {
		behind = ", and none of those behind it"
	}
	f.warn(fmt.Sprintf("lesson[%d]%s", reached, key), "the stop never comes%s: the run is over at %s, %s", behind, f.b.timeText(f.b.tick), f.b.overText())
}

// unmet notes the expectations that are not met without a reason told before.
func (f *foresight) unmet() {
	var names []string
	for _, x := range f.r.Expectations {
		if !x.Met && !slices.Contains(f.told, x.Name) && !slices.Contains(names, x.Name) {
			names = append(names, x.Name)
		}
	}
	if len(names) > 0 {
		f.warn("expect", "these expectations are not met: %s; holdbench check says what came in their place", strings.Join(names, ", "))
		f.found[len(f.found)-1].Note = true
	}
}
