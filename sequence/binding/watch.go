package binding

import (
	"slices"

	"holdbench/sequence"
	"holdbench/sequence/st"
)

// watched is a variable that is shown beside the signals.
type watched struct {
	shown sequence.Signal
	link  link
}

// watches checks the variables that are shown.
func (c *checker) watches() ([]watched, []sequence.Signal) {
	var list []watched
	var names []string
	var booleans []bool
	for i := range c.doc.Watch {
		w := &c.doc.Watch[i]
		at := "$.watch." + w.Name
		if w.Value != "" || w.Variable == "" {
			c.fail(at, "%s needs a variable and has no value of its own", w.Name)
			continue
		}
		l, ok := c.shownLink(at, w)
		if !ok {
			continue
		}
		list = append(list, watched{link: l})
		names, booleans = append(names, w.Name), append(booleans, l.kind == st.Bool)
	}
	signals, faults := sequence.KeptSignals(names, booleans)
	for i, name := range names {
		if why := faults[name]; why != "" {
			c.fail("$.watch."+name, "%s", why)
		}
		list[i].shown = signals[i]
	}
	return list, signals
}

// keeps finds what a state tells on entry.
func (c *checker) keeps(path string, names []string, signals []sequence.Signal) []sequence.Signal {
	var kept []sequence.Signal
	var known []string
	for i := range signals {
		known = append(known, signals[i].Name)
	}
	for _, name := range names {
		k := slices.Index(known, name)
		if k < 0 {
			c.fail(path, "watch has no %q; %s", name, sequence.Suggest(name, known))
			continue
		}
		kept = append(kept, signals[k])
	}
	return kept
}
