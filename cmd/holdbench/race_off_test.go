//go:build !race

package main

// raceEnabled is whether the race detector runs, which makes everything ten times as slow.
const raceEnabled = false
