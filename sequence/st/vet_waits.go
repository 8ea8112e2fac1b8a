package st

import (
	"fmt"
	"slices"
	"strings"
)

// waiter is a state of which is to be found out whether it may wait without a limit.
type waiter struct {
	vetter *vetter
	name   string
	at     span      // of its branch
	state  *Variable // nil of a step
	value  int64     // of the variable; of a step its place among them
	branch *span     // states with the same branch have the same cause
	asks   []string  // what the block reads in it
	found  bool
	// stalled are those of the timers that a witness shows not to run out.
	stalled []string
}

// waits runs the program, and warns of states that are never left while the inputs stay as they are.
// What it reports has been seen; of what a run has not reached nothing is said.
func (p *Program) waits(src *source, options VetOptions, waiters []*waiter) {
	if len(waiters) == 0 {
		return
	}
	for _, b := range p.roots(options) {
		if e := p.explorer(b, options, waiters); len(e.subjects) > 0 && len(e.begins) > 0 {
			e.search()
		}
	}
	report(src, waiters)
}

// roots are the blocks that are run by themselves: the one that the binding names, or all that no other one calls.
func (p *Program) roots(o VetOptions) []*Block {
	if o.Main != nil {
		return []*Block{o.Main}
	}
	var list []*Block
	for _, b := range p.Blocks {
		called := slices.ContainsFunc(p.Blocks, func(o *Block) bool {
			return slices.ContainsFunc(p.checker.below(o), func(c blockCall) bool { return c.block == b })
		})
		if b.runs() == nil && !called {
			list = append(list, b)
		}
	}
	return list
}

// report warns of the states that were found to wait: one warning for a cause, at the branch of its
// first state.
func report(src *source, waiters []*waiter) {
	const mostSeparate = 6
	var keys []string
	groups := map[string][]*waiter{}
	for _, w := range waiters {
		if !w.found {
			continue
		}
		k := w.cause()
		if groups[k] == nil {
			keys = append(keys, k)
		}
		groups[k] = append(groups[k], w)
	}
	if len(keys) > mostSeparate {
		keys, groups = merged(keys, groups)
	}
	for _, k := range keys {
		g := groups[k]
		names := make([]string, len(g))
		for i, w := range g {
			names[i] = w.name
		}
		src.warnf(g[0].at, "%s", waitText(g[0], names))
	}
}

// cause is the same for states that wait for the same reason.
func (w *waiter) cause() string {
	if len(w.stalled) > 0 {
		return w.vetter.block.Name + " " + strings.Join(w.stalled, ", ")
	}
	return fmt.Sprint(*w.branch)
}

// merged puts the states together that have no timer to blame.
func merged(keys []string, groups map[string][]*waiter) ([]string, map[string][]*waiter) {
	const rest = ""
	out := map[string][]*waiter{}
	var order []string
	for _, k := range keys {
		to := k
		if len(groups[k][0].stalled) == 0 {
			to = rest
		}
		if out[to] == nil {
			order = append(order, to)
		}
		out[to] = append(out[to], groups[k]...)
	}
	return order, out
}

func waitText(w *waiter, names []string) string {
	kind, it, hint := "state", "it", "add a way out by a timer that runs in %s whatever the inputs are"
	if w.state == nil {
		kind, hint = "step", "set it to FALSE by a timer that runs in %s whatever the inputs are"
	}
	if len(names) > 1 {
		kind, it = kind+"s", "each of them"
		if w.state == nil {
			hint = "set them to FALSE by a timer that runs in %s whatever the inputs are"
		}
	}
	text := fmt.Sprintf("the %s %s may wait without a time limit; ", kind, list(names))
	if len(w.stalled) > 0 {
		return text + strings.Join(w.stalled, ", and ")
	}
	return text + fmt.Sprintf(hint, it)
}
