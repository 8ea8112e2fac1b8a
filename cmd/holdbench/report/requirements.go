package report

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sequence"
	"holdbench/sim"
)

// requirements say where each requirement is met: obligations, classes, rules of the judge and of the
// stop functions, sizing, and what the sequences can do.
func (in *Input) requirements() *Section {
	return &Section{ID: "requirements", Title: "Requirements and where each is met", Notes: []string{
		"T and a number is a test case of the chapter on test cases. A row that requires a test case and has none is an open point.",
	}, Parts: []*Section{
		{ID: "obligations", Title: "Obligations: what must hold in every run, whatever the fault", Tables: []Table{in.obligationsTable()}},
		{ID: "classes", Title: "Classes: each run compared with the true state of the plant", Tables: []Table{in.classesTable()}},
		{ID: "judge", Title: "Rules of the judge and of the stop functions", Tables: []Table{in.rulesTable()}},
		{ID: "sizing-met", Title: "Requirements of the sizing", Tables: []Table{in.sizingTable()}},
		{ID: "causes", Title: "Ends of the sequences and their causes", Tables: []Table{in.causesTable()}},
		{ID: "states", Title: "States of the sequences", Tables: []Table{in.statesTable()}},
	}}
}

// ran are the test cases that were run.
func (in *Input) ran() []*Run {
	return slices.DeleteFunc(slices.Clone(in.Runs), func(r *Run) bool { return r.Result == nil })
}

// links are the test cases for which something holds; numbers in a row become one range.
func (in *Input) links(holds func(*Run) bool) []Link {
	var list []Link
	runs := in.ran()
	for i := 0; i < len(runs); i++ {
		if !holds(runs[i]) {
			continue
		}
		first, last := runs[i], runs[i]
		for i+1 < len(runs) && runs[i+1].Number == last.Number+1 && holds(runs[i+1]) {
			i++
			last = runs[i]
		}
		l := in.linkTo(first)
		switch last.Number - first.Number {
		case 0:
		case 1:
			list = append(list, l)
			l = in.linkTo(last)
		default:
			l.Text += "–" + last.sign()
		}
		list = append(list, l)
	}
	return list
}

// linkTo leads to a test case, or to its row in the overview where only some are shown.
func (in *Input) linkTo(r *Run) Link {
	if in.shown(r) {
		return r.link()
	}
	return Link{r.sign(), r.id() + "-row"}
}

func (in *Input) count(holds func(*Run) bool) int {
	n := 0
	for _, r := range in.ran() {
		if holds(r) {
			n++
		}
	}
	return n
}

// shownBy is a cell of the test cases that show something; a row without any is open.
func (in *Input) shownBy(holds func(*Run) bool) Cell {
	list := in.links(holds)
	if len(list) == 0 {
		return Cell{Text: "none", Tone: "warn"}
	}
	return Cell{Links: list}
}

func obligationOf(r *Run, name string) (kept, found bool) {
	for _, o := range r.Result.Obligations {
		if o.Name == name {
			return o.Kept, true
		}
	}
	return false, false
}

func (in *Input) obligationsTable() Table {
	t := Table{Columns: heads("obligation", "rule", ">kept", ">broken on purpose", ">broken otherwise", "test cases that break it")}
	for _, o := range sim.Obligations() {
		broken := func(r *Run) bool { kept, found := obligationOf(r, o.Name); return found && !kept }
		wanted := func(r *Run) bool { return broken(r) && meant(r, o.Name) }
		unmeant := in.count(func(r *Run) bool { return broken(r) && !meant(r, o.Name) })
		other := Cell{Text: strconv.Itoa(unmeant)}
		if unmeant > 0 {
			other.Tone = "bad"
		}
		kept := in.count(func(r *Run) bool { kept, found := obligationOf(r, o.Name); return found && kept })
		t.addCells(Cell{Text: o.Name}, Cell{Text: o.Rule}, Cell{Text: strconv.Itoa(kept)}, Cell{Text: strconv.Itoa(in.count(wanted))}, other, Cell{Text: none(in.links(broken)), Links: in.links(broken)})
	}
	t.Notes = []string{"On purpose: the test case names the obligation and the reason, as no sequence could have kept it or as it shows a mistake. Each is watched in every run against the true state of the plant."}
	return t
}

