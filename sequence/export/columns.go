package export

import "slices"

// This file folds a group of states into columns, so that it fits on a sheet of paper. An arrow is drawn
// to a state below in the same column. Other ways stand as lines in the box of their state, and so do those
// to a state that many lead to; its box says from where.

// mostInColumn is how many states stand below each other, and mostArrows how many arrows end in a state.
const (
	mostInColumn = 7
	mostArrows   = 3
)

// boxed is a state with what is drawn of it and what stands in its box.
type boxed struct {
	node
	drawn   []arrow
	listed  []arrow
	below   string   // the state above it, where no arrow holds it there
	sources []string // numbers of the states of its group that list a way to it
}

// drawnTo is whether an arrow to a state is drawn in its column.
func (n *boxed) drawnTo(name string) bool {
	return slices.ContainsFunc(n.drawn, func(a arrow) bool { return a.to == name })
}

// columnsOf arranges the states of a group.
func columnsOf(nodes []node) [][]boxed {
	count := (len(nodes) + mostInColumn - 1) / mostInColumn
	place := map[string]int{}
	into := map[string]int{}
	for i := range nodes {
		place[nodes[i].name] = i
		for _, a := range nodes[i].arrows {
			into[a.to]++
		}
	}
	columnOf := func(i int) int { return ((i+1)*count - 1) / max(1, len(nodes)) }
	boxes := make([]boxed, len(nodes))
	for i := range nodes {
		boxes[i].node = nodes[i]
	}
	for i := range boxes {
		n := &boxes[i]
		for _, a := range n.arrows {
			to := place[a.to]
			if to > i && columnOf(to) == columnOf(i) && into[a.to] <= mostArrows {
				n.drawn = append(n.drawn, a)
				continue
			}
			n.listed = append(n.listed, arrow{nodes[to].number + " " + a.to, a.labels})
			boxes[to].sources = append(boxes[to].sources, n.number)
		}
		n.listed = append(n.listed, n.exits...)
	}
	columns := make([][]boxed, count)
	for i := range boxes {
		if c := columns[columnOf(i)]; len(c) > 0 && !slices.ContainsFunc(boxes[:i], func(b boxed) bool { return b.drawnTo(boxes[i].name) }) {
			boxes[i].below = c[len(c)-1].name
		}
		columns[columnOf(i)] = append(columns[columnOf(i)], boxes[i])
	}
	return columns
}
