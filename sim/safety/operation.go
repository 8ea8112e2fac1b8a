package safety

import "holdbench/plant"

// operation is what the safety side withholds from production, whatever the sequence releases: after a
// failure at once, until the failure has ended and a proof is there; after a lapsed proof, where the rig
// says so, from the next standstill on. It ends with a valid proof. Movements of a test are not
// operation. Source: a detected fault leads to a safe state, or where that is not possible to a warning
// (ISO 13849-1, 6.2.5, from memory).
type operation struct{ withheld bool }

// step is one scan. It says whether operation was withheld or returned in it.
func (o *operation) step(v *Verdict, standstill bool, lapse string) (withheld, returned bool) {
	before := o.withheld
	switch {
	case v.Failed:
		o.withheld = true
	case v.Proof:
		o.withheld = false
	case lapse != plant.LapseSignal && standstill:
		o.withheld = true
	}
	return o.withheld && !before, before && !o.withheld
}