// none is a word where there is no link.
func none(list []Link) string {
	if len(list) == 0 {
		return "none"
	}
	return ""
}

// meant is whether a scenario breaks an obligation on purpose.
func meant(r *Run, name string) bool {
	return slices.ContainsFunc(r.Ready.Scenario.Expect.Obligations, func(b sim.BrokenObligation) bool { return b.Broken == name })
}

func (in *Input) classesTable() Table {
	t := Table{Columns: heads("class", "meaning", ">test cases", "which")}
	for _, class := range sim.Classes() {
		of := func(r *Run) bool { return r.Result.Class == class }
		t.addCells(Cell{Text: string(class)}, Cell{Text: command.ClassDefinition(class)}, Cell{Text: strconv.Itoa(in.count(of))}, in.shownBy(of))
	}
	wrong := func(r *Run) bool { return r.Result.VerdictRight != nil && !*r.Result.VerdictRight }
	t.addCells(Cell{Text: "wrong verdict"}, Cell{Text: "the judge's verdict does not agree with the true capacity of the brake, whatever the sequence made of it"},
		Cell{Text: strconv.Itoa(in.count(wrong))}, in.shownBy(wrong))
	return t
}

// rule is something that the judge or a stop function does.
type rule struct {
	name, text string
	event      sim.EventType
	cause      string // empty for any
}

// rules are those of the safety side, in the order of a check.
func rules() []rule {
	return []rule{
		{"latch", "the position is latched when the requirement is first met in a check", sim.EventTorqueReached, ""},
		{"direction", "a full dwell in one of two required directions is no proof yet", sim.EventDirectionPassed, ""},
		{"proof", "a full dwell within the window in every required direction gives a proof for one interval", sim.EventProven, ""},
		{"brake open", "a brake that does not close, or opens during the check, fails", sim.EventFailed, sequence.CauseBrakeOpen},
		{"both closed", "with both of two brakes closed neither is tested: the check fails", sim.EventFailed, sequence.CauseBothClosed},
		{"moved", "a position that leaves the window fails", sim.EventFailed, sequence.CauseMoved},
		{"no torque", "a requirement that is not met before the deadline fails", sim.EventFailed, sequence.CauseNoTorque},
		{"no dwell", "a requirement that is met, but not for a full dwell before the deadline, fails", sim.EventFailed, sequence.CauseNoDwell},
		{"over torque", "a motor torque above the ceiling fails, and stops the drive", sim.EventFailed, sequence.CauseOverTorque},
		{"position lost", "a lost encoder signal, or a position that does not change for too long, fails", sim.EventFailed, sequence.CausePositionLost},
		{"dropped", "a request that is dropped early gives no verdict, and the old proof stays as it was", sim.EventAskDropped, ""},
		{"refused", "while a failure stands no check begins", sim.EventAskRefused, ""},
		{"acknowledged", "a failure stands until it is acknowledged, or as the rig says", sim.EventAcknowledged, ""},
		{"due", "a warning comes ahead of the end of a proof", sim.EventProofDue, ""},
		{"lapsed", "a proof lapses at the end of its interval", sim.EventProofLapsed, ""},
		{"power", "a check that is lost with the power gives no verdict", sim.EventCheckLost, ""},
		{"emergency stop", "an emergency stop stops the axis", sim.EventStopBegan, sequence.StopEmergency},
		{"guard", "a guard that is open where it must be closed stops the axis", sim.EventStopBegan, sequence.StopGuard},
		{"setup speed", "a speed above that of the setup mode stops the axis", sim.EventStopBegan, sequence.StopSetupSpeed},
		{"ceiling", "a motor torque above the ceiling stops the drive", sim.EventStopBegan, sequence.StopCeiling},
		{"lapse", "a lapsed proof stops the axis, where the rig says so", sim.EventStopBegan, sequence.StopLapse},
		{"reset", "a stop ends only with its reset, once the demand is gone", sim.EventStopReset, ""},
		{"withheld", "operation is withheld without a valid proof, where the rig says so", sim.EventOperationWithheld, ""},
	}
}

