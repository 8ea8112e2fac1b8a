package catalogue

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sim"
)

// Selection is an entry with a severity and a moment.
type Selection struct {
	Entry    Entry
	Severity float64 // of its scale; without meaning if it has none
	When     sim.Moment
}

// startWord is the start of a run as a moment, as in a scenario.
const startWord = "start"

// String writes lining-worn=0.35@press_down+120ms: without a number for a fault without a
// scale, and without a moment for a fault from the start of the run. [Parse] reads it.
func (s Selection) String() string {
	text := s.Entry.Name
	if s.Entry.Scale != nil {
		text += "=" + strconv.FormatFloat(s.Severity, 'g', -1, 64)
	}
	if s.When == (sim.Moment{}) {
		return text
	}
	text += "@" + s.When.State
	if s.When.State == "" {
		text += startWord
	}
	if s.When.After != 0 {
		text += "+" + strings.ReplaceAll(s.When.After.String(), "µ", "u")
	}
	return text
}

// Parse reads NAME[=NUMBER][@STATE[+TIME]]. Without a number the severity is the usual
// one; without a state, or with the word start, the fault is there from the start. The value
// on a rig and the state are checked when a case is made.
func Parse(text string) (Selection, error) {
	what, when, late := strings.Cut(text, "@")
	name, number, given := strings.Cut(what, "=")
	f, err := Find(strings.TrimSpace(name))
	if err != nil {
		return Selection{}, fmt.Errorf("%q: %w", text, err)
	}
	n := Selection{Entry: f, Severity: f.Usual()}
	if given {
		if n.Severity, err = f.parseSeverity(strings.TrimSpace(number)); err != nil {
			return Selection{}, fmt.Errorf("%q: %w", text, err)
		}
	}
	if late {
		if n.When, err = parseMoment(strings.TrimSpace(when)); err != nil {
			return Selection{}, fmt.Errorf("%q: %w", text, err)
		}
	}
	if f.WholeRun() && n.When != (sim.Moment{}) {
		return Selection{}, fmt.Errorf("%q: %s is active for the whole run; must be without @%s", text, f.Name, when)
	}
	return n, nil
}

// parseSeverity reads a number of the scale.
func (f *Entry) parseSeverity(text string) (float64, error) {
	s := f.Scale
	if s == nil {
		return 0, fmt.Errorf("%s has no scale of severity; must be without =%s", f.Name, text)
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, fmt.Errorf("the severity is %q; must be a number such as %g (%s; mild %g, severe %g)", text, s.Usual, s.Unit, s.Mild, s.Severe)
	}
	return x, nil
}

// parseMoment reads STATE[+TIME].
func parseMoment(text string) (sim.Moment, error) {
	state, after, later := strings.Cut(text, "+")
	m := sim.Moment{State: strings.TrimSpace(state)}
	switch m.State {
	case "":
		return m, errors.New("the moment has no state; must be STATE or STATE+TIME, such as press_down+120ms")
	case startWord:
		m.State = ""
	}
	if !later {
		return m, nil
	}
	d, err := time.ParseDuration(strings.TrimSpace(after))
	if err != nil || d < 0 {
		return m, fmt.Errorf("the time after the state is %q; must be a duration of 0 or more, such as 120ms or 1.5s", after)
	}
	m.After = d
	return m, nil
}

// AddTo adds the fault to a scenario on a rig with a sequence: its values to the faults, its settings
// to the scenario's set. The scenario keeps its own slices and maps unchanged. The error is that of a
// sequence without a role that the settings need; nothing is added then.
func (s Selection) AddTo(scenario *sim.Scenario, r *plant.Rig, d *sequence.Description) error {
	settings, missing := s.Entry.SettingsOn(r, d)
	if len(missing) > 0 {
		return problem.List{withoutRoles(s.Entry.Name, d, missing)}
	}
	if fault := s.Entry.At(r, s.Severity, s.When); len(fault.Set) > 0 {
		scenario.Faults = append(slices.Clip(scenario.Faults), fault)
	}
	if len(settings) > 0 {
		set := make(map[string]string, len(scenario.Set)+1)
		maps.Copy(set, scenario.Set)
		maps.Copy(set, settings)
		scenario.Set = set
	}
	return nil
}

// WithFaults is a case with faults in addition to its own. The expectations of its scenario do not
// apply any more, except for the obligations, and neither does its lesson. The error is that of
// [sim.NewCase].
func WithFaults(c *sim.Case, faults ...Selection) (*sim.Case, error) {
	s := c.Scenario
	s.Expect, s.Lesson, s.Teaches, s.Remedy = sim.Expect{}, nil, "", ""
	for _, f := range faults {
		if err := f.AddTo(&s, &c.Rig, c.Sequence); err != nil {
			return nil, err
		}
	}
	made, _, err := c.With(s)
	return made, err
}
