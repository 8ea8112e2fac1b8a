//go:build race

package clitest

// Race is whether the race detector runs, which makes everything ten times as slow.
const Race = true
