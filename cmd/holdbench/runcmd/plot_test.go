package runcmd

import (
	"crypto/sha256"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
)

// A plot names the run, its states, its limits and what came of it; the same run gives the same bytes.
func TestPlot(t *testing.T) {
	for _, c := range []struct {
		name  string
		args  []string
		code  int
		shows []string
	}{
		{"AsExpected", []string{"healthy-down-and-up"}, command.ExitOK, []string{"verdict proven, class sound-pass", ">travel<", ">verdict_up<", "judge: proven for 8h", "end: pass", "drop limit 5 mm", "window ±", "ceiling of the motor", "required at the brake", "; as expected"}},
		{"Failed", []string{"healthy-down-and-up", "--set", "rig.brake.condition=0.2"}, command.ExitBroken, []string{"set rig.brake.condition = 0.2", ">locked_out<", "the closed brake slips", "end: fail", "NOT as expected"}},
		{"TwoBrakes", []string{"drive-lost-on-the-second-brake"}, command.ExitOK, []string{">brake 1<", ">brake 2<"}},
		{"Dropped", []string{"healthy-down", "--fault", "lining-worn=0.05@open_brake", "--set", "rig.test.drop_limit_mm=0.001"}, command.ExitBroken, []string{"load drop exceeds 0.001 mm", "lining-worn=0.05@open_brake"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			args := append(append([]string{"run"}, c.args...), "--plot", "-")
			got := invoke(t.Context(), args...)
			require.Equal(t, c.code, got.Code, got.Stderr)
			// The picture itself is too long for a message.
			missing := slices.DeleteFunc(append(c.shows, "NaN"), func(w string) bool { return strings.Contains(got.Stdout, w) })
			assert.Equal(t, []string{"NaN"}, missing)
			if c.name == "Failed" {
				assert.Equal(t, sha256.Sum256([]byte(got.Stdout)), sha256.Sum256([]byte(invoke(t.Context(), args...).Stdout)))
			}
		})
	}
}
