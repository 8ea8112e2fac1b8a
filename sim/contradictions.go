package sim

import (
	"slices"
	"strings"

	"holdbench/plant/problem"
	"holdbench/sequence"
)

// Contradictions are expectations that exclude each other: whatever the run, one of them is not met. They are
// found in the documents alone.
func (c *Case) Contradictions() problem.List {
	return slices.Concat(c.excludedOutcome(), c.excludedFigures(), c.excludedPath(), c.excludedByPath(), c.excludedTimes())
}

// outcome is what the end, the verdict, operation, the class and three obligations of a run are together.
type outcome struct {
	end, verdict, operation string
	class                   Class
	dropped                 bool // no-drop is broken
	stale                   bool // fresh-proof is broken
	unbounded               bool // bounded is broken
	withheld                bool // the safety side withholds operation
	held                    bool // the load was held
}

// outcomes are all that a run of the case can come to, as far as the rules of class and obligations say.
func (c *Case) outcomes() []outcome {
	mustEnd, holds := !c.mayLosePower(), c.holdsProof()
	var list []outcome
	for _, end := range EndWords() {
		for _, verdict := range VerdictWords() {
			for bits := range 1 << circumstanceBits {
				if o := newOutcome(end, verdict, bits); o.possible(mustEnd, holds) {
					list = append(list, o)
				}
			}
		}
	}
	return list
}

// circumstanceBits is how many circumstances of a run newOutcome reads from as many bits.
const circumstanceBits = 8

// newOutcome is the outcome of an end and a verdict in some circumstances, whether it is possible or not.
func newOutcome(end, verdict string, bits int) outcome {
	is := func(place int) bool { return bits>>place&1 != 0 }
	o := outcome{end: end, verdict: verdict, dropped: is(0), stale: is(1), unbounded: is(2), withheld: is(3), held: is(4)}
	passed, operates := o.passed() && !o.withheld, is(5) && !o.withheld
	o.operation = operationWord(operates)
	o.class = facts{
		released: passed || operates, proven: verdict == proven, passed: passed,
		torqueSufficient: is(6), loadHeld: o.held, disturbed: is(7),
	}.class()
	return o
}

func (o *outcome) passed() bool { return o.end == sequence.EndPass.String() }

// possible is whether a run can come to an outcome. A run that must end has one, or breaks bounded; where a proof
// holds to the end, nothing withholds operation after a pass on it.
func (o *outcome) possible(mustEnd, proofHolds bool) bool {
	switch {
	case o.dropped && o.held,
		o.stale && !o.passed(), !o.stale && o.passed() && o.verdict != proven,
		o.unbounded && o.end != none, mustEnd && !o.unbounded && o.end == none,
		proofHolds && o.passed() && !o.stale && o.withheld:
		return false
	}
	return true
}

func operationWord(allowed bool) string {
	if allowed {
		return sequence.OperationAllowed.String()
	}
	return sequence.OperationInhibited.String()
}

// mayLosePower is whether something in the scenario takes the power from the controllers, or lets the watchdog stop
// the sequence: only then a run may have no end and be bounded all the same.
func (c *Case) mayLosePower() bool {
	s := &c.Scenario
	return slices.ContainsFunc(s.Script, func(a Action) bool { return a.Set[buttonPowerLoss] || a.For > 0 && hasKey(a.Set, buttonPowerLoss) }) ||
		slices.ContainsFunc(s.Faults, func(f Fault) bool {
			return hasKey(f.Set, operatorPrefix+buttonPowerLoss) || hasKey(f.Set, "controller.overrun")
		})
}

func hasKey[V any](m map[string]V, key string) bool {
	_, ok := m[key]
	return ok
}

// holdsProof is whether a proof of the run stands until its end, unless a test fails or the power does: it does not
// lapse, and no fault touches the judge.
func (c *Case) holdsProof() bool {
	touches := func(f Fault) bool {
		return slices.ContainsFunc(sortedKeys(f.Set), func(key string) bool { return strings.HasPrefix(key, "judge.") })
	}
	return c.Rig.Judge.Interval > c.RunLimit() && !slices.ContainsFunc(c.Scenario.Faults, touches)
}

// expected is one expectation of an outcome.
type expected struct {
	path, text string
	met        func(o *outcome) bool
}

const obligationsPath = "expect.obligations"

// expectedOutcome are the expectations of the outcome of a run.
func (e *Expect) expectedOutcome() []expected {
	var list []expected
	word := func(key, want string, of func(o *outcome) string) {
		if want != "" {
			list = append(list, expected{"expect." + key, key + " " + want, func(o *outcome) bool { return of(o) == want }})
		}
	}
	obligation := func(name string, of func(o *outcome) bool) {
		broken := slices.ContainsFunc(e.Obligations, func(b BrokenObligation) bool { return b.Broken == name })
		text := "obligation " + name + onOff(broken, " broken", " kept")
		list = append(list, expected{obligationsPath, text, func(o *outcome) bool { return of(o) == broken }})
	}
	word("end", e.End, func(o *outcome) string { return o.end })
	word("verdict", e.Verdict, func(o *outcome) string { return o.verdict })
	word("operation", e.Operation, func(o *outcome) string { return o.operation })
	word("class", string(e.Class), func(o *outcome) string { return string(o.class) })
	obligation(NoDrop, func(o *outcome) bool { return o.dropped })
	obligation(FreshProof, func(o *outcome) bool { return o.stale })
	obligation(Bounded, func(o *outcome) bool { return o.unbounded })
	return list
}

