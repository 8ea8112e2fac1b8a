//go:build unix

package main

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
)

// The whole way of a user: play, resize, go back, branch, keep, leave, and run what was
// kept.
func TestBenchFromEndToEnd(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	s := deskOf(t, 120, 40).sitIn(folder, nil, "--scenario", "lining-worn-thin")
	s.sees("Lining worn below the test torque")
	s.does(keyEnd, "caught")
	s.resize(80, 24)
	s.sees("caught")
	s.types("SSSSSSSSSS") // back by states, into the travel or before
	s.types("x")          // emergency stop: a branch
	s.sees("branch")
	s.does(keyEnd, "■ ended")
	s.does("k", "lining-worn-thin-tried")
	s.does(keyEnter, "kept in")
	s.types("q")
	assert.Zero(t, s.leaves(), "%s", s.text())
	assert.NotContains(t, s.raw.String(), "\x1b]", "nothing is asked of the terminal, and its title stays")
	assert.NotContains(t, s.raw.String(), "\x1b[6n")

	kept := filepath.Join(folder, "lining-worn-thin-tried.yaml")
	got := invoke(t.Context(), "run", kept)
	assert.Zero(t, got.Code, "%s%s", got.Stdout, got.Stderr)
	assert.Contains(t, got.Stdout, "estop")
}

// Work is not lost by one key.
func TestBenchAsksBeforeItLosesWork(t *testing.T) {
	t.Parallel()
	s := deskOf(t, 80, 24).starts()
	s.does("x", "changed, not kept")
	s.does("q", "Leave holdbench?")
	s.closes("Leave holdbench?")
	s.does("q", "Leave holdbench?")
	s.types("y")
	assert.Zero(t, s.leaves())
}

// Consoles without Unicode get ASCII alone, and NO_COLOR no colour.
func TestBenchInASCII(t *testing.T) {
	t.Parallel()
	s := deskOf(t, 80, 24).sit([]string{"NO_COLOR=1"}, "--ascii")
	s.sees("healthy-down-and-up")
	s.does(keyEnd, "sound-pass")
	for _, r := range s.text() {
		require.Less(t, r, rune(128), "%q in\n%s", r, s.text())
	}
	s.types("q")
	assert.Zero(t, s.leaves())
}

// A document that cannot be used is told before the screen is taken.
func TestBenchTellsABrokenDocument(t *testing.T) {
	t.Parallel()
	s := deskOf(t, 80, 24).sit(nil, "--scenario", "lining-worn-thick")
	assert.Equal(t, command.ExitWrong, s.leaves())
	s.sees("lining-worn-thin")
}
