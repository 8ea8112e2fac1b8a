package probecmd

import (
	"fmt"
	"os"
	"slices"

	"holdbench/cmd/holdbench/internal/files"
	"holdbench/sim/probe"
)

// baseline is an earlier probe to hold this one against.
type baseline struct {
	path     string
	head     probe.Head
	outcomes []probe.Outcome
	whole    bool
}

// readBaseline reads an earlier probe, which must have had as many faults at once.
func readBaseline(path string, pairs bool) (*baseline, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, files.CannotRead(path, err)
	}
	defer func() { _ = file.Close() }() // only read
	b := &baseline{path: path}
	had, err := probe.Read(file)
	if err != nil {
		return nil, fmt.Errorf("--baseline %s: %w", path, err)
	}
	b.head, b.outcomes, b.whole = had.Head, had.Outcomes, had.Complete
	if b.head.Pairs != pairs {
		return nil, fmt.Errorf("--baseline %s tries %s at once where this probe tries %s; must be a probe of the same kind",
			path, atOnce(b.head.Pairs), atOnce(pairs))
	}
	return b, nil
}

// comparison is a probe held against an earlier one.
type comparison struct {
	*report
	was *baseline
}

// sameChoice is whether both probes had the same faults and states to choose from. If not,
// routes differ, and a cell that only one of them has says nothing.
func (c *comparison) sameChoice() bool {
	was, is := c.was.head, c.head
	return slices.Equal(was.Faults, is.Faults) && slices.Equal(was.States, is.States) && slices.Equal(was.Through, is.Through)
}

// differences are the cells that came out otherwise. A cell that is not there any more
// counts only where this probe would have found it.
func (c *comparison) differences() []probe.Difference {
	same := c.sameChoice() && !c.head.Pairs // of which every sequence has another plan
	return slices.DeleteFunc(probe.Compare(c.was.outcomes, c.found.Outcomes), func(d probe.Difference) bool {
		return d.Is == nil && (!same || !c.found.Complete) || d.Was == nil && (!same || !c.was.whole)
	})
}

// incomparable is the error of two probes that have no cell in common: that nothing changed
// would be said of nothing.
func (c *comparison) incomparable() error {
	if len(c.found.Outcomes) == 0 || probe.Common(c.was.outcomes, c.found.Outcomes) > 0 {
		return nil
	}
	return fmt.Errorf("--baseline %s has no cell in common with this probe; must be one of the same states and faults", c.was.path)
}
