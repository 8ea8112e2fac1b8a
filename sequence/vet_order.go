package sequence

import "github.com/expr-lang/expr/ast"

// What the order of transitions does: they are tried one after the other, and the first that can fires. A state
// may have hundreds, so that each is looked up among those before it and not compared with every one.

// neverFires is the warning of a transition behind one that fires whenever it could.
const neverFires = "this transition never fires, because %s before it fires whenever it could; change the order or the condition"

// opposites are the conditions of the transitions so far, so that one on the opposite is found: then one of the
// two fires. With for, a condition that changes quickly would fire neither.
type opposites struct{ plain, negated map[string]bool }

// has is whether a transition before this one is tried on the opposite condition.
func (o *opposites) has(edge *Edge) bool {
	if edge.When == nil || edge.For.Text != "" {
		return false
	}
	inner, not := negation(edge.When.Node)
	return not && o.plain[inner] || o.negated[edge.When.Node.String()]
}

// add notes a transition.
func (o *opposites) add(edge *Edge) {
	if edge.When == nil || edge.Times >= 0 || edge.Target == -1 || edge.For.Text != "" {
		return
	}
	o.plain[edge.When.Node.String()] = true
	if inner, not := negation(edge.When.Node); not {
		o.negated[inner] = true
	}
}

// negation is what a condition negates.
func negation(n ast.Node) (inner string, not bool) {
	u, ok := n.(*ast.UnaryNode)
	if !ok || u.Operator == "-" {
		return "", false
	}
	return u.Node.String(), true
}

// coveredBy gives for each transition the first one before it that fires whenever it could: whose condition and
// times require no more than its own, and whose firings are not limited. It is nil where there is none.
func coveredBy(edges []*Edge) []*Edge {
	c := cover{count: map[string]int{}, by: map[string][]int{}, edges: edges}
	for _, edge := range edges {
		for _, term := range edge.conjuncts {
			c.count[term]++
		}
	}
	covered := make([]*Edge, len(edges))
	for i, edge := range edges {
		if first := c.first(edge); first >= 0 {
			covered[i] = edges[first] // which covers all that this one would
		} else if edge.Times < 0 {
			c.add(i)
		}
	}
	return covered
}

// cover holds the transitions so far, each below the term of its condition that fewest have.
type cover struct {
	edges []*Edge
	count map[string]int   // how many transitions have a term
	by    map[string][]int // by their rarest term; "" for those without a term
}

func (c *cover) add(i int) {
	rarest := ""
	for _, term := range c.edges[i].conjuncts {
		if rarest == "" || c.count[term] < c.count[rarest] {
			rarest = term
		}
	}
	c.by[rarest] = append(c.by[rarest], i)
}

// first is the first transition that covers another one, -1 if none does.
func (c *cover) first(edge *Edge) int {
	has := make(map[string]bool, len(edge.conjuncts))
	for _, term := range edge.conjuncts {
		has[term] = true
	}
	first := -1
	look := func(term string) {
		for _, i := range c.by[term] {
			if first >= 0 && i > first {
				return
			}
			if c.edges[i].requiresNoMore(edge, has) {
				first = i
			}
		}
	}
	look("")
	for _, term := range edge.conjuncts {
		look(term)
	}
	return first
}

// requiresNoMore is whether times and terms of a transition are among those of another one, whose terms are given.
func (e *Edge) requiresNoMore(other *Edge, terms map[string]bool) bool {
	if e.For.Time > other.For.Time || e.After.Time > other.After.Time {
		return false
	}
	for _, term := range e.conjuncts {
		if !terms[term] {
			return false
		}
	}
	return true
}
