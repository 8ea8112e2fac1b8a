package probe

import "fmt"

// The memory of a probe: the outcome of each cell is kept to the end, with the states that its run entered, and so
// are the inputs of the sequence in each scan of a run from which cells start. Both are bounded.
const (
	mostBytes = 1 << 30
	mostScans = 1_500_000 // of all runs from which cells start, half a gigabyte

	cellBytes  = 4096 // a cell as planned, and its outcome in the results, in the search for states and by its key
	stateBytes = 16   // of a state on its path
)

// tooLarge is the error of a probe that may have more cells than memory should hold; nil if it has not. Each state
// has at most four moments, and each fault is tried at each of its severities; two at once take at least as many cells.
func (s *scope) tooLarge() error {
	states := len(s.states)
	if n := len(s.options.States); n > 0 {
		states = n
	}
	const moments = 4
	cells := 0
	for i := range s.faults {
		cells += moments * states * len(severities(&s.faults[i]))
	}
	if s.fits(cells) {
		return nil
	}
	return fmt.Errorf("%d faults in %d states are up to %d cells; must be at most %d: choose states with --state or faults with --fault", len(s.faults), states, cells, s.mostCells())
}

// tooFar is the error of so many runs that look for further states; nil if memory holds them.
func (s *scope) tooFar(runs int) error {
	if s.fits(runs) {
		return nil
	}
	return fmt.Errorf("the search for further states takes %d runs with faults; must be at most %d: choose faults that lead to states with --through, or states of the run without a fault with --state", runs, s.mostCells())
}

func (s *scope) fits(cells int) bool { return cells <= s.mostCells() }

// mostCells is how many cells memory should hold.
func (s *scope) mostCells() int { return mostBytes / (cellBytes + stateBytes*len(s.states)) }

// keepAssigned frees the copies of the run that no cell starts from.
func (r *route) keepAssigned() { r.visits = nil }
