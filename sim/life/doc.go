// Package life simulates months of production with one brake: shifts, emergency stops by
// the drive, power failures that wear and heat it, tests due and done, a lining that fails gradually
// or suddenly.
//
// The simulation goes from event to event; the effect of an event on the brake is physics. A
// stop is a short run of the plant. A test is a whole run of the bench with the brake
// in its present state, or the outcome of such a run from a [LookupTable]. Times are counted
// from the start of the first shift on a Monday.
//
// A simulated history is a function of its documents, its plan, the seed and its number: the
// same on any number of workers.
package life
