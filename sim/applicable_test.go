package sim_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"holdbench/sequence"
	"holdbench/sim"
)

// Of what a scenario expects of its own sequence, another one is compared with what names its states and outputs;
// the rest is named, never dropped silently.
func TestExpectationsOfAnotherSequence(t *testing.T) {
	second := time.Second
	most := sim.DurationBounds{AtMost: &second}
	other := &sequence.Description{
		States:  []sequence.StateInfo{{Name: "ready"}, {Name: "press"}, {Name: "passed", End: sequence.EndPass}},
		Outputs: []string{"brake", "drive"},
	}
	for name, c := range map[string]struct {
		given, want sim.Expect
		left        []string
	}{
		"Same": {
			sim.Expect{Path: []string{"ready", "...", "passed"}, Took: map[string]sim.DurationBounds{"press": most}, Outputs: map[string]map[string]string{"press": {"brake": "closed"}}},
			sim.Expect{Path: []string{"ready", "...", "passed"}, Took: map[string]sim.DurationBounds{"press": most}, Outputs: map[string]map[string]string{"press": {"brake": "closed"}}},
			nil,
		},
		"StatesMissing": {
			sim.Expect{Path: []string{"ready", "clamp", "passed"}, Took: map[string]sim.DurationBounds{"press": most, "clamp": most}, Outputs: map[string]map[string]string{"clamp": {"brake": "closed"}}},
			sim.Expect{},
			[]string{"path", "took", "outputs"},
		},
		"OutputMissing": {
			sim.Expect{Took: map[string]sim.DurationBounds{"press": most}, Outputs: map[string]map[string]string{"press": {"brake": "closed", "decouple": "true"}, "ready": {"drive": "hold"}}},
			sim.Expect{Took: map[string]sim.DurationBounds{"press": most}},
			[]string{"outputs"},
		},
		"OtherStartAndEnd": {
			sim.Expect{Path: []string{"press", "passed"}, Took: map[string]sim.DurationBounds{"passed": most}},
			sim.Expect{},
			[]string{"path", "took"},
		},
		"NothingOfStates": {sim.Expect{End: "pass"}, sim.Expect{End: "pass"}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			got := c.given
			assert.Equal(t, c.left, got.WithAnother(other))
			assert.Equal(t, c.want, got)
		})
	}
}
