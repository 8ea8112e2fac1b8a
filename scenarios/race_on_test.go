//go:build race

package scenarios_test

// everyNth is how much of what all scenarios go through is done. The race detector looks for data that
// several runs share, which some scenarios show as well as all.
const everyNth = 9
