package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim"
)

// Whatever was changed for the test is as before once it has passed. A program that starts without a
// release may release operation then, and switch on what it needs for it; what the test itself has
// changed is to be restored even so.
func TestRestored(t *testing.T) {
	t.Parallel()
	const released = "drive: hold, brake: open, operation: allowed"
	for name, c := range map[string]struct{ before, after, broken string }{
		"as before":               {released, released, ""},
		"released by the pass":    {`drive: "off", brake: closed, operation: inhibited, alarm: test due`, released + `, alarm: ""`, ""},
		"released, but limited":   {`drive: "off", brake: closed, operation: inhibited`, released + ", torque_limit_nm: 5", `torque_limit_nm was "0" and is "5"; in state passed`},
		"released, still asking":  {"drive: hold, operation: inhibited", "operation: allowed, ask: down", `ask was "none" and is "down"; in state passed`},
		"released, brake closed":  {"drive: hold, operation: inhibited", "operation: allowed, brake: closed", `brake was "open" and is "closed"; brake_2 was "open" and is "closed"; in state passed`},
		"released, with an alarm": {"drive: hold, operation: inhibited", "operation: allowed, alarm: worn", `alarm was "" and is "worn"; in state passed`},
		"not released again":      {released, "operation: inhibited", `operation was "allowed" and is "inhibited"; in state passed`},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r, err := sim.Run(caseOf(t, `
sequence: passes
start: ready
states:
  ready: {set: {`+c.before+`}, go: [{to: passed, when: trigger}]}
  passed: {set: {`+c.after+`}}
ends: {passed: pass}
`), nil)
			require.NoError(t, err)
			o := obligation(t, r, sim.Restored)
			assert.Equal(t, c.broken == "", o.Kept)
			assert.Equal(t, c.broken, o.Detail)
		})
	}
}
