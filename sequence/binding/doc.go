// Package binding lets a program in Structured Text be the functional side: a small document says
// which of its variables are the signals of the bench, which one is its state, and which ones are
// parameters.
//
// [Document] is the binding as it is written. [New] checks it against the declarations of a program
// and makes a [sequence.Logic] of the two: a run is an instance of the block, whose variables are
// found once and not by name in a scan. A scan allocates nothing.
//
// A program that stops itself, by a division by zero or by more steps than its watchdog allows, is
// a controller without power from then on; the bench goes on and says where in the program it was.
package binding
