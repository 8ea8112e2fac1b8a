//go:build unix

package main

import (
	"bufio"
	"bytes"
	"io"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
)

// onTerminal runs the program with a terminal of a size as standard output.
func onTerminal(t *testing.T, columns uint16, env map[string]string, args ...string) string {
	t.Helper()
	master, tty, err := pty.Open()
	require.NoError(t, err)
	defer func() { assert.NoError(t, master.Close()) }()
	require.NoError(t, pty.Setsize(tty, &pty.Winsize{Rows: 24, Cols: columns}))
	read := make(chan string)
	go func() {
		text, _ := io.ReadAll(master) // ends with an error once the terminal is gone
		read <- string(text)
	}()
	var stderr bytes.Buffer
	a := &command.App{Stdout: tty, Stderr: &stderr, Env: func(key string) string { return env[key] }}
	a.Execute(t.Context(), root(a), args)
	require.NoError(t, tty.Close())
	return strings.ReplaceAll(<-read, "\r\n", "\n")
}

// Colour is on only on a terminal that has some, and never where nobody wants it.
func TestColour(t *testing.T) {
	const escape = "\x1b["
	args := []string{"run", "lining-worn-thin"}
	t.Run("OnATerminal", func(t *testing.T) {
		assert.Contains(t, onTerminal(t, 80, map[string]string{"TERM": "xterm-256color"}, args...), escape)
	})
	t.Run("OffWithNoColor", func(t *testing.T) {
		got := onTerminal(t, 80, map[string]string{"TERM": "xterm-256color", "NO_COLOR": "0"}, args...)
		assert.NotContains(t, got, escape, "any value that is not empty counts")
	})
	t.Run("OnWithEmptyNoColor", func(t *testing.T) {
		assert.Contains(t, onTerminal(t, 80, map[string]string{"TERM": "xterm-256color", "NO_COLOR": ""}, args...), escape)
	})
	t.Run("OffOnADumbTerminal", func(t *testing.T) {
		got := onTerminal(t, 80, map[string]string{"TERM": "dumb"}, args...)
		assert.NotContains(t, got, escape)
		assert.NotContains(t, got, "█")
	})
	t.Run("OffInAPipe", func(t *testing.T) {
		assert.NotContains(t, invoke(t.Context(), args...).Stdout, escape)
	})
	t.Run("SamePlainText", func(t *testing.T) {
		got := onTerminal(t, 80, map[string]string{"TERM": "xterm", "NO_COLOR": "1"}, args...)
		assert.Equal(t, invoke(t.Context(), args...).Stdout, got)
	})
}

// A wide terminal gets the wide page, up to a limit; a small one gets the smallest page.
func TestWidth(t *testing.T) {
	env := map[string]string{"TERM": "xterm", "NO_COLOR": "1"}
	for columns, want := range map[uint16]int{40: 80, 80: 80, 100: 100, 120: 120, 200: 120} {
		widest := 0
		for line := range strings.Lines(onTerminal(t, columns, env, "run", "lining-worn-thin")) {
			widest = max(widest, page.Cells(strings.TrimSuffix(line, "\n")))
		}
		assert.Equal(t, want, widest, "%d columns", columns)
	}
}

// An interrupt from outside ends the process in order, with 3.
func TestSignal(t *testing.T) {
	self, err := os.Executable()
	require.NoError(t, err)
	folder := t.TempDir()
	endless := folder + "/endless.yaml"
	require.NoError(t, os.WriteFile(endless, []byte(`scenario: endless
title: nobody starts the test
rig: pane-hoist
sequence: reference
set: {rig.clock.run_limit: 1h}
script: [{at: 59m, set: {trigger: true}}]
expect: {end: none, obligations: all}
`), 0o644))
	c := &exec.Cmd{Path: self, Args: []string{"holdbench", "run", endless, "--trace", "-"}}
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	var stderr bytes.Buffer
	c.Stderr = &stderr
	require.NoError(t, c.Start())
	lines := bufio.NewReader(out)
	_, err = lines.ReadString('\n')
	require.NoError(t, err)
	require.NoError(t, c.Process.Signal(syscall.SIGINT))
	_, err = io.Copy(io.Discard, lines)
	require.NoError(t, err)
	_ = c.Wait()
	assert.Equal(t, command.ExitInterrupted, c.ProcessState.ExitCode(), stderr.String())
	assert.Contains(t, stderr.String(), "interrupted")
}
