//go:build unix

package main

import (
	"fmt"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
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
	file, err := exec.LookPath("holdbench") // what the scripts run, see clitest.Main
	require.NoError(t, err)
	for _, size := range [][2]uint16{{80, 24}, {120, 40}, {200, 60}} {
		t.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(t *testing.T) {
			t.Parallel()
			test(desk{t, file, size[0], size[1]})
		})
	}
}

// sit starts the program in an empty folder.
func (d desk) sit(env []string, args ...string) *seat {
	d.t.Helper()
	return d.sitIn(d.t.TempDir(), env, args...)
}

func (d desk) sitIn(folder string, env []string, args ...string) *seat {
	d.t.Helper()
	env = append([]string{"XDG_STATE_HOME=" + filepath.Join(d.t.TempDir(), "state")}, env...)
	return sit(d.t, d.file, d.columns, d.rows, folder, env, args...)
}

// sitAsJob starts it as a shell starts a job.
func (d desk) sitAsJob(t *testing.T) *seat {
	t.Helper()
	return sitAsJob(t, d.file, d.columns, d.rows, t.TempDir())
}
