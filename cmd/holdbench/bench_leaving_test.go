//go:build unix

package main

import (
	"math/rand/v2"
	"slices"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
)

// The terminal can be used after the bench, whatever ended it: see leaves, which looks at line, screen, cursor and
// what is reported.
func TestBenchGivesTheTerminalBack(t *testing.T) {
	atEachSize(t, func(at desk) {
		t := at.t
		for name, end := range map[string]func(*seat) []int{
			"Left":         func(s *seat) []int { s.types("q"); return []int{command.ExitOK} },
			"Terminated":   endedBy(syscall.SIGTERM),
			"Quit":         endedBy(syscall.SIGQUIT),
			"BinaryTyped":  afterBinary("", ""),
			"BinaryPasted": afterBinary("\x1b[200~", "\x1b[201~"),
		} {
			t.Run(name, func(t *testing.T) {
				at.t = t
				s := at.startsAsJob()
				codes := end(s)
				assert.Contains(t, codes, s.leaves())
			})
		}
	})
}

// endedBy ends a run that plays by a signal.
func endedBy(signal syscall.Signal) func(*seat) []int {
	return func(s *seat) []int {
		s.does(" ", "▶ running")
		require.NoError(s.t, s.cmd.Process.Signal(signal))
		return []int{command.ExitInterrupted}
	}
}

// afterBinary writes bytes at random between two texts, and ends what is left of the program by a signal. A byte may
// have left it or suspended it.
func afterBinary(before, behind string) func(*seat) []int {
	return func(s *seat) []int {
		random := rand.New(rand.NewPCG(1, 2))
		text := make([]byte, 2000)
		for i := range text {
			text[i] = byte(random.Uint32())
		}
		s.types(string(slices.Concat([]byte(before), text, []byte(behind))))
		_ = s.cmd.Process.Signal(syscall.SIGTERM)
		_ = s.cmd.Process.Signal(syscall.SIGCONT)
		return []int{command.ExitOK, command.ExitInterrupted}
	}
}

// Suspended on a terminal of its own, where no shell could continue it, the program goes on.
func TestBenchGoesOnWithoutAShell(t *testing.T) {
	atEachSize(t, func(at desk) {
		s := at.starts()
		for range 2 {
			before := s.timesTaken()
			s.types(keyCtrlZ)
			s.waits("the screen is taken again", func(string) bool { return s.timesTaken() > before })
			s.does("?", "─ Help ─")
			s.closes("─ Help ─")
		}
		s.quits()
	})
}

// Suspended as a job of a shell, the program gives the terminal to the shell until it is continued.
func TestBenchIsSuspendedAsAJob(t *testing.T) {
	atEachSize(t, func(at desk) {
		t := at.t
		s := at.startsAsJob()
		taken, err := lineState(s.tty)
		require.NoError(t, err)
		assert.NotEqual(t, s.before, taken, "the bench reads single keys")
		before := s.timesTaken()
		s.types(keyCtrlZ)
		s.waits("the screen is given back", func(string) bool { return !s.isAlternate() })
		s.stands()
		meanwhile, err := lineState(s.tty)
		require.NoError(t, err)
		assert.Equal(t, s.before, meanwhile)
		require.NoError(t, s.cmd.Process.Signal(syscall.SIGCONT))
		s.waits("the screen is taken again", func(string) bool { return s.timesTaken() > before })
		s.does("?", "─ Help ─")
		s.closes("─ Help ─")
		s.quits()
	})
}
