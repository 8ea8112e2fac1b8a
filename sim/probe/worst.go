package probe

import (
	"context"
	"slices"
	"strconv"
	"time"

	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/fanout"
)

// Edge is the mildest fault in a state that something still goes wrong with.
type Edge struct {
	Outcome // of the mildest one
	// Share is where its number lies on the scale of the fault, from 0, mild, to 1, severe:
	// the room that is left.
	Share float64
	// Safe is the number next to it with which nothing goes wrong; nil if even the mild end
	// of the scale escapes.
	Safe *float64
	// FirstS and LastS are the times after the state was entered, s, between which it
	// escapes; both are found by halving from the moment of the cell.
	FirstS, LastS float64
}

// The grid on which a scale is looked at before halving: a fault may escape in the middle
// of its scale and be noticed at either end.
const (
	gridSteps    = 8
	halvingSteps = 10
)

// hunt is the search in one state for the mildest of one fault.
type hunt struct {
	job   job
	fault *catalogue.Entry
	visit *visit
	at    moment
}

// Worst searches each state for the mildest of each fault with a scale that something goes
// wrong with, and for the time in the state within which it does. It starts from a map of
// the same case and options, at the moment that came out worst there.
func Worst(ctx context.Context, c *sim.Case, o Options, m *Map) ([]Edge, error) {
	r, err := newRunner(c, o, nil)
	if err != nil {
		return nil, err
	}
	hunts, err := r.hunts(m)
	if err != nil {
		return nil, err
	}
	var edges []Edge
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	err = fanout.InOrder(ctx, len(hunts), r.options.Workers, func(i int) (*Edge, bool) {
		e, err := hunts[i].search(ctx)
		if err != nil && ctx.Err() == nil {
			cancel(err)
		}
		return e, err == nil
	}, func(i int, e *Edge) {
		if e != nil {
			edges = append(edges, *e)
		}
		if o.Progress != nil {
			o.Progress(i+1, len(hunts))
		}
	})
	slices.SortStableFunc(edges, func(a, b Edge) int { return slices.Compare(urgency(&a.Outcome), urgency(&b.Outcome)) })
	if err != nil {
		err = context.Cause(ctx)
	}
	return edges, err
}

// hunts are made of the worst cell of each square.
func (r *runner) hunts(m *Map) ([]hunt, error) {
	ways := map[string]*route{}
	var list []hunt
	for row, squares := range m.Grid() {
		at := slices.IndexFunc(r.faults, func(f catalogue.Entry) bool { return f.Name == m.Faults[row] })
		if at < 0 || r.faults[at].Scale == nil {
			continue
		}
		for _, s := range squares {
			if s.Cells == 0 {
				continue
			}
			h, err := r.hunt(&r.faults[at], &m.Outcomes[s.Worst], ways)
			if err != nil {
				return nil, err
			}
			list = append(list, h)
		}
	}
	return list, nil
}

func (r *runner) hunt(f *catalogue.Entry, o *Outcome, ways map[string]*route) (hunt, error) {
	key := Cell{Route: o.Route}
	w := ways[key.Key()]
	if w == nil {
		var err error
		if w, err = r.routeBy(o.Route); err != nil {
			return hunt{}, err
		}
		ways[key.Key()] = w
	}
	h := hunt{job: job{route: w}, fault: f, at: moment{word: o.Moment, state: o.State}}
	if i := slices.IndexFunc(w.visits, func(v visit) bool { return v.state == o.State }); i >= 0 {
		h.visit = &w.visits[i]
		h.at = h.moment(max(h.visit.copy.Ticks(), h.visit.entered+h.ticks(o.AfterS)))
	}
	return h, nil
}

func (h *hunt) ticks(seconds float64) int64 {
	tick := h.job.route.c.Rig.Clock.Tick
	return int64((time.Duration(seconds*1e9) + tick/2) / tick)
}

// moment is the one before a tick of the route.
func (h *hunt) moment(tick int64) moment {
	m := h.at
	m.tick = tick
	if after := tick - h.visit.entered; after > 1 || h.visit.entered == 0 || h.visit.woken {
		m.after = time.Duration(after) * h.job.route.c.Rig.Clock.Tick
	} else {
		m.after = 0
	}
	return m
}

// try plays the fault with a number at a moment.
func (h *hunt) try(ctx context.Context, number float64, at moment) (Outcome, error) {
	j := h.job
	if h.visit != nil {
		j.at(h.visit, at)
	}
	j.add(h.fault, severity{"", number}, at)
	list, err := j.run(ctx, nil)
	if err != nil {
		return Outcome{}, err
	}
	return list[0], nil
}

// search finds the edge, nil if nothing goes wrong anywhere on the scale.
func (h *hunt) search(ctx context.Context) (*Edge, error) {
	for step := range gridSteps + 1 {
		share := float64(step) / gridSteps
		o, err := h.try(ctx, h.fault.Scale.Between(share), h.at)
		if err != nil {
			return nil, err
		}
		if !o.wrong() {
			continue
		}
		e := &Edge{Outcome: o, Share: share, FirstS: h.at.after.Seconds(), LastS: h.at.after.Seconds()}
		if step > 0 {
			if err := h.halve(ctx, e, share-1.0/gridSteps); err != nil {
				return nil, err
			}
		}
		return e, h.times(ctx, e)
	}
	return nil, nil
}

// halve moves the edge towards a share of the scale with which nothing goes wrong. Numbers
// have four digits, which are worth typing.
func (h *hunt) halve(ctx context.Context, e *Edge, safe float64) error {
	for range halvingSteps {
		share := (safe + e.Share) / 2
		o, err := h.try(ctx, fourDigits(h.fault.Scale.Between(share)), h.at)
		if err != nil {
			return err
		}
		if o.wrong() {
			e.Outcome, e.Share = o, share
		} else {
			safe = share
		}
	}
	number := fourDigits(h.fault.Scale.Between(safe))
	e.Safe = &number
	return nil
}

func fourDigits(x float64) float64 {
	short, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 4, 64), 64) // cannot fail
	return short
}

// times finds how early and how late in the state the edge still escapes.
func (h *hunt) times(ctx context.Context, e *Edge) error {
	if h.visit == nil {
		return nil
	}
	first, err := h.reach(ctx, e, h.visit.copy.Ticks())
	if err != nil {
		return err
	}
	end := h.visit.until
	if h.visit.last {
		end = max(first, end-1) // with the last tick the run is over, and nothing comes any more
	}
	last, err := h.reach(ctx, e, end)
	e.FirstS, e.LastS = h.moment(first).after.Seconds(), h.moment(last).after.Seconds()
	return err
}

// reach is the tick furthest towards an end of the stay at which the edge still escapes,
// to a scan.
func (h *hunt) reach(ctx context.Context, e *Edge, end int64) (int64, error) {
	scan := h.ticks(h.job.route.c.Rig.Clock.FunctionalScan.Seconds())
	escapes, try := h.at.tick, end
	for {
		o, err := h.try(ctx, e.Number, h.moment(try))
		if err != nil {
			return 0, err
		}
		if o.wrong() {
			if escapes = try; escapes == end {
				return end, nil
			}
		} else {
			end = try
		}
		if gap := end - escapes; gap <= scan && gap >= -scan {
			return escapes, nil
		}
		try = (escapes + end) / 2
	}
}
