package report

import (
	"fmt"
	"path/filepath"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
)

// open are the points that a reviewer has to close, or to sign as they are.
func (in *Input) open() *Section {
	return &Section{ID: "open", Title: "Open points", Parts: []*Section{
		in.unmet(), in.unusable(), in.unreviewed(), in.acceptedMisses(), in.toReview(), in.accepted(), in.sizingOpen(), in.untested(),
	}}
}

// listed is a part with items, or with a word where there are none.
func listed(id, title string, items []Cell, none string) *Section {
	s := &Section{ID: id, Title: title, Items: items}
	if len(items) == 0 {
		s.Notes = []string{none}
	}
	return s
}

func (in *Input) unmet() *Section {
	var items []Cell
	for _, r := range in.ran() {
		for _, e := range r.Result.Expectations {
			if !e.Met {
				items = append(items, Cell{Text: fmt.Sprintf("%s: %s is %s, expected is %s", r.name(), quantityName(e.Name), page.OrNothing(page.CleanLine(e.Got)), page.CleanLine(e.Want)), Links: []Link{in.linkTo(r)}, Tone: "bad"})
			}
		}
	}
	none := "None: every test case is as expected."
	if in.count(func(r *Run) bool { return r.Judged != nil }) > 0 {
		none = "None: every test case is as expected, and so is the recorded test."
	}
	return listed("not-met", "Expectations that are not met", append(items, in.recordedUnmet()...), none)
}

func (in *Input) unusable() *Section {
	var items []Cell
	for _, r := range in.Runs {
		if r.Err != nil {
			items = append(items, Cell{Text: r.sign() + " " + page.CleanLine(r.Reference) + ": " + strings.TrimSpace(page.Clean(r.Err.Error())), Tone: "bad"})
		}
	}
	return listed("not-usable", "Documents that could not be used", items, "None: every document was loaded and run.")
}

// unreviewed are test cases whose expectation is what a run gave.
func (in *Input) unreviewed() *Section {
	var items []Cell
	for _, r := range in.ran() {
		if r.Unreviewed {
			items = append(items, Cell{Text: r.name() + ": its expectation only repeats a recorded result that is not reviewed", Links: []Link{in.linkTo(r)}, Tone: "warn"})
		}
	}
	s := listed("not-reviewed", "Expectations that are not reviewed", items, "None.")
	if len(items) > 0 {
		s.Notes = []string{"Such a test case shows that nothing has changed since the recording, and not that it is right. Decide on each expectation, then take the remark out of the document."}
	}
	return s
}

// acceptedMisses are dangerous runs that the scenarios expect: as expected, and yet a risk that stays.
func (in *Input) acceptedMisses() *Section {
	var items []Cell
	for _, r := range in.ran() {
		if risks := r.risks(); len(risks) > 0 && r.Result.Met() {
			items = append(items, Cell{Text: r.name() + ": " + strings.Join(risks, "; "), Links: []Link{in.linkTo(r)}})
		}
	}
	s := listed("residual", "Runs that are as expected and leave a risk", items, "None.")
	if len(items) > 0 {
		s.Notes = []string{"In these test cases the expectation itself is a miss or a broken obligation: the sequence could not detect or prevent it, or the test case shows a mistake. Each is a risk that remains and has to be judged for the machine."}
	}
	return s
}

// risks are what is dangerous in a run, whatever was expected of it.
func (r *Run) risks() []string {
	var list []string
	if r.Result.Class == sim.Missed {
		list = append(list, "class missed: operation is released although the torque is insufficient or the load was not held")
	}
	for _, b := range r.Ready.Scenario.Expect.Obligations {
		if kept, found := obligationOf(r, b.Broken); found && !kept {
			list = append(list, b.Broken+" broken: "+page.CleanLine(b.Why))
		}
	}
	if r.Result.End != "pass" {
		return list
	}
	for _, b := range r.brakeDrops() {
		if !b.drop.MeetsAtRest || !b.drop.MeetsFromSpeed {
			list = append(list, "passed, and at a power failure the load would drop farther than the rig permits"+b.which)
		}
	}
	return list
}

func (in *Input) accepted() *Section {
	var items []Cell
	for _, p := range in.Studies.Probes {
		if len(p.other) > 0 {
			continue
		}
		for _, g := range p.groups() {
			if g.accepted != "" {
				items = append(items, Cell{Text: g.words() + ". Reason: " + page.CleanLine(g.accepted), Links: []Link{{"probe", "studies"}}})
			}
		}
	}
	none := "None is accepted."
	if len(in.Studies.Probes) == 0 {
		none = "No probe was given."
	}
	return listed("accepted", "Cells of the probe that are accepted by name", items, none)
}

