package sim

import "holdbench/sequence"

// LookAlways lets the next tick be looked at, whatever it is.
func (b *Bench) LookAlways() { b.limits.lookAlways() }

// Reactions are the outputs that the best reaction chooses from.
func (b *Bench) Reactions() []sequence.Outputs { return b.reactions() }
