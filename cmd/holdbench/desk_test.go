//go:build unix

package main

import (
	"fmt"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
)

// desk is a terminal of one of the sizes at which the bench must be usable.
type desk struct {
	t             *testing.T
	file          string // the program
	columns, rows uint16
}

// atEachSize does a test on terminals of each size, side by side.
func atEachSize(t *testing.T, test func(at desk)) {
	t.Helper()
	t.Parallel()
	for _, size := range [][2]uint16{{80, 24}, {120, 40}, {200, 60}} {
		t.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(t *testing.T) {
			t.Parallel()
			test(deskOf(t, size[0], size[1]))
		})
	}
}

func deskOf(t *testing.T, columns, rows uint16) desk {
	t.Helper()
	file, err := exec.LookPath("holdbench") // what the scripts run, see clitest.Main
	require.NoError(t, err)
	return desk{t, file, columns, rows}
}

// starts begins with a scenario, or with the first one without any, and waits for it.
func (d desk) starts(scenario ...string) *seat {
	d.t.Helper()
	if len(scenario) == 0 {
		s := d.sit(nil)
		s.sees(command.Demo)
		return s
	}
	s := d.sit(nil, append([]string{"--scenario"}, scenario...)...)
	s.sees(scenario[0])
	return s
}

// ends plays a scenario to its end.
func (d desk) ends(scenario string) *seat {
	d.t.Helper()
	s := d.starts(scenario)
	s.does(keyEnd, "■ ended")
	return s
}

// sit starts the program in an empty folder, as the first process of a terminal: so does an emulator without a shell.
func (d desk) sit(env []string, args ...string) *seat {
	d.t.Helper()
	return d.sitIn(d.t.TempDir(), env, args...)
}

func (d desk) sitIn(folder string, env []string, args ...string) *seat {
	d.t.Helper()
	env = append([]string{"XDG_STATE_HOME=" + filepath.Join(d.t.TempDir(), "state")}, env...)
	s := newSeat(d, folder, env, args)
	s.cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	s.start(d.columns, d.rows)
	return s
}

// startsAsJob begins as a shell starts a job: in a process group of its own, on a terminal that is there before and
// after it.
func (d desk) startsAsJob() *seat {
	d.t.Helper()
	s := newSeat(d, d.t.TempDir(), nil, nil)
	s.cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	s.start(d.columns, d.rows)
	s.sees(command.Demo)
	return s
}

// wrote is all that the program writes while lining-worn-thin is played to its end.
func (d desk) wrote(env []string, args ...string) string {
	d.t.Helper()
	s := d.sit(env, append(args, "--scenario", "lining-worn-thin")...)
	s.sees("lining-worn-thin")
	s.does(keyEnd, "■ ended")
	s.quits()
	return s.raw.String()
}
