//go:build unix

package main

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/cmd/holdbench/internal/command"
)

// A process takes the place of the sequence on the bench: forward, back, a branch, and it ends with the
// bench.
func TestBenchWithAProcess(t *testing.T) {
	t.Parallel()
	s := deskOf(t, 120, 40).sit(nil, "--scenario", "healthy-down", "--controller", "talker")
	s.sees("Healthy brake, pressed downwards only")
	s.does(keyEnd, "sound-pass")
	s.types("SSSSSSSSSS") // back by states
	s.types("x")          // emergency stop: a branch
	s.sees("branch")
	s.does(keyEnd, "■ ended")
	s.does("q", "Leave holdbench?")
	s.types("y")
	assert.Zero(t, s.leaves(), "%s", s.text())
}

// One that does not answer does not keep the bench from being left.
func TestBenchIsLeftWhileAControllerIsWaitedFor(t *testing.T) {
	t.Parallel()
	s := deskOf(t, 120, 40).sit(nil, "--controller", "sh -c 'read x; echo {}; exec sleep 600'", "--answer-within", "0")
	s.sees("holdbench")
	s.types("q")
	assert.Zero(t, s.leaves(), "%s", s.text())
	s = deskOf(t, 120, 40).sit(nil, "--attach", "modbus:"+freePort(t))
	s.sees("waits for the first command over Modbus")
	s.types("q")
	assert.Zero(t, s.leaves(), "%s", s.text())
}

// In real time one watches and acts while the controller runs; there is no way back.
func TestBenchInRealTime(t *testing.T) {
	t.Parallel()
	address := freePort(t)
	s := deskOf(t, 120, 40).sit(nil, "--scenario", "healthy-down", "--attach", "modbus:"+address, "--silent-after", "20s")
	s.sees("waits for the first command over Modbus on " + address)
	m := newMaster(t, address)
	m.word("operation", "inhibited")
	s.sees("paused")
	s.does(" ", "▶ real time late ≤")
	m.until("trigger", func() bool { return m.on("trigger") })
	s.does(" ", "││ paused")
	s.does("S", "there is no way back")
	s.does("o", "there is no nominal run beside it")
	s.types("x ") // emergency stop, and on
	m.until("stop", func() bool { return m.on("safe_stop") })
	m.until("brake closed", func() bool { return m.on("brake_closed") })
	s.does("q", "Leave holdbench?")
	s.types("y")
	assert.Zero(t, s.leaves(), "%s", s.text())
	<-s.drained
	assert.Regexp(t, `\d+ scans in real time, late by \S+ on average`, s.raw.String())
	got := holdbench(t, "--attach", "modbus:127.0.0.1:0")
	assert.Equal(t, command.ExitWrong, got.code)
	assert.Contains(t, got.stderr, "--attach is for the bench, and standard output is no terminal; must be holdbench attach there")
}
