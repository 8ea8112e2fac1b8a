package sequence

// MainPath is the main path through the sequence, as the indexes of its states in
// order: from the start to the first end that is a pass. Transitions under any
// are not part of it.
//
// It never visits a state twice, and takes from each state the first transition
// in document order of the best of these kinds:
//
//  1. one without a cause, from which transitions without a cause lead to a pass;
//  2. one without a cause, from which transitions of any sort lead to a pass;
//  3. one with a cause, which marks a failure, where only that leads to a pass;
//  4. if no pass can be reached, one without a cause.
//
// "Lead to" means by states that are not on the path yet, so that a loop is not
// mistaken for progress. What can never fire with the parameters as they
// are does not lead anywhere. The path ends at an end of any sort, or where
// nothing of the four is left.
func (p *Program) MainPath() []int {
	seen := make([]bool, len(p.states))
	var path []int
	for at := p.start; at >= 0; at = p.nextOnMainPath(at, seen) {
		seen[at] = true
		path = append(path, at)
	}
	return path
}

// nextOnMainPath is the next state of the main path after a state; -1 if there is none.
func (p *Program) nextOnMainPath(at int, seen []bool) int {
	kinds := []func(*Edge) bool{
		func(e *Edge) bool { return e.Cause == "" && p.leadsToPass(e.Target, seen, false) },
		func(e *Edge) bool { return e.Cause == "" && p.leadsToPass(e.Target, seen, true) },
		func(e *Edge) bool { return e.Cause != "" && p.leadsToPass(e.Target, seen, true) },
		func(e *Edge) bool { return e.Cause == "" },
	}
	edges := p.states[at].Edges
	for _, fits := range kinds {
		for i := range edges {
			if e := &edges[i]; e.canFire() && !seen[e.Target] && fits(e) {
				return e.Target
			}
		}
	}
	return -1
}

// leadsToPass reports whether transitions lead from a state to a pass by states that were
// not seen, by those with a cause too or not.
func (p *Program) leadsToPass(from int, seen []bool, causes bool) bool {
	tried := append([]bool(nil), seen...)
	todo := []int{from}
	for len(todo) > 0 {
		s := &p.states[todo[len(todo)-1]]
		todo = todo[:len(todo)-1]
		if s.End == EndPass {
			return true
		}
		if tried[s.Index] {
			continue
		}
		tried[s.Index] = true
		for i := range s.Edges {
			if e := &s.Edges[i]; e.canFire() && !tried[e.Target] && (causes || e.Cause == "") {
				todo = append(todo, e.Target)
			}
		}
	}
	return false
}

// canFire is false for a transition that the parameters switch off.
func (e *Edge) canFire() bool { return !e.never && e.Times != 0 }
