package sim

import "holdbench/sequence"

// EndCalm lets the next tick be looked at, whatever it is.
func (b *Bench) EndCalm() { b.calm.end() }

// Reactions are the outputs that the best reaction chooses from.
func (b *Bench) Reactions() []sequence.Outputs { return b.reactions() }
