package sim

import (
	"maps"
	"slices"
)

// faultStack knows what every touched target was without faults, and which changes are
// on, in the order in which they came.
type faultStack struct {
	base map[string]string
	on   []*change
}

// clone copies the stack; its changes are still those of the original.
func (f *faultStack) clone() faultStack {
	return faultStack{base: maps.Clone(f.base), on: slices.Clone(f.on)}
}

// switchOn applies a change on top of those that are on.
func (b *Bench) switchOn(c *change) {
	c.on = true
	if b.faults.base == nil {
		b.faults.base = map[string]string{}
	}
	for _, item := range c.items {
		was := item.target.get(b)
		if _, known := b.faults.base[item.target.name]; !known {
			b.faults.base[item.target.name] = was
		}
		item.target.set(b, item.text)
		if !b.ended && !item.target.operates && item.target.get(b) != was {
			b.disturbed = true
		}
	}
	b.faults.on = append(b.faults.on, c)
	b.noteFault(c, EventFaultBegan, c.what())
}

// noteFault notes a fault of the machine; what the operator does has its own event.
func (b *Bench) noteFault(c *change, t EventType, what string) {
	if !c.operates {
		b.note(t, what)
	}
}

// switchOff puts back what its targets are without it: the value without faults, or
// that of the newest change still on.
func (b *Bench) switchOff(c *change) {
	c.on, c.done = false, true
	b.faults.on = slices.DeleteFunc(b.faults.on, func(x *change) bool { return x == c })
	for _, item := range c.items {
		text := b.faults.base[item.target.name]
		for _, other := range b.faults.on {
			for _, same := range other.items {
				if same.target.name == item.target.name {
					text = same.text
				}
			}
		}
		item.target.set(b, text)
	}
	b.noteFault(c, EventFaultEnded, "over: "+c.what())
}

// neverCame lists the faults whose moment never came.
func (b *Bench) neverCame() []string {
	var list []string
	for _, c := range b.changes {
		if !c.on && !c.done {
			list = append(list, c.what())
		}
	}
	return list
}

// applyFaults switches faults on and off that are due: first what the operator does, as
// power that comes back can make others due.
func (b *Bench) applyFaults() {
	b.applyThose(true)
	b.applyThose(false)
}

func (b *Bench) applyThose(operate bool) {
	for _, c := range b.changes {
		switch {
		case c.done || c.due < 0 || c.operates != operate:
		case !c.on && b.tick >= c.due:
			b.switchOn(c)
		case c.on && c.lasts > 0 && b.tick >= c.due+c.lasts:
			b.switchOff(c)
		}
	}
}
