//go:build unix

package main

import (
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
)

// TestBench drives the program as users have it, as a process on a terminal.
func TestBench(t *testing.T) {
	t.Parallel()
	file, err := exec.LookPath("holdbench") // what the scripts run, see clitest.Main
	require.NoError(t, err)
	for name, test := range map[string]func(*testing.T, string){
		"FromEndToEnd": fromEndToEnd, "AsksBeforeItLosesWork": asksBeforeItLosesWork, "ASCII": inASCII,
		"BrokenDocument": tellsABrokenDocument,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			test(t, file)
		})
	}
}

// The whole way of a user: play, resize, go back, branch, keep, leave, and run what was
// kept.
func fromEndToEnd(t *testing.T, file string) {
	t.Helper()
	folder := t.TempDir()
	s := sit(t, file, 120, 40, folder, nil, "--scenario", "lining-worn-thin")
	s.sees("Lining worn below the test torque")
	s.types(keyEnd)
	s.sees("caught")
	s.resize(80, 24)
	s.sees("caught")
	s.types("SSSSSSSSSS") // back by states, into the travel or before
	s.types("x")          // emergency stop: a branch
	s.sees("branch")
	s.types(keyEnd)
	s.sees("■ ended")
	s.types("k")
	s.sees("lining-worn-thin-tried")
	s.types(keyEnter)
	s.sees("kept in")
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
func asksBeforeItLosesWork(t *testing.T, file string) {
	t.Helper()
	s := sit(t, file, 80, 24, t.TempDir(), nil)
	s.sees("healthy-down-and-up")
	s.types("x")
	s.sees("changed, not kept")
	s.types("q")
	s.sees("Leave holdbench?")
	s.types(keyEsc)
	s.seesNoMore("Leave holdbench?")
	s.types("q")
	s.sees("Leave holdbench?")
	s.types("y")
	assert.Zero(t, s.leaves())
}

// Consoles without Unicode get ASCII alone, and NO_COLOR no colour.
func inASCII(t *testing.T, file string) {
	t.Helper()
	s := sit(t, file, 80, 24, t.TempDir(), []string{"NO_COLOR=1"}, "--ascii")
	s.sees("healthy-down-and-up")
	s.types(keyEnd)
	s.sees("sound-pass")
	for _, r := range s.text() {
		require.Less(t, r, rune(128), "%q in\n%s", r, s.text())
	}
	s.types("q")
	assert.Zero(t, s.leaves())
}

// A document that cannot be used is told before the screen is taken.
func tellsABrokenDocument(t *testing.T, file string) {
	t.Helper()
	s := sit(t, file, 80, 24, t.TempDir(), nil, "--scenario", "lining-worn-thick")
	assert.Equal(t, command.ExitWrong, s.leaves())
	s.sees("lining-worn-thin")
}
