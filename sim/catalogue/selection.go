package catalogue

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"strconv"
	"strings"
	"time"

	"holdbench/plant"
	"holdbench/sim"
)

// Selection is a fault of the catalogue as people write it down: how bad, and when.
type Selection struct {
	Entry    Entry
	Severity float64 // of its scale; of no account without one
	When     sim.Moment
}

// startWord is the start of a run as a moment, as in a scenario.
const startWord = "start"

// String writes lining-worn=0.35@press_down+120ms: without a number where the fault has no
// scale, and without a moment where it is there from the start. [Parse] reads it.
func (n Selection) String() string {
	text := n.Entry.Name
	if n.Entry.Scale != nil {
		text += "=" + strconv.FormatFloat(n.Severity, 'g', -1, 64)
	}
	if n.When == (sim.Moment{}) {
		return text
	}
	text += "@" + n.When.State
	if n.When.State == "" {
		text += startWord
	}
	if n.When.After != 0 {
		text += "+" + strings.ReplaceAll(n.When.After.String(), "µ", "u")
	}
	return text
}

// Parse reads NAME[=NUMBER][@STATE[+TIME]]. Without a number it is the usual one;
// without a state the fault is there from the start, which the word start says as well. What
// a number comes to on a rig, and whether there is such a state, is seen when a case is made.
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
		return Selection{}, fmt.Errorf("%q: %s is there for a whole run; must be without @%s", text, f.Name, when)
	}
	return n, nil
}

// numberOf reads how bad the fault is.
func (f *Entry) parseSeverity(text string) (float64, error) {
	s := f.Scale
	if s == nil {
		return 0, fmt.Errorf("%s is there or not, and has no number; must be without =%s", f.Name, text)
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, fmt.Errorf("the number is %q; must be one such as %g (%s; mild %g, severe %g)", text, s.Usual, s.Unit, s.Mild, s.Severe)
	}
	return x, nil
}

// momentOf reads STATE[+TIME].
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

// AddTo puts the fault into a scenario on a rig: what it sets among the faults, and what
// somebody typed among the settings. Nothing that the scenario shares is changed.
func (n Selection) AddTo(s *sim.Scenario, r *plant.Rig) {
	if fault := n.Entry.At(r, n.Severity, n.When); len(fault.Set) > 0 {
		s.Faults = append(s.Faults[:len(s.Faults):len(s.Faults)], fault)
	}
	if n.Entry.Settings == nil {
		return
	}
	set := make(map[string]string, len(s.Set)+1)
	maps.Copy(set, s.Set)
	maps.Copy(set, n.Entry.Settings(r))
	s.Set = set
}
