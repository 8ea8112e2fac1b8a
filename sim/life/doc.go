// Package life lives through months of production with one brake: shifts, moves,
// emergency stops that wear and heat it, tests due and done, a lining that fails slowly
// or at once.
//
// The calendar goes from event to event; what an event does to the brake is physics. An
// emergency stop is a short run of the plant, a test is a whole run of the bench with the
// brake as it then is, or one of the runs that were made of such a brake before (see
// [Ladder]). Times are counted from the start of the first shift on a Monday.
//
// A life is a function of its documents, its plan, the seed and its number: the same on
// any number of workers.
package life
