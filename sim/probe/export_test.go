package probe

import (
	"context"
	"time"

	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// ScanAt is [scanAt].
func ScanAt(atS, scanS float64) int { return scanAt(atS, scanS) }

// RouteClocks are the times of the images that a route with faults compares with, and whether the same
// run shows no sign beside it.
func RouteClocks(c *sim.Case, faults []catalogue.Selection) (at []time.Duration, same bool, err error) {
	c, err = catalogue.WithFaults(c, faults...)
	if err != nil {
		return nil, false, err
	}
	r, err := newRoute(c, faults, nil)
	if err != nil {
		return nil, false, err
	}
	for i := range r.inputs {
		at = append(at, r.inputs[i].Clock)
	}
	watch := &firstSign{route: r, scanS: c.Rig.Clock.FunctionalScan.Seconds()}
	_, err = sim.Run(c, watch)
	return at, watch.found == nil, err
}

// RouteWithRoomFor runs a case as one from which cells start, where only so many more scans may be kept.
func RouteWithRoomFor(scans int, c *sim.Case) error {
	m := &meter{}
	m.scans.Store(mostScans - int64(scans))
	_, err := newRoute(c, nil, m)
	return err
}

// PlayCells plays the cells of all states of the run of a case, as often as there is another one to be
// played.
func PlayCells(ctx context.Context, c *sim.Case, another func() bool) error {
	s, _, err := newScope(c, Options{})
	if err != nil {
		return err
	}
	r, err := newRoute(c, nil, s.meter)
	if err != nil {
		return err
	}
	r.assigned = r.visits
	for {
		for _, j := range s.cellJobs(r) {
			start := j.start()
			for i := range j.cells {
				if !another() {
					return nil
				}
				if _, err := j.playCell(ctx, start, &j.cells[i]); err != nil {
					return err
				}
			}
		}
	}
}
