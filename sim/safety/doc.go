// Package safety models the safety side of an axis: what a safety controller with a program of its
// own does beside the sequence. It has one scan, and the last word over drive and brake.
//
// A [Side] is one safety side. [Side.Scan] is one scan: the request of the functional side comes
// in over the link, the safety side reads its own sensors ([Readings]), its functions act, and
// the verdict goes out over the link. [Side.Out] is what it commands and what it has to say,
// [Side.Received] what the functional side reads of that. [Inputs] and [Outputs] are its images,
// and [InputSignals] and [OutputSignals] the tables that describe them.
//
// Its functions are the judge (judge.go, brakes.go, directions.go), which alone gives and withdraws a
// proof; the guard (guard.go); the stop (stop.go), which brings the axis to rest, closes the brakes and
// takes the torque away; and what it withholds from production (operation.go). What a judge requires is
// its requirement, of which there are two (torque.go, current.go). It models possible safety
// functions, not those of any product.
//
// Measured currents are amplitudes in A, signed: positive raises the load. Positions are increments of a
// single-turn encoder. Nothing here knows the plant or the sequence; sim connects them.
package safety
