package screens

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"holdbench/sim"
)

// fault is what the form says, or what is wrong with it.
func (f *faultForm) fault(view *sim.View, c *sim.Case) (sim.Fault, error) {
	if view.Done {
		return sim.Fault{}, errors.New(overText)
	}
	fault := sim.Fault{Set: map[string]string{}}
	for i := range f.values {
		fault.Set[f.values[i].key] = strings.TrimSpace(f.values[i].field.text())
	}
	if err := c.CheckFault(fault); err != nil {
		return sim.Fault{}, err
	}
	if err := f.timed(&fault); err != nil {
		return sim.Fault{}, err
	}
	return fault, nil
}

// timed adds when the fault comes and how long it lasts.
func (f *faultForm) timed(fault *sim.Fault) (err error) {
	if !f.lasting {
		if fault.For, err = parseTime("for", f.lasts.text()); err != nil {
			return err
		}
	}
	if text := strings.TrimSpace(f.when.filter.text()); f.when.nothing() {
		return fmt.Errorf("no state matches %q; must be part of the name of a state, or empty for now", text)
	}
	if f.state() == "" {
		return nil
	}
	c, _ := f.when.now()
	if c.tag != "" {
		return fmt.Errorf("state %s has been entered already; go back to before that, or inject the fault now", c.ref)
	}
	after, err := parseTime("after", f.after.text())
	fault.When = &sim.Moment{State: c.ref, After: after}
	return err
}

// mostTime is longer than any run.
const mostTime = time.Hour

// parseTime reads a time such as 200ms; empty is none.
func parseTime(name, text string) (time.Duration, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return 0, nil
	}
	d, err := time.ParseDuration(text)
	if err != nil {
		return 0, fmt.Errorf("%s is %q; must be a time such as 200ms or 1.5s", name, text)
	}
	if d < 0 || d > mostTime {
		return 0, fmt.Errorf("%s is %s; must be between 0 and 1h", name, text)
	}
	return d, nil
}
