package sim

import (
	"maps"
	"slices"
)

// activeFaults knows what every touched target was without faults, and which changes are
// on, in the order in which they came.
type activeFaults struct {
	base       map[string]string
	newestLast []*scheduledFault
}

// clone copies the stack; its changes are still those of the original.
func (f *activeFaults) clone() activeFaults {
	return activeFaults{base: maps.Clone(f.base), newestLast: slices.Clone(f.newestLast)}
}

// switchOn applies a change on top of those that are on.
func (b *Bench) switchOn(c *scheduledFault) {
	c.active = true
	if b.active.base == nil {
		b.active.base = map[string]string{}
	}
	for _, item := range c.settings {
		was := item.target.get(b)
		if _, known := b.active.base[item.target.name]; !known {
			b.active.base[item.target.name] = was
		}
		item.target.set(b, item.text)
		if !b.ended && !item.target.operates && item.target.get(b) != was {
			b.disturbed = true
		}
	}
	b.active.newestLast = append(b.active.newestLast, c)
	b.recordFault(c, EventFaultBegan, c.text())
}

// recordFault notes a fault of the machine; what the operator does has its own event.
func (b *Bench) recordFault(c *scheduledFault, t EventType, what string) {
	if !c.operates {
		b.record(t, what)
	}
}

// switchOff puts back what its targets are without it: the value without faults, or
// that of the newest change still on.
func (b *Bench) switchOff(c *scheduledFault) {
	c.active, c.over = false, true
	b.active.newestLast = slices.DeleteFunc(b.active.newestLast, func(x *scheduledFault) bool { return x == c })
	for _, item := range c.settings {
		text := b.active.base[item.target.name]
		for _, other := range b.active.newestLast {
			for _, same := range other.settings {
				if same.target.name == item.target.name {
					text = same.text
				}
			}
		}
		item.target.set(b, text)
	}
	b.recordFault(c, EventFaultEnded, "over: "+c.text())
}

// faultsThatNeverCame lists the faults whose moment never came.
func (b *Bench) faultsThatNeverCame() []string {
	var list []string
	for _, c := range b.schedule {
		if !c.active && !c.over {
			list = append(list, c.text())
		}
	}
	return list
}

// applyFaults switches faults on and off that are due: first what the operator does, as
// power that comes back can make others due.
func (b *Bench) applyFaults() {
	b.applyDue(true)
	b.applyDue(false)
}

func (b *Bench) applyDue(operate bool) {
	for _, c := range b.schedule {
		switch {
		case c.over || c.due < 0 || c.operates != operate:
		case !c.active && b.tick >= c.due:
			b.switchOn(c)
		case c.active && c.duration > 0 && b.tick >= c.due+c.duration:
			b.switchOff(c)
		}
	}
}
