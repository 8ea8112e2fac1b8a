package probecmd

import (
	"fmt"
	"slices"

	"holdbench/cmd/holdbench/internal/files"
	"holdbench/sim/probe"
)

// baseline is an earlier probe to compare with.
type baseline struct {
	path     string
	head     probe.Head
	outcomes []probe.Outcome
	whole    bool
}

// readBaseline reads an earlier probe, which must have had as many faults at once.
func readBaseline(path string, pairs bool) (*baseline, error) {
	file, err := files.Open(path)
	if err != nil {
		return nil, err
	}
	defer func() { _ = file.Close() }() // only read
	b := &baseline{path: path}
	had, err := probe.Read(file)
	if err != nil {
		return nil, fmt.Errorf("--baseline %s: %w", path, err)
	}
	b.head, b.outcomes, b.whole = had.Head, had.Outcomes, had.Complete
	if b.head.Pairs != pairs {
		return nil, fmt.Errorf("--baseline %s tries %s at a time and this probe %s; must be a probe of the same kind",
			path, probe.AtOnce(b.head.Pairs), probe.AtOnce(pairs))
	}
	return b, nil
}

// comparison is a probe compared with an earlier one.
type comparison struct {
	*report
	was *baseline
}

// sameChoice is whether both probes have the same faults and states. If not, routes differ, and a
// cell of only one of them has no meaning.
func (c *comparison) sameChoice() bool {
	was, is := c.was.head, c.head
	return slices.Equal(was.Faults, is.Faults) && slices.Equal(was.States, is.States) && slices.Equal(was.Through, is.Through)
}

// differences are the cells with another outcome. A cell that is missing counts only where this
// probe would have found it.
func (c *comparison) differences() []probe.Difference {
	same := c.sameChoice() && !c.head.Pairs // of which every sequence has another plan
	return slices.DeleteFunc(probe.Compare(c.was.outcomes, c.found.Outcomes), func(d probe.Difference) bool {
		return d.Is == nil && (!same || !c.found.Complete) || d.Was == nil && (!same || !c.was.whole)
	})
}

// incomparable is the error of two probes without a common cell.
func (c *comparison) incomparable() error {
	if len(c.found.Outcomes) == 0 || probe.Common(c.was.outcomes, c.found.Outcomes) > 0 {
		return nil
	}
	return fmt.Errorf("--baseline %s has no cell in common with this probe; must be one of the same states and faults", c.was.path)
}
