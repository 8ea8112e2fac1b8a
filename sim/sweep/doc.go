// Package sweep runs a case many times, each time with other values of quantities that are
// not known exactly, and sums up the quality of a test: how often it proves a brake, over the
// true capacity of the brake (operating characteristic).
package sweep
