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

// search is the search for the mildest of each fault with which something still goes wrong.
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

// thresholdGroup is the edges of one fault, what somebody must look at ahead.
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

// mildest is the edge that a group is shown by: of those that somebody must look at, if
// there are any, the one that takes the least.
func (g *thresholdGroup) mildest() *probe.Threshold {
	best := g.thresholds[0]
	for _, e := range g.thresholds[1:] {
		if e.Dangerous() == best.Dangerous() && e.Share < best.Share {
			best = e
		}
	}
	return best
}

// words say what the numbers are.
func (g *thresholdGroup) words() string {
	if g.scale == nil {
		return ""
	}
	return fmt.Sprintf("%s mild to %s severe, %s", page.Figure(g.scale.Mild), page.Figure(g.scale.Severe), g.scale.Unit)
}

// thresholdColumns are an edge in words, without its state and outcome.
type thresholdColumns struct{ Wrong, Fine, Room, Times string }

func thresholdHeads() thresholdColumns {
	return thresholdColumns{"wrong at", "fine at", "room", "within"}
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
const thresholdNote = "The mildest of each fault, on its scale, with which something still goes wrong; the nearest number with which nothing does; how far that is on the scale from mild to severe; and from when to when after the state was entered. It is searched around the worst cell of the probe."

// sums count what was found.
func (s *search) sums() string {
	open := 0
	for i := range s.thresholds {
		if s.thresholds[i].Dangerous() {
			open++
		}
	}
	text := fmt.Sprintf("%s in %s, one for each fault with a scale in each state; somebody must look at %d",
		page.Count(len(s.thresholds), "edge", "edges"), page.Count(s.done, "search", "searches"), open)
	switch {
	case s.done < s.total:
		text += "; interrupted, there are " + page.Count(s.total, "search", "searches")
	case s.stopped:
		text += "; interrupted"
	}
	return text
}
