package sim_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
	"holdbench/scenarios"
	"holdbench/sim"
)

// What the data of the judge and the sequence that asks it do not agree on is said before a run.
func TestJudgeWarnings(t *testing.T) {
	for _, c := range []struct {
		name, rig, sequence string
		set                 map[string]string
		says                string
	}{
		{"agree", "tilt-arm", "reference", nil, ""},
		{"one direction asked, two required", "pane-hoist", "hasty", nil, "judge.directions is both, and sequence hasty does not ask up: its test gives no proof"},
		{"one direction is enough", "pane-hoist", "hasty", map[string]string{"judge.directions": "down"}, ""},
		{"no requirement", "pane-hoist", "reference", map[string]string{"judge.kind": "torque", "judge.required_up_nm": "0"}, "judge.required_up_nm is missing"},
		{"weak requirement for this position", "tilt-arm", "reference", map[string]string{"judge.required_down_nm": "-1.5"}, "judge.required_down_nm is -1.5 N·m; at 139.6 mm the brake carries the test torque of 7.649 N·m only from"},
	} {
		t.Run(c.name, func(t *testing.T) {
			rig, _, err := scenarios.LoadRig(c.rig)
			require.NoError(t, err)
			document, _, err := scenarios.LoadSequence(c.sequence)
			require.NoError(t, err)
			_, warnings, err := sim.NewCase(sim.Scenario{Scenario: "s", Title: "s", Set: c.set}, *rig, *document)
			require.NoError(t, err)
			if c.says == "" {
				require.Empty(t, warnings)
				return
			}
			require.Contains(t, messages(warnings), c.says)
		})
	}
}

func messages(list problem.List) string {
	var texts []string
	for _, p := range list {
		texts = append(texts, p.Message)
	}
	return strings.Join(texts, "\n")
}
