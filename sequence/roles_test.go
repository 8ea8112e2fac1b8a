package sequence

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// named has two roles under names of the engineer's own.
const named = `sequence: s
start: wait
params: {p_nm: 3, up: true, there_mm: 4}
roles: {test_torque: p_nm, test_up: up}
states:
  wait: {set: {press_torque_nm: p_nm, target_mm: there_mm}, go: [{to: over, when: trigger and up}]}
  over: {}
ends: {over: stop}
`

func TestRoles(t *testing.T) {
	t.Parallel()
	d := document(t, named)
	require.Empty(t, vetted(d, nil))
	p, err := Compile(d, Values{"p_nm": "5"})
	require.NoError(t, err)
	v, ok := p.About().Role("test_torque")
	require.True(t, ok)
	assert.Equal(t, "p_nm", v.Name)
	assert.InDelta(t, 5, v.Number, 0)
	_, ok = p.About().Role("press_margin")
	assert.False(t, ok, "no parameter has it")
}

func TestRoleFindings(t *testing.T) {
	t.Parallel()
	const of = "$.roles.test_torque"
	for _, c := range []struct{ name, from, to, path, says string }{
		{"unknown role", "test_torque:", "tst_torque:", "$.roles.tst_torque", `the nearest valid one is "test_torque"`},
		{"unknown parameter", "test_torque: p_nm", "test_torque: q_nm", of, `there is no parameter "q_nm"`},
		{"an input", "test_torque: p_nm", "test_torque: torque_nm", of, `there is no parameter "torque_nm"`},
		{"another unit", "test_torque: p_nm", "test_torque: there_mm", of, "there_mm is in mm; the parameter of the role test_torque must be in N·m"},
		{"another kind", "test_torque: p_nm", "test_torque: up", of, "up is a boolean; the parameter of the role test_torque must be a number"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			checkFinding(t, named, c.from, c.to, false, c.path, c.says)
		})
	}
}

// A parameter that only a role names is used: a tool reads it.
func TestRoleUsesItsParameter(t *testing.T) {
	t.Parallel()
	d := document(t, named)
	d.Params = append(d.Params, Param{Name: "shift_s", Value: "28800"})
	require.NotNil(t, problemAt(vetted(d, nil), "$.params.shift_s", "not used"))
	d.Roles = append(d.Roles, Role{"interval", "shift_s"})
	require.Empty(t, vetted(d, nil))
}

// The reference says of every role which of its parameters has it, but for those that it has no
// use for.
func TestReferenceRoles(t *testing.T) {
	t.Parallel()
	p, err := Compile(document(t, string(Reference())), nil)
	require.NoError(t, err)
	for _, r := range RoleWords() {
		if r.Role != "test_down" && r.Role != "signal_slack" && r.Role != "interval" { // it always presses down, and reads a counter
			assert.NotEmpty(t, p.About().Roles[r.Role], r.Role)
		}
	}
}
