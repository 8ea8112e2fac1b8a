package sim

import "slices"

// Clone copies a run at its present moment; the two go on independently, and alike
// until something is done to one of them. The copy is not traced.
func (b *Bench) Clone() *Bench {
	c := *b
	c.trace = nil
	c.plant, c.machine = b.plant.Clone(), b.machine.Clone()
	c.judge.data = &c.plant.Rig().Judge
	c.events, c.way = slices.Clip(b.events), slices.Clone(b.way)
	c.pushed, c.script = slices.Clip(b.pushed), slices.Clip(b.script)
	c.visited = slices.Clone(b.visited)
	c.changes = make([]*change, len(b.changes))
	c.faults = b.faults.clone()
	for i, old := range b.changes {
		own := *old
		c.changes[i] = &own
		if at := slices.Index(b.faults.on, old); at >= 0 {
			c.faults.on[at] = &own
		}
	}
	return &c
}

// Trace lets every functional scan from now on be traced; nil ends it.
func (b *Bench) Trace(trace Tracer) { b.trace = trace }
