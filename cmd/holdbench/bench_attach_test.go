//go:build unix

package main

import (
	"os/exec"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
)

// A process takes the place of the sequence on the bench: forward, back, a branch, and it ends with the
// bench.
func TestBenchWithAProcess(t *testing.T) {
	t.Parallel()
	file, err := exec.LookPath("holdbench")
	require.NoError(t, err)
	s := sit(t, file, 120, 40, t.TempDir(), nil, "--scenario", "healthy-down", "--controller", "talker")
	s.sees("Healthy brake, pressed downwards only")
	s.types(keyEnd)
	s.sees("sound-pass")
	s.types("SSSSSSSSSS") // back by states
	s.types("x")          // emergency stop: a branch
	s.sees("branch")
	s.types(keyEnd)
	s.sees("■ ended")
	s.types("q")
	s.sees("Leave holdbench?")
	s.types("y")
	assert.Zero(t, s.leaves(), "%s", s.text())
}

// One that does not answer does not keep the bench from being left.
func TestBenchIsLeftWhileAControllerIsWaitedFor(t *testing.T) {
	t.Parallel()
	file, err := exec.LookPath("holdbench")
	require.NoError(t, err)
	s := sit(t, file, 120, 40, t.TempDir(), nil, "--controller", "sh -c 'read x; echo {}; exec sleep 600'", "--answer-within", "0")
	s.sees("holdbench")
	s.types("q")
	assert.Zero(t, s.leaves(), "%s", s.text())
	s = sit(t, file, 120, 40, t.TempDir(), nil, "--attach", "modbus:"+freePort(t))
	s.sees("waits for the first command over Modbus")
	s.types("q")
	assert.Zero(t, s.leaves(), "%s", s.text())
}

// In real time one watches and acts while the controller runs; there is no way back.
func TestBenchInRealTime(t *testing.T) {
	t.Parallel()
	file, err := exec.LookPath("holdbench")
	require.NoError(t, err)
	address := freePort(t)
	s := sit(t, file, 120, 40, t.TempDir(), nil, "--scenario", "healthy-down", "--attach", "modbus:"+address, "--silent-after", "20s")
	s.sees("waits for the first command over Modbus on " + address)
	m := newMaster(t, address)
	m.word("operation", "inhibited")
	s.sees("paused")
	s.types(" ")
	s.sees("▶ real time late ≤")
	m.until("trigger", func() bool { return m.on("trigger") })
	s.types(" ")
	s.sees("││ paused")
	s.types("S")
	s.sees("there is no way back")
	s.types("o")
	s.sees("there is no nominal run beside it")
	s.types("x ") // emergency stop, and on
	m.until("stop", func() bool { return m.on("safe_stop") })
	m.until("brake closed", func() bool { return m.on("brake_closed") })
	s.types("q")
	s.sees("Leave holdbench?")
	s.types("y")
	assert.Zero(t, s.leaves(), "%s", s.text())
	<-s.drained
	assert.Regexp(t, `\d+ scans in real time, late by \S+ on average`, s.raw.String())
	got := holdbench(t, "--attach", "modbus:127.0.0.1:0")
	assert.Equal(t, command.ExitWrong, got.code)
	assert.Contains(t, got.stderr, "--attach is for the bench, and standard output is no terminal; must be holdbench attach there")
}
