package sim

import "holdbench/sequence"

// Reactions are the outputs that the best reaction chooses from.
func (b *Bench) Reactions() []sequence.Outputs { return b.reactions() }
