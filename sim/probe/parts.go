package probe

import (
	"errors"
	"fmt"
	"slices"

	"holdbench/sim"
	"holdbench/sim/journal"
)

// takePart leaves each job the cells that belong to the part. Cells are numbered in the order of the jobs.
func (o *Options) takePart(jobs []job) {
	if o.Part.Of <= 1 {
		return
	}
	number := 0
	for i := range jobs {
		jobs[i].cells = slices.DeleteFunc(jobs[i].cells, func(plannedCell) bool {
			number++
			return (number-1)%o.Part.Of != o.Part.Number-1
		})
	}
}

// Restore makes the results of a probe that was complete, of the same case and options, of what is in its file;
// nothing is run. It is nil for a file of an earlier version, which does not say what the search for states has found.
func Restore(c *sim.Case, o Options, had *Record) (*Results, error) {
	if !had.Complete || had.Tail.Order == "" {
		return nil, nil
	}
	_, results, err := newScope(c, o)
	if err != nil {
		return nil, err
	}
	results.Outcomes, results.Unreached, results.Complete = had.Outcomes, had.Tail.Unreached, true
	if had.Tail.Plan != nil {
		results.Plan = *had.Tail.Plan
	}
	return results, nil
}

// Merge writes the lines of all parts of a probe as those of one probe: its head, the cells in their order, its last
// line. The names are for errors. It returns the number of cells.
func Merge(parts []*Reader, names []string, write func(line []byte) error) (cells int, err error) {
	order, err := sortedParts(parts, names)
	if err != nil {
		return 0, err
	}
	m := &merger{parts: parts, names: names, order: order, write: write}
	head := parts[order[0]].Head // whatever the order of the files
	head.Part, head.Parts = 0, 0
	if err := m.line(head); err != nil {
		return 0, err
	}
	for {
		more, err := m.next()
		if err != nil {
			return m.cells, err
		}
		if !more {
			break
		}
	}
	return m.cells, m.end()
}

// merger writes the cells of parts in their order.
type merger struct {
	parts []*Reader
	names []string
	order []int // places of the parts
	write func(line []byte) error
	cells int
	whole order
}

func (m *merger) line(v any) error {
	line, err := journal.Line(v)
	if err != nil {
		return err
	}
	return m.write(line)
}

// next takes the next cell; false once the part that would have it is complete.
func (m *merger) next() (bool, error) {
	at := m.order[m.cells%len(m.order)]
	p := m.parts[at]
	o, more, err := p.Next()
	switch {
	case err != nil:
		return false, fmt.Errorf("%s: %w", m.names[at], err)
	case !more && !p.Complete:
		return false, fmt.Errorf("%s ends after %d cells, without its last line; must be finished first: the same command continues it", m.names[at], p.Cells)
	case !more:
		return false, nil
	}
	line, err := journal.Checked(p.line)
	if err != nil {
		return false, err
	}
	m.cells++
	m.whole.add(&o)
	return true, m.write(line)
}

// end requires that all parts end here and have found the same.
func (m *merger) end() error {
	first := m.parts[m.order[0]]
	for _, at := range m.order {
		p := m.parts[at]
		if _, _, err := p.Next(); err != nil {
			return fmt.Errorf("%s: %w", m.names[at], err)
		}
		if share := p.Head.part("").Share(m.cells); !p.Complete || p.Cells != share {
			return fmt.Errorf("%s has %d cells or more, and no last line behind its %d; must be the part as it was written", m.names[at], p.Cells, share)
		}
		if !sameEnd(p.Tail, first.Tail) {
			return fmt.Errorf("%s and %s did not find the same states; must be parts of one version of the program", m.names[m.order[0]], m.names[at])
		}
	}
	whole := first.Tail
	whole.Cells, whole.Order = m.cells, m.whole.String()
	return m.line(whole)
}

// sameEnd is whether two parts found the same beyond their cells.
func sameEnd(a, b Tail) bool {
	plans := a.Plan == b.Plan || a.Plan != nil && b.Plan != nil && *a.Plan == *b.Plan
	return slices.Equal(a.Unreached, b.Unreached) && plans
}

// sortedParts is the order of the parts; it refuses those that do not belong together.
func sortedParts(parts []*Reader, names []string) ([]int, error) {
	if len(parts) == 0 {
		return nil, errors.New("no part of a probe")
	}
	first := parts[0].Head
	list := make([]journal.Part, len(parts))
	for at, p := range parts {
		alike := p.Head
		alike.Part, alike.Parts = first.Part, first.Parts
		if err := journal.CheckSelfTests(names[0], first.SelfTest, names[at], alike.SelfTest); err != nil {
			return nil, err
		}
		if !alike.Same(first) || p.Head.Version != first.Version {
			return nil, fmt.Errorf("%s and %s are not of one probe: %s", names[0], names[at], Differences(first, p.Head))
		}
		list[at] = p.Head.part(names[at])
	}
	return journal.Order(list)
}
