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
	places []*statePlace // of the instances in which it was looked for
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
	unjudged(src, waiters, options.Main == nil)
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

// unjudged notes the states of which the search can say nothing. Without a binding it does not know where
// a run begins.
func unjudged(src *source, waiters []*waiter, alone bool) {
	const none = -1
	var names [3][]string
	var at *span
	for _, w := range waiters {
		why := none
		switch {
		case w.found:
		case !w.any(func(p *statePlace) bool { return len(p.moments) > 0 }):
			why = 0
		case !w.any(func(p *statePlace) bool { return p.count() >= triesOfState }):
			why = 1
		case w.any(func(p *statePlace) bool { return p.unsettled }):
			why = 2
		}
		if why == none {
			continue
		}
		names[why] = append(names[why], w.name)
		if at == nil || w.at.from < at.from {
			at = &w.at
		}
	}
	if at == nil {
		return
	}
	var parts []string
	for why, text := range []string{"the search did not reach %s", "it ended before it had tried %s often enough", "values change on and on in %s"} {
		if len(names[why]) > 0 {
			parts = append(parts, fmt.Sprintf(text, "the "+plural(len(names[why]), "state")+" "+list(names[why])))
		}
	}
	text := "no statement on waits: " + strings.Join(parts, "; ")
	if alone && len(names[0]) > 0 {
		text += "; with a binding it knows where a run begins"
	}
	src.notef(*at, "%s", text)
}

func plural(n int, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}

func (w *waiter) any(is func(*statePlace) bool) bool { return slices.ContainsFunc(w.places, is) }

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
