package report

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
	"holdbench/sim/evaluate"
)

// Differs is whether a recorded test is not as the scenario expects it.
func (r *Run) Differs() bool { return len(r.differences()) > 0 }

// RecordedResult is the verdict on the recorded test and whether it is as expected; empty if none was judged.
func (r *Run) RecordedResult() string {
	switch {
	case r.Judged == nil:
		return ""
	case r.Differs():
		return r.Judged.verdict() + ", NOT as expected"
	default:
		return r.Judged.verdict() + ", as expected"
	}
}

// differences are what is not as expected in the recorded test: its verdict, the figures that have a limit, and the
// obligations. The expectations of the scenario are for both, the run and the test on the axis.
func (r *Run) differences() []string {
	if r.Judged == nil || r.Result == nil {
		return nil
	}
	var list []string
	if text := r.verdictDiffers(); text != "" {
		list = append(list, text)
	}
	for _, f := range evaluate.FigureList() {
		x, b := f.Value(&r.Judged.Figures), r.bounds(f.Name)
		if x != nil && b != nil && !b.Hold(*x) {
			list = append(list, fmt.Sprintf("%s is %s, expected is %s %s", quantityName(f.Name), withUnit(*x, f.Unit), b, f.Unit))
		}
	}
	for _, name := range r.Judged.Broken() {
		if !slices.ContainsFunc(r.Ready.Scenario.Expect.Obligations, func(b sim.BrokenObligation) bool { return b.Broken == name }) {
			list = append(list, "obligation "+name+" is broken")
		}
	}
	return list
}

// verdictDiffers says how the verdict on the recorded test is not that which the scenario expects or, where it expects
// none, that of the run; empty if it is. A proof that is not to be relied on is not the expected one.
func (r *Run) verdictDiffers() string {
	want := cmp.Or(r.Ready.Scenario.Expect.Verdict, r.Result.Verdict)
	text := "verdict is " + r.Judged.verdict() + ", expected is " + want
	switch {
	case r.Judged.Verdict != want:
		return text
	case want == evaluate.Proven && r.Judged.Requirement == evaluate.RequirementBare:
		return text + " against a requirement: only the bare test torque was known"
	case want == evaluate.Proven && !r.Judged.Reliable():
		return text + " by a recording that can be relied on"
	}
	return ""
}

// bounds are the limits that the scenario sets for a figure; nil without any.
func (r *Run) bounds(name string) *sim.Bounds {
	switch e := &r.Ready.Scenario.Expect; name {
	case "load_drop_mm":
		return e.LoadDropMM
	case "slip_deg":
		return e.SlipDeg
	case "peak_torque_nm":
		return e.PeakNM
	}
	return nil
}

// recordedName is the file of the recording of a run.
func (r *Run) recordedName() string { return page.CleanLine(filepath.Base(r.Recorded.Source)) }

// recordedUnmet are the points of recorded tests that are not as expected, or could not be judged.
func (in *Input) recordedUnmet() []Cell {
	var items []Cell
	for _, r := range in.ran() {
		for _, text := range r.differences() {
			items = append(items, Cell{Text: "recorded test " + r.recordedName() + " of " + r.name() + ": " + text, Links: []Link{in.linkTo(r)}, Tone: "bad"})
		}
	}
	return items
}

// recordedVerdict is what the cover says of recorded signals, and whether they are not as expected.
func (in *Input) recordedVerdict() (text string, bad bool) {
	for _, r := range in.ran() {
		switch {
		case r.Judged != nil && r.Differs():
			return " The recorded test " + r.recordedName() + " has the verdict " + r.RecordedResult() + ": the validation is not passed.", true
		case r.Judged != nil:
			return " The recorded test " + r.recordedName() + " has the verdict " + r.RecordedResult() + "; nothing else is measured.", false
		case r.Recorded != nil && r.Recorded.Simulated:
			return " The trace of another run is compared in its figure; nothing is measured yet.", false
		case r.Recorded != nil:
			return " Recorded signals are compared in its figure and could not be judged; nothing else is measured.", false
		}
	}
	return " Nothing is measured yet.", false
}