func (in *Input) sizingOpen() *Section {
	var items []Cell
	for _, r := range in.Rigs {
		name := Link{page.CleanLine(r.Rig.Rig), r.id()}
		if r.Sized == nil {
			items = append(items, Cell{Text: "not sized: " + page.CleanLine(r.NotSized), Links: []Link{name}, Tone: "bad"})
			continue
		}
		for _, text := range r.Sized.Findings {
			items = append(items, Cell{Text: "finding: " + text, Links: []Link{name}, Tone: "bad"})
		}
		for _, text := range r.Sized.Crossed {
			items = append(items, Cell{Text: "bounds cross: " + text, Links: []Link{name}, Tone: "bad"})
		}
		for _, text := range r.Sized.Thin {
			items = append(items, Cell{Text: "check: " + text, Links: []Link{name}, Tone: "warn"})
		}
		if len(r.Sized.Unfit) > 0 {
			items = append(items, Cell{Text: "unsuitable as set now: " + strings.Join(r.Sized.Unfit, ", "), Links: []Link{name}, Tone: "warn"})
		}
		if len(r.Sized.Missing) > 0 {
			items = append(items, Cell{Text: "no parameter of " + page.CleanLine(r.With) + " has the role: " + strings.Join(r.Sized.Missing, ", "), Links: []Link{name}, Tone: "warn"})
		}
	}
	return listed("sizing-open", "Findings and warnings of the sizing", items, "None: all bounds are consistent, and no margin is below its limit.")
}

// untested is what no test case shows, what was not given, and what no simulation can show.
func (in *Input) untested() *Section {
	var items []Cell
	add := func(text string, links ...Link) { items = append(items, Cell{Text: text, Links: links}) }
	for _, s := range in.Sequences {
		if list := in.notEntered(s); len(list) > 0 {
			add("states of "+s.name()+" that no test case enters: "+strings.Join(list, ", "), Link{"states", "states"})
		}
		if list := in.causesNotShown(s); len(list) > 0 {
			add("causes of "+s.name()+" with which no test case ends: "+strings.Join(list, ", "), Link{"causes", "causes"})
		}
	}
	var silent []string
	for _, u := range rules() {
		if in.count(func(r *Run) bool { return r.has(u.event, u.cause) }) == 0 {
			silent = append(silent, u.name)
		}
	}
	if len(silent) > 0 {
		add("rules of the judge and of the stop functions that took effect in no test case: "+strings.Join(silent, ", "), Link{"rules", "judge"})
	}
	if n, cases := in.notApplied(); n > 0 {
		items = append(items, Cell{Text: page.Count(n, "expectation", "expectations") + " not applied, as what replaces rig or sequence lacks what they name: each test case lists its own", Links: cases, Tone: "warn"})
	}
	for _, text := range in.Studies.missing() {
		add(text, Link{"studies", "studies"})
	}
	for _, c := range in.partial() {
		c.Links = []Link{{"studies", "studies"}}
		items = append(items, c)
	}
	measured := "measurement on the machine: every column measured of this record is empty until it is filled in and signed"
	if in.count(func(r *Run) bool { return r.Judged != nil }) > 0 {
		measured = "measurement on the machine beyond the figures of one recorded test: the column measured is complete once it is filled in and signed"
	}
	add(measured)
	for _, r := range in.ran() {
		for _, text := range r.NotJudged {
			items = append(items, Cell{Text: r.name() + ": the recording " + r.recordedName() + " was not judged: " + page.CleanLine(text), Links: []Link{in.linkTo(r)}, Tone: "warn"})
		}
		if r.Recorded != nil && r.Recorded.Simulated {
			items = append(items, Cell{Text: r.name() + ": " + page.CleanLine(filepath.Base(r.Recorded.Source)) + " is the trace of a run, accepted by --simulated, and no recording of the axis: nothing in it is measured", Links: []Link{in.linkTo(r)}, Tone: "warn"})
		}
	}
	add("the safety function of the machine, its wiring, its parameters and its software: the judge here is a model")
	add("performance level, common-cause failures, electromagnetic and environmental influences, the mechanics behind the motor shaft")
	return &Section{ID: "untested", Title: "What was not tested", Items: items}
}

// notApplied counts the expectations that were not applied, with the test cases that have them.
func (in *Input) notApplied() (n int, cases []Link) {
	for _, r := range in.ran() {
		if left := len(r.Result.NotApplied); left > 0 {
			n, cases = n+left, append(cases, in.linkTo(r))
		}
	}
	return n, cases
}

func (in *Input) causesNotShown(s *Sequence) []string {
	var list []string
	for _, cause := range s.Logic.About().Causes {
		if in.count(func(r *Run) bool { return r.Sequence == s && r.Result.Cause == cause }) == 0 {
			list = append(list, page.CleanLine(cause))
		}
	}
	return list
}

// partial are the studies that say less of this record than they may seem to: those of other documents, and
// those of some faults or states only.
func (in *Input) partial() []Cell {
	var list []Cell
	for _, s := range in.Studies.all() {
		if word, reasons := s.state(); reasons != "" {
			text := s.name() + ": " + reasons
			if !s.counts() {
				text = s.name() + ": " + word.Text + ", " + reasons
			}
			list = append(list, Cell{Text: text, Tone: word.Tone})
		}
	}
	for _, p := range in.Studies.Probes {
		if len(p.Head.Faults)+len(p.Head.States) > 0 {
			list = append(list, Cell{Text: p.name() + " tried some faults or some states only: every fault in every state stays open"})
		}
	}
	for _, m := range in.Studies.Mutations {
		if states := m.states(); len(states) > 0 {
			list = append(list, Cell{Text: m.name() + " made mistakes in some states only (" + chosen(states) + "): whether the test cases notice mistakes in the others stays open"})
		}
	}
	return list
}
