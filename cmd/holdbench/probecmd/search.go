package probecmd

import (
	"context"
	"fmt"
	"slices"
	"time"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/catalogue"
	"holdbench/sim/probe"
)

// search is the search for the mildest undetected severity of each fault.
type search struct {
	thresholds  []probe.Threshold
	done, total int // searches, one for a fault in a state
	stopped     bool
	took        time.Duration
}

// newSearch searches every state of a probe, as far as the context lets it.
func newSearch(ctx context.Context, r *report, progress func(done, all int)) (*search, error) {
	s := &search{}
	o := r.options
	o.Earlier = nil
	o.Progress = func(done, all int) {
		s.done, s.total = done, all
		progress(done, all)
	}
	started := time.Now()
	var err error
	s.thresholds, err = probe.Thresholds(ctx, r.ready, o, r.found)
	s.stopped, s.took = err != nil, time.Since(started)
	return s, err
}

// thresholdGroup is the thresholds of one fault.
type thresholdGroup struct {
	fault      string
	scale      *catalogue.Scale
	thresholds []*probe.Threshold
}

// groups are the thresholds fault by fault.
func (s *search) groups() []*thresholdGroup {
	var groups []*thresholdGroup
	for i := range s.thresholds {
		e := &s.thresholds[i]
		at := slices.IndexFunc(groups, func(g *thresholdGroup) bool { return g.fault == e.Fault })
		if at < 0 {
			at = len(groups)
			g := &thresholdGroup{fault: e.Fault}
			if f, err := catalogue.Find(e.Fault); err == nil {
				g.scale = f.Scale
			}
			groups = append(groups, g)
		}
		groups[at].thresholds = append(groups[at].thresholds, e)
	}
	return groups
}

// mildest is the threshold that represents a group: the lowest of those to review, if there are
// any.
func (g *thresholdGroup) mildest() *probe.Threshold {
	best := g.thresholds[0]
	for _, e := range g.thresholds[1:] {
		if e.Dangerous() == best.Dangerous() && e.Share < best.Share {
			best = e
		}
	}
	return best
}

// words describe the scale.
func (g *thresholdGroup) words() string {
	if g.scale == nil {
		return ""
	}
	return fmt.Sprintf("%s mild to %s severe, %s", page.Figure(g.scale.Mild), page.Figure(g.scale.Severe), g.scale.Unit)
}

// thresholdColumns are a threshold in words, without its state and outcome.
type thresholdColumns struct{ Wrong, Fine, Room, Times string }

func thresholdHeads() thresholdColumns {
	return thresholdColumns{"threshold", "safe at", "scale", "within"}
}

func columnsOf(e *probe.Threshold) thresholdColumns {
	c := thresholdColumns{Wrong: page.Figure(e.Number), Fine: "none", Room: fmt.Sprintf("%.0f %%", 100*e.Share), Times: "from the start"}
	if e.Safe != nil {
		c.Fine = page.Figure(*e.Safe)
	}
	if e.State != "" {
		c.Times = fmt.Sprintf("%.3f to %s", e.FirstS, page.Seconds(e.LastS))
	}
	return c
}

// thresholdNote explains the columns.
const thresholdNote = "threshold: the mildest severity with a finding; safe at: the nearest one without; scale: the place of the threshold from mild to severe; within: the times after the entry of the state at which it does. The search starts from the worst cell of the probe."

// sums count the thresholds.
func (s *search) sums() string {
	open := 0
	for i := range s.thresholds {
		if s.thresholds[i].Dangerous() {
			open++
		}
	}
	text := fmt.Sprintf("%s in %s, one for each fault with a scale in each state; %d to review",
		page.Count(len(s.thresholds), "threshold", "thresholds"), page.Count(s.done, "search", "searches"), open)
	switch {
	case s.done < s.total:
		text += "; interrupted, planned " + page.Count(s.total, "search", "searches")
	case s.stopped:
		text += "; interrupted"
	}
	return text
}
