package sim

import (
	"fmt"
	"slices"
	"strings"

	"holdbench/plant/problem"
	"holdbench/sequence"
)

// Expectation is one expectation of the scenario, and the result.
type Expectation struct {
	Name string `json:"name"`
	Met  bool   `json:"met"`
	Want string `json:"want"`
	Got  string `json:"got"`
}

// checkExpect reports expectations that can never be met.
func checkExpect(s *Scenario) problem.List {
	var found problem.List
	oneOf := func(key, value string, words []string) {
		if value != "" && !slices.Contains(words, value) {
			found = append(found, problem.Problem{Path: "expect." + key, Message: fmt.Sprintf("%s is %q%s", key, value, suggestion(value, words))})
		}
	}
	oneOf("end", s.Expect.End, EndWords())
	oneOf("verdict", s.Expect.Verdict, VerdictWords())
	var classes, obligations []string
	for _, c := range Classes() {
		classes = append(classes, string(c))
	}
	for _, o := range Obligations() {
		obligations = append(obligations, o.Name)
	}
	oneOf("operation", s.Expect.Operation, OperationWords())
	oneOf("class", string(s.Expect.Class), classes)
	found = append(found, s.Expect.LoadDropMM.check("load_drop_mm")...)
	found = append(found, s.Expect.SlipDeg.check("slip_deg")...)
	found = append(found, s.Expect.PeakNM.check("peak_torque_nm")...)
	for i, b := range s.Expect.Obligations {
		oneOf(fmt.Sprintf("obligations[%d].broken", i), b.Broken, obligations)
		if b.Why == "" {
			found = append(found, problem.Problem{Path: fmt.Sprintf("expect.obligations[%d]", i), Message: "why is missing; a broken obligation needs a reason"})
		}
	}
	return found
}

// EndWords lists how a run can end.
func EndWords() []string { return append(sequence.EndWords(), none) }

// VerdictWords lists what the judge's last verdict can be.
func VerdictWords() []string { return []string{proven, failed, none} }

// OperationWords lists what both sides together can say of operation.
func OperationWords() []string {
	return []string{sequence.OperationAllowed.String(), sequence.OperationInhibited.String()}
}

// checkCauses warns of causes that the sequence cannot give.
func (c *Case) checkCauses() problem.List {
	var found problem.List
	can := c.Sequence.Causes
	for i, cause := range c.Scenario.Expect.Cause {
		path := "expect.cause"
		if len(c.Scenario.Expect.Cause) > 1 {
			path = fmt.Sprintf("%s[%d]", path, i)
		}
		if !slices.Contains(can, cause) {
			found.Warn(path, "%s cannot give the cause %q%s", c.Sequence.Title(), cause, suggestion(cause, can))
		}
	}
	return found
}

// compare compares a result with the expectations of the scenario. A fault whose moment never
// came is an expectation that is not met: the scenario does not test what it should.
func compare(e *Expect, r *Result) []Expectation {
	var list []Expectation
	add := func(name string, met bool, want, got string) {
		list = append(list, Expectation{name, met, want, got})
	}
	word := func(name, want, got string) {
		if want != "" {
			add(name, want == got, want, got)
		}
	}
	within := func(name, unit string, b *Bounds, got float64) {
		if b != nil {
			add(name, b.Hold(got), b.String()+" "+unit, fmt.Sprintf("%.4g %s", got, unit))
		}
	}
	word("end", e.End, r.End)
	word("verdict", e.Verdict, r.Verdict)
	if len(e.Cause) > 0 {
		add("cause", slices.Contains(e.Cause, r.Cause), e.Cause.String(), r.Cause)
	}
	word("class", string(e.Class), string(r.Class))
	word("operation", e.Operation, r.Operation)
	if e.Within > 0 {
		add("within", r.DurationS <= e.Within.Seconds(), e.Within.String(), fmt.Sprintf("%.3fs", r.DurationS))
	}
	list = append(list, comparePath(e, r.Visits, r.End != none)...)
	within("load_drop_mm", "mm", e.LoadDropMM, r.LoadDropMM)
	within("slip_deg", "deg", e.SlipDeg, r.SlipDeg)
	within("peak_torque_nm", "N·m", e.PeakNM, r.PeakTorqueNM)
	if len(r.Faults) > 0 {
		never := neverBegan(r.Faults)
		add("faults", never == "", "every fault begins", textOr(never, "all began", ""))
	}
	want, got := brokenNames(e.Obligations), brokenIn(r.Obligations)
	add("obligations", want == got, want, got)
	return list
}

// textOr is a text with an ending, or another text if it is empty.
func textOr(text, other, ending string) string {
	if text == "" {
		return other
	}
	return text + ending
}

func brokenNames(b Broken) string {
	var names []string
	for _, o := range Obligations() {
		if slices.ContainsFunc(b, func(x BrokenObligation) bool { return x.Broken == o.Name }) {
			names = append(names, o.Name)
		}
	}
	return brokenText(names)
}

func brokenIn(list []Obligation) string {
	var names []string
	for _, o := range list {
		if !o.Kept {
			names = append(names, o.Name)
		}
	}
	return brokenText(names)
}

func brokenText(names []string) string {
	if len(names) == 0 {
		return "all kept"
	}
	return strings.Join(names, ", ") + " broken"
}
