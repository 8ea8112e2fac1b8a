//go:build race

package probe_test

// raceEnabled is whether the race detector runs, which makes everything ten times as slow.
const raceEnabled = true