// excludedOutcome names the fewest expectations of the outcome that no run meets together.
func (c *Case) excludedOutcome() problem.List {
	all, list := c.outcomes(), c.Scenario.Expect.expectedOutcome()
	if excludedOf(all, list, len(list)) == nil {
		return nil // some outcome meets all of them
	}
	for size := 1; size <= len(list); size++ {
		if some := excludedOf(all, list, size); some != nil {
			return problem.List{excluded(some)}
		}
	}
	return nil
}

// excludedOf are so many of the expectations that none of the outcomes meets together, nil if there are none.
func excludedOf(outcomes []outcome, list []expected, size int) []expected {
	if size == 0 {
		if len(outcomes) == 0 {
			return []expected{}
		}
		return nil
	}
	for i := range list {
		left := slices.DeleteFunc(slices.Clone(outcomes), func(o outcome) bool { return !list[i].met(&o) })
		if more := excludedOf(left, list[i+1:], size-1); more != nil {
			return append([]expected{list[i]}, more...)
		}
	}
	return nil
}

// excluded says that no run meets some expectations, at the last one that is written: that an obligation is kept
// need not be.
func excluded(some []expected) problem.Problem {
	var words, obligations []string
	path, meaning := obligationsPath, ""
	for _, x := range some {
		if x.path == obligationsPath {
			obligations = append(obligations, x.text)
			continue
		}
		path, words = x.path, append(words, x.text)
		if class, ok := strings.CutPrefix(x.text, "class "); ok {
			meaning = "; " + Class(class).meaning()
		}
	}
	text := "no run has " + listed(words)
	if len(obligations) > 0 {
		text += " with " + listed(obligations)
	}
	return problem.At(path, "%s", text+meaning)
}

// listed joins words with commas and an and.
func listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

// meaning is what a class is, in few words.
func (c Class) meaning() string {
	switch c {
	case SoundPass:
		return "sound-pass is released on a proof of the run, with sufficient torque and the load held"
	case Missed:
		return "missed is released, with insufficient torque or the load not held"
	case Caught:
		return "caught is not released on a proof of the run, with insufficient torque"
	case Refused:
		return "refused is not released, with sufficient torque"
	case FalseAlarm:
		return "false-alarm is not released, with sufficient torque, the load held and no other fault"
	}
	return string(c)
}

// excludedFigures compares expected figures with the obligations that rest on them.
func (c *Case) excludedFigures() problem.List {
	var found problem.List
	e := &c.Scenario.Expect
	broken := func(name string) bool {
		return slices.ContainsFunc(e.Obligations, func(b BrokenObligation) bool { return b.Broken == name })
	}
	limit := c.Rig.Test.DropLimitMM
	switch b := e.LoadDropMM; {
	case b == nil:
	case broken(NoDrop) && b.AtMost != nil && *b.AtMost <= limit:
		found.Add("expect.load_drop_mm", "load_drop_mm is at most %.4g mm and no-drop is expected to be broken, which takes more than test.drop_limit_mm, %.4g mm: no run is both", *b.AtMost, limit)
	case !broken(NoDrop) && b.AtLeast != nil && *b.AtLeast > limit:
		found.Add("expect.load_drop_mm", "load_drop_mm is at least %.4g mm, which breaks no-drop above test.drop_limit_mm, %.4g mm, and no-drop is not among the broken obligations: no run is both", *b.AtLeast, limit)
	}
	ceiling := c.Rig.Judge.CeilingNM
	fixed := !slices.ContainsFunc(c.Scenario.Faults, func(f Fault) bool { return hasKey(f.Set, "judge.ceiling_nm") })
	if b := e.PeakNM; b != nil && b.AtMost != nil && fixed && broken(BelowCeiling) && *b.AtMost <= ceiling {
		found.Add("expect.peak_torque_nm", "peak_torque_nm is at most %.4g N·m and below-ceiling is expected to be broken, which takes more than judge.ceiling_nm, %.4g N·m: no run is both", *b.AtMost, ceiling)
	}
	return found
}

// excludedTimes are times in a state that are longer than the whole run may be.
func (c *Case) excludedTimes() problem.List {
	var found problem.List
	e := &c.Scenario.Expect
	for _, state := range sortedKeys(e.Took) {
		if least := e.Took[state].AtLeast; least != nil && e.Within > 0 && *least > e.Within {
			found.Add("expect.took"+quoted(state), "%s takes at least %s and within is %s: no run is both", state, problem.Time(*least), problem.Time(e.Within))
		}
	}
	return found
}