func (r *Run) has(event sim.EventType, cause string) bool {
	return slices.ContainsFunc(r.Result.Events, func(e sim.Event) bool { return e.Type == event && (cause == "" || e.Cause == cause) })
}

func (in *Input) rulesTable() Table {
	t := Table{Columns: heads("rule", "what it says", ">test cases", "in which it took effect")}
	for _, u := range rules() {
		holds := func(r *Run) bool { return r.has(u.event, u.cause) }
		t.addCells(Cell{Text: u.name}, Cell{Text: u.text}, Cell{Text: strconv.Itoa(in.count(holds))}, in.shownBy(holds))
	}
	t.Notes = []string{"The judge of the bench is a model of a possible safety function and of no product. Each rule has to be compared with the safety function of the machine, and validated there."}
	return t
}

// sizingTable compares the present values of each rig with what they should be.
func (in *Input) sizingTable() Table {
	t := Table{Columns: heads("rig", "requirement", ">calculated", "value", ">now", "assessment")}
	for _, r := range in.Rigs {
		if r.Sized == nil {
			t.addCells(Cell{Text: page.CleanLine(r.Rig.Rig), Link: r.id()}, Cell{Text: "not sized: " + page.CleanLine(r.NotSized), Tone: "bad"}, Cell{}, Cell{}, Cell{}, Cell{})
			continue
		}
		for _, section := range r.Sized.Sections {
			for i := range section.Lines {
				l := &section.Lines[i]
				if l.Set == nil {
					continue
				}
				c := Cell{Text: "suitable: " + l.Set.Assessment}
				if !l.Set.Fits {
					c = Cell{Text: "UNSUITABLE: " + l.Set.Assessment, Tone: "bad"}
				}
				t.addCells(Cell{Text: page.CleanLine(r.Rig.Rig), Link: r.id()}, Cell{Text: l.Name}, Cell{Text: strings.TrimSpace(page.Figure(l.Value) + " " + l.Unit)},
					Cell{Text: l.Set.Key}, Cell{Text: strings.TrimSpace(page.Figure(l.Set.Value) + " " + l.Set.Unit)}, c)
			}
		}
	}
	return t
}

// causesTable lists how each sequence can end, and which test cases end so.
func (in *Input) causesTable() Table {
	t := Table{Class: half(true), Columns: heads("sequence", "end", "cause", ">test cases", "which")}
	for _, s := range in.Sequences {
		about := s.Logic.About()
		for _, state := range about.States {
			if state.End == sequence.EndNone {
				continue
			}
			holds := func(r *Run) bool { return r.Sequence == s && r.Result.EndedIn == state.Name }
			t.addCells(Cell{Text: s.name(), Link: s.id()}, Cell{Text: page.CleanLine(state.Name) + ", " + state.End.String()}, Cell{}, Cell{Text: strconv.Itoa(in.count(holds))}, in.shownBy(holds))
		}
		for _, cause := range about.Causes {
			holds := func(r *Run) bool { return r.Sequence == s && r.Result.Cause == cause }
			t.addCells(Cell{Text: s.name(), Link: s.id()}, Cell{}, Cell{Text: page.CleanLine(cause)}, Cell{Text: strconv.Itoa(in.count(holds))}, in.shownBy(holds))
		}
	}
	return t
}

