package showcmd

import (
	"fmt"
	"strings"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/plant/recording"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/safety"
)

// listings is the table of all kinds.
func listings() []listing {
	return []listing{
		{"scenarios", "runs with faults and expected outcomes", []string{"name", "title"}, scenarioRows},
		{"lessons", "scenarios with explained stops and questions", []string{"name", stopCount, "title"}, lessonRows},
		{"course", "lessons in chapters, from a sound brake to two faults at once; N on the bench", []string{"name", "title"}, courseRows},
		{"rigs", "axes in machine terms", []string{"name", "title"}, rigRows},
		{"sequences", "state machines for the functional side", []string{"name", "note"}, sequenceRows},
		{"signals", "inputs and outputs of a sequence", []string{"name", "kind", "unit", "note"}, signalRows},
		{"recorded", "signals that a recording of a real axis can have", []string{"name", "unit", "note"}, recordedRows},
		{"roles", "what a parameter of a sequence can be to size and to the bench", []string{"name", "kind", "unit", "note"}, roleRows},
		{"safety", "inputs and outputs of the safety side", []string{"name", "kind", "unit", "note"}, safetyRows},
		{"faults", "catalogue of faults, for runs, bench, riddles and probe", []string{"name", "note"}, faultRows},
		{"targets", "values that a fault can change during a run", []string{"name", "unit", "range", "note"}, targetRows},
		{"settings", "values that set and --set can change before a run", []string{"name", "unit", "range", "note"}, settingRows},
		{"figures", "values beside those of a trace and settings that a lesson can show", []string{"name", "unit", "note"}, figureRows},
		{"obligations", "requirements of every run", []string{"name", "note"}, obligationRows},
		{"classes", "assessment of a run against the truth", []string{"name", "note"}, classRows},
		{"causes", "causes of a failed verdict of the judge", []string{"name", "note"}, causeRows},
		{"events", "kinds of events in a timeline", []string{"name", "note"}, eventRows},
	}
}

func overview() listing {
	return listing{"", "", []string{"list", howMany, "what"}, func() []listRow {
		var rows []listRow
		for _, l := range listings() {
			rows = append(rows, listRow{Name: l.kind, Count: l.count(), Note: l.about})
		}
		return rows
	}}
}

// count is how many rows there are; documents need not be read for that.
func (l listing) count() int {
	for _, kind := range scenarios.Kinds() {
		if l.kind == string(kind)+"s" {
			return len(scenarios.Names(kind))
		}
	}
	return len(l.rows())
}

func scenarioRows() []listRow {
	var rows []listRow
	for _, e := range scenarios.Builtin(scenarios.ScenarioKind) {
		row := listRow{Name: e.Name, Group: e.Group}
		if ready, _, err := scenarios.LoadCase(e.Name, scenarios.Overrides{}); err == nil {
			s := &ready.Scenario
			row.Title, row.Teaches, row.Remedy = s.Title, strings.TrimSpace(s.Teaches), strings.TrimSpace(s.Remedy)
			row.Rig, row.Sequence, row.Class = ready.Rig.Rig, ready.Sequence.Name, string(s.Expect.Class)
		} else {
			row.Title = "cannot be read; see holdbench vet " + e.Name
		}
		rows = append(rows, row)
	}
	return rows
}

// lessonRows are the scenarios that have a lesson. One that cannot be read stands among
// the scenarios.
func lessonRows() []listRow {
	var rows []listRow
	for _, e := range scenarios.Builtin(scenarios.ScenarioKind) {
		ready, _, err := scenarios.LoadCase(e.Name, scenarios.Overrides{})
		if err != nil || len(ready.Scenario.Lesson) == 0 {
			continue
		}
		rows = append(rows, listRow{Name: e.Name, Group: e.Group, Title: ready.Scenario.Title, Count: len(ready.Scenario.Lesson)})
	}
	return rows
}

func figureRows() []listRow {
	var rows []listRow
	for _, v := range sim.FigureValues() {
		rows = append(rows, listRow{Name: v.Name, Unit: v.Unit, Note: v.Note})
	}
	return rows
}

// courseRows are the lessons of the course by number, under titles that do not tell what comes of them.
func courseRows() []listRow {
	course, err := scenarios.BuiltinCourse()
	if err != nil {
		return []listRow{{Name: "course", Title: "cannot be read: " + err.Error()}}
	}
	var rows []listRow
	for i, c := range course.Chapters {
		for j, l := range c.Lessons {
			rows = append(rows, listRow{Name: fmt.Sprintf("%d.%d", i+1, j+1), Group: c.Chapter, Title: l.Title, Note: c.Learn})
		}
	}
	return rows
}

func rigRows() []listRow {
	var rows []listRow
	for _, name := range scenarios.Names(scenarios.RigKind) {
		row := listRow{Name: name, Title: "cannot be read; see holdbench vet " + name}
		if r, _, err := scenarios.LoadRig(name); err == nil {
			row.Title, row.Note = r.Title, strings.TrimSpace(r.Note)
		}
		rows = append(rows, row)
	}
	return rows
}

func sequenceRows() []listRow {
	var rows []listRow
	for _, name := range scenarios.Names(scenarios.SequenceKind) {
		row := listRow{Name: name, Note: "cannot be read; see holdbench vet " + name}
		if logic, _, err := scenarios.LoadLogic(name, scenarios.Below); err == nil {
			row.Note = strings.TrimSpace(logic.About().Note)
		}
		rows = append(rows, row)
	}
	return rows
}

