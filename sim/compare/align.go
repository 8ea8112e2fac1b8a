package compare

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"holdbench/sequence"
	"holdbench/sim"
)

// AlignBy is what two runs are aligned at.
type AlignBy string

// What two runs are aligned at.
const (
	AtTime  AlignBy = "time"  // the same time since the start
	AtState AlignBy = "state" // a state is entered
	AtEvent AlignBy = "event"
)

// Alignment is how moments of two runs belong together.
type Alignment struct {
	By   AlignBy
	Name string // of the state; the kind of the event, or a part of its text
	Nth  int    // which of several, from 1
}

// ParseAlignment reads time, state:NAME or event:TEXT; behind the name #2 is the second one.
func ParseAlignment(text string) (Alignment, error) {
	by, name, named := strings.Cut(text, ":")
	a := Alignment{By: AlignBy(by), Name: strings.TrimSpace(name), Nth: 1}
	if before, nth, ok := cutLast(a.Name, "#"); ok {
		n, err := strconv.Atoi(nth)
		if err != nil || n < 1 {
			return a, fmt.Errorf("number behind # is %q; must be a whole number from 1", nth)
		}
		a.Name, a.Nth = before, n
	}
	switch {
	case a.By == AtTime && !named, (a.By == AtState || a.By == AtEvent) && a.Name != "":
		return a, nil
	}
	return a, fmt.Errorf("alignment is %q; must be time, state:NAME or event:TEXT, with #2 behind it for the second one", text)
}

func cutLast(text, sign string) (before, after string, found bool) {
	if i := strings.LastIndex(text, sign); i >= 0 {
		return text[:i], text[i+len(sign):], true
	}
	return text, "", false
}

func (a Alignment) String() string {
	if a.By == AtTime {
		return string(AtTime)
	}
	text := string(a.By) + ":" + a.Name
	if a.Nth > 1 {
		text += fmt.Sprintf("#%d", a.Nth)
	}
	return text
}

// Moment is when a run comes to what it is aligned at. The error says what it has in place of it.
func (a Alignment) Moment(r *sim.Result) (float64, error) {
	var moments []float64
	switch a.By {
	case AtTime:
		return 0, nil
	case AtState:
		for _, v := range r.Visits {
			if v.State == a.Name {
				moments = append(moments, v.At.Seconds())
			}
		}
	case AtEvent:
		for i := range r.Events {
			if a.isOf(&r.Events[i]) {
				moments = append(moments, r.Events[i].TS)
			}
		}
	}
	if len(moments) >= a.Nth {
		return moments[a.Nth-1], nil
	}
	return 0, a.missing(r, len(moments))
}

// isOf is whether an event is of the kind, or has the text.
func (a Alignment) isOf(e *sim.Event) bool {
	return e.Kind == a.Name || strings.Contains(strings.ToLower(e.What), strings.ToLower(a.Name))
}

// missing says that a run does not come to the moment.
func (a Alignment) missing(r *sim.Result, found int) error {
	if found > 0 {
		return fmt.Errorf("%s has %s:%s %d times; must be #%d or less", r.Scenario, a.By, a.Name, found, found)
	}
	if a.By == AtState {
		return fmt.Errorf("%s does not enter state %q; %s", r.Scenario, a.Name, sequence.Suggest(a.Name, statesOf(r)))
	}
	return fmt.Errorf("%s has no event %q; must be a kind (%s) or a part of its text, see holdbench run %s", r.Scenario, a.Name, strings.Join(kindsOf(r), ", "), r.Scenario)
}

// statesOf lists the states that a run entered.
func statesOf(r *sim.Result) []string {
	var names []string
	for _, v := range r.Visits {
		if !slices.Contains(names, v.State) {
			names = append(names, v.State)
		}
	}
	return names
}

// kindsOf lists the kinds of events of a run.
func kindsOf(r *sim.Result) []string {
	return slices.DeleteFunc(sim.EventKinds(), func(kind string) bool {
		return !slices.ContainsFunc(r.Events, func(e sim.Event) bool { return e.Kind == kind })
	})
}