// statesTable counts in how many test cases each state was entered.
func (in *Input) statesTable() Table {
	t := Table{Columns: heads("sequence", ">states", ">entered", "states that no test case enters")}
	for _, s := range in.Sequences {
		missing := in.notEntered(s)
		all := len(s.Logic.About().States)
		c := Cell{Text: cmp.Or(strings.Join(missing, ", "), "none")}
		if len(missing) > 0 {
			c.Tone = "warn"
		}
		t.addCells(Cell{Text: s.name(), Link: s.id()}, Cell{Text: strconv.Itoa(all)}, Cell{Text: strconv.Itoa(all - len(missing))}, c)
	}
	return t
}

func (in *Input) notEntered(s *Sequence) []string {
	entered := map[string]bool{}
	for _, r := range in.ran() {
		if r.Sequence != s {
			continue
		}
		for _, v := range r.Result.Visits {
			entered[v.State] = true
		}
	}
	var missing []string
	for _, state := range s.Logic.About().States {
		if !entered[state.Name] {
			missing = append(missing, page.CleanLine(state.Name))
		}
	}
	return missing
}

// overview lists all test cases, and whether each is as expected.
func (in *Input) overview() *Section {
	t := Table{Columns: heads("number", "test case", "group", "rig", "sequence", "end", "class", "result")}
	for _, r := range in.Runs {
		word, tone := r.shownOutcome()
		number := Cell{Text: r.sign(), Link: r.id()}
		name := Cell{Text: r.name()}
		if r.Result == nil {
			t.addCells(Cell{Text: r.sign(), Link: "not-usable"}, name, Cell{Text: page.CleanLine(r.Group)}, Cell{}, Cell{}, Cell{}, Cell{}, Cell{Text: word, Tone: tone})
			continue
		}
		if !in.shown(r) {
			number.Link, number.ID = "", r.id()+"-row"
		}
		t.addCells(number, name, Cell{Text: page.CleanLine(r.Group)}, Cell{Text: page.CleanLine(r.Ready.Rig.Rig)}, Cell{Text: r.Sequence.name()},
			Cell{Text: strings.TrimSpace(r.Result.End + " " + page.CleanLine(r.Result.Cause))}, Cell{Text: string(r.Result.Class)}, Cell{Text: word, Tone: tone})
	}
	return &Section{ID: "overview", Title: "Overview", Tables: []Table{t}}
}

// shown is whether a test case has its own page in the record.
func (in *Input) shown(r *Run) bool {
	return r.Result != nil && (in.Only == "" || !r.Result.Met() || r.Differs())
}

// casesChapter is the overview, and a part for each group.
func (in *Input) casesChapter() *Section {
	s := &Section{ID: "cases", Title: "Test cases", Parts: []*Section{in.overview()}}
	s.Notes = []string{
		"Each test case has its purpose, rig, faults and limits, the simulated result, and a column for what is measured on the machine. The simulated result is of the model with the data of the rig; it is no measurement.",
		"Curves: true values come from the plant, the others are what sequence and judge read. The numbers in the band are those of the states below the figure. A fault that no person may cause on a machine is simulated only.",
	}
	if in.Only != "" {
		hidden := in.count(func(r *Run) bool { return !in.shown(r) })
		s.Notes = append(s.Notes, fmt.Sprintf("Shown are only test cases that are not as expected (--only %s): %s as expected, and in the overview alone.", in.Only, page.Count(hidden, "other is", "others are")))
	}
	group := ""
	for _, r := range in.Runs {
		if !in.shown(r) {
			continue
		}
		if r.Group != group || len(s.Parts) == 1 {
			group = r.Group
			s.Parts = append(s.Parts, &Section{Title: "Group " + page.CleanLine(group)})
		}
		last := s.Parts[len(s.Parts)-1]
		last.Cases = append(last.Cases, r.page())
	}
	return s
}
