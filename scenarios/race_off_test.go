//go:build !race

package scenarios_test

// everyNth is how much of what all scenarios go through is done: all of it, but for the race detector.
const everyNth = 1