func signalRows() []listRow {
	var rows []listRow
	add := func(group string, signals []sequence.Signal) {
		for i := range signals {
			s := &signals[i]
			row := listRow{
				Name: s.Name, Group: group, Kind: s.Kind.String(), Unit: unitText(s.Unit), Words: s.Words, Note: s.Note,
			}
			if words := strings.Join(s.Words, ", "); words != "" && s.Output {
				row.Note += ": " + words
			}
			rows = append(rows, row)
		}
	}
	add("inputs", sequence.InputSignals())
	add("outputs", sequence.OutputSignals())
	return rows
}

func recordedRows() []listRow {
	var rows []listRow
	for _, s := range recording.Signals() {
		note := s.Note
		switch {
		case len(s.Units()) > 1:
			note += "; accepted: " + strings.Join(s.Units(), ", ")
		case len(s.Words) > 0:
			note += ": " + strings.Join(s.Words, ", ")
		}
		rows = append(rows, listRow{Name: s.Name, Unit: s.Unit, Words: s.Words, Note: note})
	}
	return rows
}

func roleRows() []listRow {
	var rows []listRow
	for _, r := range sequence.RoleWords() {
		rows = append(rows, listRow{Name: r.Role, Kind: r.Kind.String(), Unit: unitText(r.Unit), Note: r.Note})
	}
	return rows
}

func safetyRows() []listRow {
	var rows []listRow
	add := func(group string, signals []safety.Signal) {
		for _, s := range signals {
			rows = append(rows, listRow{Name: s.Name, Group: group, Kind: s.Kind.String(), Unit: s.Unit, Words: s.Words, Note: s.Note})
		}
	}
	add("inputs", safety.InputSignals())
	add("outputs", safety.OutputSignals())
	return rows
}

// unitText is a unit, empty for a plain number.
func unitText(u sequence.Unit) string {
	if u == (sequence.Unit{}) {
		return ""
	}
	return u.String()
}

// faultRows are the faults of the catalogue, with all that does not depend on a rig.
func faultRows() []listRow {
	var rows []listRow
	for _, f := range catalogue.Entries() {
		row := listRow{Name: f.Name, Group: f.Group, Note: f.What, Detected: f.DetectedBy, Remedy: f.Remedy, Moment: anyMoment}
		if s := f.Scale; s != nil {
			row.Unit, row.Range = s.Unit, page.Figure(s.Mild)+" to "+page.Figure(s.Severe)
		}
		if f.WholeRun() {
			row.Moment = wholeRun
		}
		rows = append(rows, row)
	}
	return rows
}

// When a fault can occur.
const (
	anyMoment = "any moment"
	wholeRun  = "whole run"
)

func targetRows() []listRow {
	var rows []listRow
	for _, t := range sim.Targets() {
		rows = append(rows, listRow{Name: t.Name, Unit: t.Unit, Range: t.Range, Note: t.Note})
	}
	return rows
}

func settingRows() []listRow {
	d := command.Reference()
	if d == nil {
		return nil
	}
	values := map[string]string{}
	for _, p := range d.Params {
		values["sequence."+p.Name] = p.Written()
	}
	var rows []listRow
	for _, key := range sim.Settings(d) {
		if f, ok := plant.FindKey(key); ok {
			rows = append(rows, listRow{Name: key, Unit: f.Unit, Range: f.Range(), Note: f.Note})
			continue
		}
		name := strings.TrimPrefix(key, "sequence.")
		rows = append(rows, listRow{Name: key, Unit: unitText(sequence.UnitOf(name)), Range: "expression", Note: "reference: " + values[key]})
	}
	return rows
}

func obligationRows() []listRow {
	var rows []listRow
	for _, o := range sim.Obligations() {
		rows = append(rows, listRow{Name: o.Name, Note: o.Rule})
	}
	return rows
}

func classRows() []listRow {
	var rows []listRow
	for _, c := range sim.Classes() {
		rows = append(rows, listRow{Name: string(c), Note: command.ClassDefinition(c)})
	}
	return rows
}

func causeRows() []listRow {
	notes := map[string]string{
		sequence.CauseBrakeOpen:    "the brake did not close, or opened during the check",
		sequence.CauseBothClosed:   "both of two brakes were closed, so that neither was tested",
		sequence.CauseMoved:        "the position left the window",
		sequence.CauseNoTorque:     "the current did not reach the requirement before the deadline",
		sequence.CauseNoDwell:      "the current reached the requirement, but not for a full dwell",
		sequence.CauseOverTorque:   "the motor torque exceeded the ceiling",
		sequence.CausePositionLost: "the encoder signal was lost, or the position did not change for too long",
	}
	var rows []listRow
	for _, name := range sequence.JudgeCauses() {
		if name != "" {
			rows = append(rows, listRow{Name: name, Note: notes[name]})
		}
	}
	return rows
}

func eventRows() []listRow {
	notes := map[string]string{
		"state":      "the sequence enters a state",
		"operator":   "a button is pressed or released",
		"fault":      "a fault begins or ends",
		"judge":      "the judge is asked, latches the position, proves, fails, or a proof lapses",
		"safety":     "the safety side begins a stop, or its stop is reset",
		"brake":      "the brake is fully closed or fully open",
		"drive":      "drive torque is on or off",
		"truth":      "a true event that the sequence cannot read",
		"obligation": "an obligation was broken",
		"end":        "the sequence ended",
	}
	var rows []listRow
	for _, kind := range sim.EventKinds() {
		rows = append(rows, listRow{Name: kind, Note: notes[kind]})
	}
	return rows
}
