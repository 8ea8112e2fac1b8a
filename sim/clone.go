package sim

import "slices"

// Clone copies a run at its present moment. The two go on independently, and in the same way
// until one of them is changed. The copy is not traced.
func (b *Bench) Clone() *Bench {
	c := *b
	c.trace = nil
	c.plant, c.machine = b.plant.Clone(), b.machine.Clone()
	c.safety.UseRig(c.plant.Rig())
	c.events, c.entries = slices.Clip(b.events), slices.Clone(b.entries)
	c.buttonsSet, c.script = slices.Clip(b.buttonsSet), slices.Clip(b.script)
	c.visited = slices.Clone(b.visited)
	c.schedule = make([]*scheduledFault, len(b.schedule))
	c.active = b.active.clone()
	for i, old := range b.schedule {
		own := *old
		c.schedule[i] = &own
		if at := slices.Index(b.active.list, old); at >= 0 {
			c.active.list[at] = &own
		}
	}
	return &c
}

// Trace sends every functional scan from now on to a tracer; nil ends it.
func (b *Bench) Trace(trace Tracer) { b.trace = trace }
