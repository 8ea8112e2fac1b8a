package screens

import (
	"holdbench/sim"
	"holdbench/sim/history"
)

// runs are the stored ones, the one on the bench first. The second is the earlier run, shown
// behind it.
type runs struct {
	list          []*history.Run
	aside         []*history.Run // stored before a riddle, and out of reach until its answer
	earlier       []history.Sample
	earlierBlocks []history.Block // of these samples, for drawing long runs
}

// maxRuns bounds how many runs are stored.
const maxRuns = 12

// now is the run on the bench, nil before the first.
func (r *runs) now() *history.Run {
	if len(r.list) == 0 {
		return nil
	}
	return r.list[0]
}

// of is the case of the run on the bench, nil before the first.
func (r *runs) of() *sim.Case {
	if run := r.now(); run != nil {
		return run.Case()
	}
	return nil
}

// push puts a run on the bench and tells whether the oldest one was removed for it. No job may
// have the run before, which becomes the earlier one.
func (r *runs) push(run *history.Run) (full bool) {
	r.list = append([]*history.Run{run}, r.list...)
	if full = len(r.list) > maxRuns; full {
		r.list = r.list[:maxRuns]
	}
	r.findEarlier()
	return full
}

// findEarlier takes the samples of the run behind that on the bench.
func (r *runs) findEarlier() {
	r.earlier, r.earlierBlocks = nil, nil
	if len(r.list) > 1 {
		r.earlier, r.earlierBlocks = r.list[1].Samples(), r.list[1].Blocks()
	}
}

// setAside takes all runs out of reach: beside a riddle, one without its fault would be the nominal run for nothing.
func (r *runs) setAside() {
	r.list, r.aside = nil, append(r.list, r.aside...)
	r.findEarlier()
}

// giveBack puts the runs that were set aside behind the others, as many as may be stored. No job may push meanwhile.
func (r *runs) giveBack() {
	r.list, r.aside = append(r.list, r.aside...), nil
	r.list = r.list[:min(len(r.list), maxRuns)]
	r.findEarlier()
}

// bring puts another of the runs on the bench and tells whether there is one at the place.
func (r *runs) bring(place int) bool {
	if place == oldest {
		place = len(r.list) - 1
	}
	if place < 1 || place >= len(r.list) {
		return false
	}
	run := r.list[place]
	r.list = append(r.list[:place:place], r.list[place+1:]...)
	r.push(run)
	return true
}

// oldest is the place of the oldest run.
const oldest = -1

// dropUnplayed removes a run that has not gone beyond its first tick.
func (r *runs) dropUnplayed() {
	if run := r.now(); run != nil && run.Ticks() <= 1 {
		r.list = r.list[1:]
	}
}

// nominal is the same run without faults, shown behind it.
type nominal struct {
	wanted  bool // it comes later
	samples []history.Sample
	blocks  []history.Block
}

// nominalRun is a nominal run that has come to its end.
type nominalRun struct {
	of      *sim.Case
	samples []history.Sample
	blocks  []history.Block
}

// take takes a run over if it is still wanted, and of the case on the bench.
func (n *nominal) take(run nominalRun, c *sim.Case) {
	if n.wanted && run.of == c {
		n.samples, n.blocks = run.samples, run.blocks
	}
}
