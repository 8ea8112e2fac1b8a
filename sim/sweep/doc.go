// Package sweep runs a case many times, each time with other values of what nobody knows
// exactly, and sums up what a test is worth: how often it proves a brake, against what the
// brake can truly bear.
package sweep
