package st_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/sequence/st"
)

func paths(refs []st.Ref) []string {
	list := make([]string, len(refs))
	for i, r := range refs {
		list[i] = r.Path()
	}
	return list
}

// The branch of a state is found with its text and the variables that it reads and writes.
func TestCases(t *testing.T) {
	t.Parallel()
	m := machine(t, steps)
	state := m.ref("state")
	cases := m.Program().Cases(m.Block(), state)
	require.Len(t, cases, 1)
	c := cases[0]
	require.Len(t, c.Branches, 6)
	m.set("state", 4) // Press
	press := c.Branches[c.Branch(m.Int(state))]
	require.Equal(t, []string{"Press"}, press.Labels)
	require.Equal(t, []string{"mean.mean", "limit.ET", "n", "press"}, paths(press.Reads))
	require.Equal(t, []string{"press", "last.torque", "last.after", "n", "state"}, paths(press.Writes))
	text := m.Program().Text[press.First.Offset:press.Last.Offset]
	require.Contains(t, text, "Press:\n    press := mean.mean < 10.0;")
	require.Contains(t, text, "IF NOT press THEN state := Done; END_IF;")
	require.NotContains(t, text, "Failed")
	m.set("torque_nm", 8.0)
	m.scan()
	require.Equal(t, "1.0", m.Format(press.Reads[0]))
	other := c.Branches[c.Branch(6)] // Done has no branch of its own
	require.Empty(t, other.Labels)
	require.Contains(t, m.Program().Text[other.First.Offset:other.Last.Offset], "ELSE\n  move := FALSE;")
}

// The state may be inside of an instance, and an integer with ranges.
func TestCasesWithin(t *testing.T) {
	t.Parallel()
	m := machine(t, `FUNCTION_BLOCK Inner
VAR_INPUT go : BOOL; END_VAR
VAR step : INT; a : ARRAY [0..2] OF REAL; i : INT; END_VAR
CASE step OF
  0: IF go THEN step := 10; END_IF;
  10..19, 30: a[i] := a[2] + 1.0; step := step + 1;
END_CASE;
END_FUNCTION_BLOCK
PROGRAM p
VAR tests : ARRAY [1..2] OF Inner; END_VAR
tests[1](go := TRUE);
tests[2](go := TRUE);
END_PROGRAM`)
	state := m.ref("tests[2].step")
	c := m.Program().Cases(m.Block(), state)
	require.Len(t, c, 1)
	require.Equal(t, 1, c[0].Branch(30))
	require.Equal(t, 1, c[0].Branch(15))
	require.Equal(t, -1, c[0].Branch(20))
	b := c[0].Branches[1]
	require.Equal(t, []string{"10..19", "30"}, b.Labels)
	require.Equal(t, []string{"tests[2].i", "tests[2].a[2]", "tests[2].step"}, paths(b.Reads))
	for range 5 {
		m.scan()
	}
	require.Equal(t, "14", m.Format(b.Reads[2]))
	require.Empty(t, m.Program().Cases(m.Block(), m.ref("tests[1].i")))
}
