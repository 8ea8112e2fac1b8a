// Package catalogue lists the faults of the trade: each has a name that people know it by,
// what it is on a machine, what it sets in a run, how severe it can be, which side could
// detect it and what is done about it.
//
// An [Entry] is one fault of the trade. It becomes a [sim.Fault] once it is known on which
// rig, how severe and at which moment; a [Selection] holds these, and is written as
// lining-worn=0.35@press_down+120ms. Some entries are data that were entered wrongly into
// the sequence: these set values of the scenario before the run, see [Selection.AddTo].
//
// A new entry is one more element of the slice of its group.
package catalogue
