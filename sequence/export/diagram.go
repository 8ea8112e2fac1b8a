package export

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"holdbench/sequence"
)

// A diagram draws each group of states for itself: arrows stay within a group, and a way into another
// group stands as a line in its state. So it can be read at 45 states.

// node is a state of a diagram.
type node struct {
	number     string
	name, note string
	end        sequence.EndKind
	start      bool
	arrows     []arrow // within the group, one a target
	exits      []arrow // into other groups, one a target
}

// arrow is all ways from one state to another, each with its number, in the order in which they are tried.
type arrow struct {
	to     string // with its number where it is in another group
	labels []string
}

// numberOf is the number of a transition in tables and diagrams: that of its state, 0 for any state, and
// its place in the order in which they are tried. The letter keeps a spreadsheet from reading 2.10 as 2.1.
func numberOf(state, place int) string {
	return "T" + strconv.Itoa(state) + "." + strconv.Itoa(place+1)
}

// diagram is a sequence as it is drawn.
type diagram struct {
	name, note string
	groups     []string
	nodes      map[string][]node // by group
	any        []anyWay
}

// anyWay is a transition from any state.
type anyWay struct {
	to, label string
	except    []string // states that it does not leave
	only      []string // states that it leaves, where these are fewer

	numberOnly bool // the rest is in the table of transitions
}

// diagramOf arranges a sequence, or one group of it.
func diagramOf(p *sequence.Program, group string) (*diagram, error) {
	d := &diagram{name: p.About().Name, note: p.About().Note, groups: Groups(), nodes: map[string][]node{}}
	if group != "" {
		if !slices.Contains(d.groups, group) {
			return nil, fmt.Errorf("there is no group %q; %s", group, sequence.Suggest(group, d.groups))
		}
		d.groups = []string{group}
	}
	groups := groupsOf(p)
	for i := range p.States() {
		s := &p.States()[i]
		n := node{number: strconv.Itoa(i + 1), name: s.Name, note: s.Note, end: s.End, start: i == p.About().Start}
		for k := range s.Edges {
			e := &s.Edges[k]
			number := numberOf(i+1, k)
			if groups[i] == groups[e.Target] {
				add(&n.arrows, e.To, number+" "+conditionText(e))
				continue
			}
			add(&n.exits, strconv.Itoa(e.Target+1)+" "+e.To, number+" "+exitText(e))
		}
		d.nodes[groups[i]] = append(d.nodes[groups[i]], n)
	}
	d.anyWays(p)
	return d, nil
}

func add(list *[]arrow, to, label string) {
	i := slices.IndexFunc(*list, func(a arrow) bool { return a.to == to })
	if i < 0 {
		*list = append(*list, arrow{to: to})
		i = len(*list) - 1
	}
	(*list)[i].labels = append((*list)[i].labels, label)
}

// exitText is the cause of a transition, or else when it is taken.
func exitText(e *sequence.Edge) string {
	if e.Cause != "" {
		return e.Cause
	}
	return conditionText(e)
}

// longestLabel is how long the text at an arrow may be; the table of transitions has it in full.
const longestLabel = 48

// conditionText is when a transition is taken, cut where it is long.
func conditionText(e *sequence.Edge) string {
	text := whenText(e)
	if len(text) > longestLabel {
		text = strings.TrimSpace(text[:strings.LastIndexByte(text[:longestLabel-2], ' ')+1]) + " …"
	}
	if e.Cause != "" {
		text += " [" + e.Cause + "]"
	}
	return text
}

// whenText is when a transition is taken: condition, hold time, least time in the state, and how often.
func whenText(e *sequence.Edge) string {
	var parts []string
	if e.When != nil {
		parts = append(parts, strings.Join(strings.Fields(e.When.Text), " "))
	}
	if e.For.Text != "" {
		parts = append(parts, "for "+e.For.Text)
	}
	if e.After.Text != "" {
		parts = append(parts, "after "+e.After.Text)
	}
	if e.Times >= 0 {
		parts = append(parts, strconv.Itoa(e.Times)+" times at most")
	}
	if len(parts) == 0 {
		return "at once"
	}
	return strings.Join(parts, ", ")
}

// anyWays lists the transitions from any state with the states that they do not leave.
func (d *diagram) anyWays(p *sequence.Program) {
	for k := range p.Any() {
		e := &p.Any()[k]
		w := anyWay{to: strconv.Itoa(e.Target+1) + " " + e.To, label: numberOf(0, k) + " " + conditionText(e)}
		for _, s := range p.States() {
			if s.Any[k] {
				w.only = append(w.only, s.Name)
			} else {
				w.except = append(w.except, s.Name)
			}
		}
		if len(w.only) >= len(w.except) {
			w.only = nil
		} else {
			w.except = nil
		}
		d.any = append(d.any, w)
	}
}

// text is what stands behind the state that it leads to.
func (w *anyWay) text() string {
	if w.numberOnly {
		return w.label
	}
	return w.label + "; " + w.from()
}

// from says which states a transition from any state leaves.
func (w *anyWay) from() string {
	switch {
	case len(w.only) > 0:
		return "from " + strings.Join(w.only, ", ")
	case len(w.except) > 0:
		return "from all but " + strings.Join(w.except, ", ")
	}
	return "from all"
}
