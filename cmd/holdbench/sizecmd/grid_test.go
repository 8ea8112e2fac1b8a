package sizecmd

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/scenarios"
	"holdbench/sim"
)

// longest is the flag with the longest run, 2.4 million ticks of a rig as it is.
const longest = "--dwell 600s --set rig.clock.tick=1ms"

// sizeGrid is values for each flag, ends of its range and some between.
func sizeGrid() []string {
	return []string{
		"",
		"--factor 0.5", "--factor 1.05", "--factor 2", "--factor 10",
		"--minimum-load-kg 0.001", "--maximum-load-kg 1e6", "--counterbalance-loss 0.05", "--counterbalance-loss 1", "--credit-friction",
		"--test-position-mm 0", "--test-position-mm 700", "--clearance-mm 0", "--clearance-mm 1e5",
		"--guaranteed-share 0.01", "--guaranteed-share 1", "--torque-constant-tolerance 0", "--torque-constant-tolerance 0.5",
		"--current-tolerance 0", "--current-tolerance 0.04", "--motor-peak-nm 1", "--motor-peak-nm 1e6", "--mechanical-limit-nm 20",
		"--press-margin 1", "--press-margin 1.2", "--press-margin 3",
		"--press-rate-nm-s 0.001", "--press-rate-nm-s 0.1", "--press-rate-nm-s 1", "--press-rate-nm-s 1e6",
		"--false-alarm-rate 1e-12", "--false-alarm-rate 0.1", "--undetected-mm 1e-6", "--undetected-mm 0.00183", "--undetected-mm 0.01", "--undetected-mm 1e5",
		"--creep-mm-s 1e-9", "--creep-mm-s 0.001", "--creep-mm-s 0.01", "--creep-mm-s 1e5",
		"--dwell 1ms", "--dwell 30s", longest, "--margin-scans 0", "--margin-scans 1000",
		"--interval 1s", "--interval 60s", "--interval 100000000s",
	}
}

// What is written runs to a sound pass, and what cannot is not written: exit 1 where bounds
// cross, 2 where there is nothing to size. The noise stays below what the drive takes for
// standing still and for a load that is carried, which no figure here can mend. Two thirds of the runs are at the rig's own tick.
func TestWhateverIsWrittenRuns(t *testing.T) {
	if clitest.Race {
		t.Skip("thousands of runs one after the other, too slow with the race detector; the scripts run the same code")
	}
	beside := []string{
		"", "--dwell 100ms --margin-scans 0 --set rig.encoder.noise_deg=0.005 --set rig.clock.tick=1ms",
		"--set rig.clock.link_delay_scans=16 --set rig.clock.safety_scan=16ms --set rig.drive.speed_mm_s=40",
	}
	rigs := scenarios.Names(scenarios.RigKind)
	if testing.Short() {
		rigs, beside = rigs[:1], beside[1:2] // one rig with a coarse tick
	}
	for _, rig := range rigs {
		for _, also := range beside {
			t.Run(rig+also, func(t *testing.T) {
				t.Parallel()
				tried := map[string]bool{} // a run is a function of its documents, so once is enough
				for _, flags := range sizeGrid() {
					if also != "" && flags == longest {
						continue // a second of work, once a rig is enough
					}
					writtenRuns(t, tried, strings.Fields(rig+" "+also+" "+flags))
				}
				assert.Greater(t, len(tried), 10, "or nothing was tried")
			})
		}
	}
}

func writtenRuns(t *testing.T, tried map[string]bool, args []string) {
	t.Helper()
	got := invoke(t.Context(), append([]string{"size", "--set-scenario", "-"}, args...)...)
	if got.Code != command.ExitOK {
		assert.Contains(t, []int{command.ExitBroken, command.ExitWrong}, got.Code, "%v", args)
		assert.Empty(t, got.Stdout, "%v", args)
		return
	}
	if tried[got.Stdout] {
		return
	}
	tried[got.Stdout] = true
	file := filepath.Join(t.TempDir(), "sized.yaml")
	require.NoError(t, os.WriteFile(file, []byte(got.Stdout), 0o600))
	ready, _, err := scenarios.LoadCase(file, scenarios.Overrides{})
	require.NoError(t, err, "%v", args)
	r, err := sim.Run(ready, nil)
	require.NoError(t, err)
	assert.True(t, r.Met(), "%v: ended %q, %s, %s in %s", args, r.End, r.Class, r.Cause, r.EndedIn)
}
