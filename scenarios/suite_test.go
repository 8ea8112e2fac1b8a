package scenarios_test

import (
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sim"
)

// TestBuiltin is the regression suite: every built-in scenario against what its
// document expects.
func TestBuiltin(t *testing.T) {
	t.Parallel()
	for i, e := range scenarios.Builtin(scenarios.ScenarioKind) {
		if i%everyNth != 0 {
			continue
		}
		t.Run(e.Group+"/"+e.Name, func(t *testing.T) {
			t.Parallel()
			c, _, err := scenarios.LoadCase(e.Name, scenarios.Overrides{})
			require.NoError(t, err)
			r, err := sim.Run(c, nil)
			require.NoError(t, err)
			for _, x := range r.Expectations {
				require.True(t, x.Met, "%s: want %s, got %s", x.Name, x.Want, x.Got)
			}
		})
	}
}

// Every built-in scenario explains what it teaches, and every miss names its remedy.
func TestEveryScenarioTeaches(t *testing.T) {
	t.Parallel()
	titles := map[string]string{}
	for _, e := range scenarios.Builtin(scenarios.ScenarioKind) {
		c, warnings, err := scenarios.LoadCase(e.Name, scenarios.Overrides{})
		require.NoError(t, err)
		if !teachesWrongData(e.Name) {
			require.Empty(t, warnings, e.Name)
		}
		s := c.Scenario
		require.Equal(t, e.Name, s.Scenario, "file and name")
		require.NotEmpty(t, s.Teaches, e.Name)
		require.NotEmpty(t, s.Expect.Class, e.Name)
		require.Empty(t, titles[s.Title], "%s has the title of %s", e.Name, titles[s.Title])
		titles[s.Title] = e.Name
		if s.Expect.Class == sim.Missed {
			require.NotEmpty(t, s.Remedy, e.Name)
		}
	}
}

// teachesWrongData is whether a scenario has too weak a requirement in the judge on purpose, or one that
// its sequence does not meet; the bench warns of both.
func teachesWrongData(name string) bool {
	return slices.Contains([]string{
		"arm-tested-at-low-load", "test-sized-for-empty-carriage", "both-asked-and-down-tested", "half-a-test-with-an-old-proof",
	}, name)
}

// The engineering data of the built-in rigs were computed by hand and typed in, as
// commissioning would; they must agree with what the rig's machine data give.
func TestRigsAreCommissionedRight(t *testing.T) {
	t.Parallel()
	for _, name := range scenarios.Names(scenarios.RigKind) {
		t.Run(name, func(t *testing.T) {
			r, warnings, err := scenarios.LoadRig(name)
			require.NoError(t, err)
			require.Empty(t, warnings)
			d := plant.Derive(r)
			typed := func(key string) float64 {
				x, err := strconv.ParseFloat(r.Sequence[key], 64)
				require.NoError(t, err)
				return x
			}
			at := typed("test_position_mm")
			require.InDelta(t, -plant.LoadTorque(r, at), typed("load_torque_nm"), 0.005, "rounded to 0.01 N·m")
			if test, given := r.Sequence["test_torque_nm"]; given {
				require.NotEmpty(t, test)
				require.InDelta(t, d.RequiredTestNM, typed("test_torque_nm"), 0.005)
				require.GreaterOrEqual(t, typed("test_torque_nm"), d.RequiredTestNM)
			} else {
				require.InDelta(t, d.RequiredTestNM, 1.3*typed("load_torque_nm"), 0.0065)
			}
			require.Equal(t, r.Motor.TorqueConstant, typed("torque_constant_nm_per_rms_a"))
			require.Greater(t, d.BrakeCapacityNM, 1.3*d.RequiredTestNM, "a new brake has room")
			for _, second := range []bool{false, r.Brake2.Exists()} {
				f := plant.NewPowerFailure(r, second)
				require.True(t, f.Meets(0.8*f.CapacityNM(), 0, r.Test.DropLimitMM), "what a maker guarantees of a brake meets the drop limit at a power failure at rest")
			}
			require.Less(t, d.PressUpNM*1.08, r.Judge.CeilingNM, "pressing stays below the ceiling")
			require.Less(t, r.Judge.CeilingNM, d.DriveTorqueLimitNM*1.1)
		})
	}
}
