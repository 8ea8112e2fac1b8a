package evaluate_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/sim/evaluate"
)

// The judge of the rig, run again with the value of a threshold and with one just beyond it, passes the
// check on one side and not on the other.
func TestThresholds(t *testing.T) {
	t.Parallel()
	seen := map[string]int{}
	for _, name := range append([]string{"lining-worn-thin", "oil-on-the-lining", "lining-creeps-long-dwell", "drive-weakens-in-the-check", "torque-sags-briefly-at-the-end", "torque-constant-too-small", "healthy-down"}, healthy...) {
		c := load(t, name, nil)
		r, _ := record(t, c)
		e, err := evaluate.Evaluate(&c.Rig, r, evaluate.Options{Phases: 1})
		require.NoError(t, err)
		for i, check := range e.Checks {
			for _, th := range check.Thresholds {
				if th.Turns == nil {
					continue
				}
				outcome := func(value float64) string {
					rig, other := c.Rig, *r
					switch th.Of {
					case evaluate.OfWindow:
						rig.Judge.WindowDeg = value
					case evaluate.OfDwell:
						rig.Judge.Dwell = time.Duration(math.Round(value * 1e9))
					default:
						scaleRequired(&rig, value/th.Present)
						if values := other.Values("required_current_a"); values != nil && rig.Judge.Requirement == plant.RequirementDynamic {
							scaled := make([]float64, len(values))
							for k, x := range values {
								scaled[k] = x * value / th.Present
							}
							other.Channels = append(other.Channels[:0:0], other.Channels...)
							other.Channel("required_current_a").Values = scaled
						}
					}
					again, err := evaluate.Evaluate(&rig, &other, evaluate.Options{Phases: 1})
					require.NoError(t, err)
					return again.Checks[i].Outcome
				}
				passing, failing := *th.Turns*(1-1e-9), *th.Turns*(1+1e-6)
				switch th.Of {
				case evaluate.OfWindow:
					passing, failing = *th.Turns*(1+1e-9), *th.Turns*(1-1e-6)
				case evaluate.OfDwell:
					passing, failing = *th.Turns, *th.Turns+1e-6
				}
				assert.Equal(t, evaluate.Passed, outcome(passing), "%s, check %d: %+v", name, i, th)
				assert.NotEqual(t, evaluate.Passed, outcome(failing), "%s, check %d: %+v", name, i, th)
				seen[th.Of+" of a "+check.Outcome+" check"]++
			}
		}
	}
	t.Log(seen)
	for _, of := range []string{"window of a passed check", "dwell of a passed check", "requirement of a passed check", "dwell of a failed check"} {
		assert.Positive(t, seen[of], of)
	}
}

func scaleRequired(rig *plant.Rig, by float64) {
	j := &rig.Judge
	j.RequiredDownNM, j.RequiredUpNM, j.RequiredA = j.RequiredDownNM*by, j.RequiredUpNM*by, j.RequiredA*by
}
