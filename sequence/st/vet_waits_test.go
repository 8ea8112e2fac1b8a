package st_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/sequence/st"
)

// waitProgram is a program with the states Ready, Work, More and Done. Work and More do what is written.
func waitProgram(ahead, work, more, behind string) string {
	return `TYPE State : (Ready, Work, More, Done); END_TYPE
PROGRAM p
VAR_INPUT go, near, on : BOOL; mass : REAL; count : INT; END_VAR
VAR s, next, before : State; t, u : TON; n, beat : INT; late, armed, fails : BOOL; END_VAR
` + ahead + `
CASE s OF
  Ready: IF go AND NOT near THEN s := Work; ELSIF near AND NOT go THEN s := More; END_IF;
  Work: ` + work + `
  More: ` + more + `
  Done: IF go THEN s := Ready; END_IF;
END_CASE;
` + behind + `
END_PROGRAM`
}

// A state waits if there are inputs with which the program never leaves it. Where a limit is kept, and how,
// does not count.
func TestVetWaitsAreSeen(t *testing.T) {
	t.Parallel()
	const leave, limit = "IF late THEN s := Done; END_IF;", "IF t.Q THEN s := Done; END_IF;"
	for _, c := range []struct {
		name, ahead, work, behind string
		waits                     bool
	}{
		{"no limit", "", "IF near THEN s := Done; END_IF;", "", true},
		{"IN is always FALSE", "t(IN := FALSE, PT := T#1s);", limit, "", true},
		{"never called", "", limit, "", true},
		{"begins anew in each scan", "t(IN := FALSE); t(IN := s = Work, PT := T#1s);", limit, "", true},
		{"switched off in each other scan", "t(IN := s = Work AND NOT t.IN, PT := T#1s);", limit, "", true},
		{"runs in another state", "t(IN := s = More, PT := T#1s);", limit, "", true},
		{"waits for an input", "t(IN := s = Work AND on, PT := T#1s);", limit, "", true},
		{"hidden by a branch ahead of it", "t(IN := s = Work, PT := T#1s);", "IF on THEN n := 1; ELSIF t.Q THEN s := Done; END_IF;", "", true},
		{"number that is never met", "", "IF mass > 12.5 AND count = 7 THEN s := Done; END_IF;", "", true},

		{"timer in the branch", "", "t(IN := TRUE, PT := T#1s); IF t.Q THEN t(IN := FALSE); s := Done; END_IF;", "", false},
		{"flag of the same scan", "t(IN := s = Work, PT := T#1s); fails := FALSE;", "IF near THEN fails := TRUE; ELSIF t.Q THEN fails := TRUE; END_IF;", "IF fails THEN s := Done; END_IF;", false},
		{"flag with a handshake", "t(IN := armed, PT := T#1s);", "armed := TRUE; IF t.Q THEN armed := FALSE; s := Done; END_IF;", "", false},
		{"outside of the CASE", "", "IF near AND on THEN s := Done; END_IF;", "t(IN := s = before AND (s = Work OR s = More), PT := T#20s); before := s; IF t.Q THEN s := Done; END_IF;", false},
		{"limit by state in an auxiliary CASE", "CASE s OF Work: fails := t.Q; ELSE fails := FALSE; END_CASE;", "IF fails THEN s := Done; END_IF;", "t(IN := s = Work, PT := T#3s);", false},
		{"both halves of a question", "t(IN := s = Work, PT := T#1s);", "IF on AND t.Q THEN s := Done; ELSIF NOT on AND t.Q THEN s := Ready; END_IF;", "", false},
		{"one half of it", "t(IN := s = Work, PT := T#1s);", "IF on AND t.Q THEN s := Done; END_IF;", "", true},
		{"time asked instead of Q", "t(IN := s = Work, PT := T#24h);", "IF t.ET >= T#90s THEN s := Done; END_IF;", "", false},
		{"scans counted", "IF s = Work THEN n := n + 1; ELSE n := 0; END_IF;", "IF n > 3000 THEN s := Done; END_IF;", "", false},
		{"heartbeat beside it", "beat := beat + 1;", "IF near THEN s := Done; END_IF;", "", true},
		{"never entered with a start that passes on", "t(IN := s = Work, PT := T#1s);", "s := Done;", "", false},
	} {
		text := waitProgram(c.ahead, c.work, "s := Done;", c.behind)
		found := about(warnings(t, text, st.VetOptions{Ends: []string{"Done"}}), "may wait")
		require.Equal(t, c.waits, len(found) == 1, "%s: %v", c.name, found)
	}
}

// A warning says of a timer why it never runs out, and stands for all states that wait for it.
func TestVetWaitCauses(t *testing.T) {
	t.Parallel()
	const limit = "IF t.Q THEN s := Done; END_IF;"
	const both, each = "p:8:3: warning: the states Work and More may wait without a time limit; ", "p:8:3: warning: the state Work may wait without a time limit; "
	const hint = "add a way out by a timer that runs in it whatever the inputs are"
	for _, c := range []struct {
		ahead, work, more string
		want              []string
	}{
		{"", limit, limit, []string{both + "the timer t is never called"}},
		{"t(IN := FALSE, PT := T#5s);", limit, limit, []string{both + "the timer t is called with IN = FALSE only"}},
		{"t(IN := FALSE); t(IN := TRUE, PT := T#5s);", limit, limit, []string{both + "the timer t begins anew in every scan"}},
		{"t(IN := NOT t.IN, PT := T#5s);", limit, limit, []string{both + "the timer t is switched off again and again before it runs out"}},
		{"u(IN := s = More, PT := T#5s);", limit, "IF u.Q THEN s := Done; END_IF;", []string{each + "the timer t is never called"}},
		{"late := t.Q;", "IF near THEN s := Done; END_IF;", "IF on THEN s := Done; END_IF;", []string{each + hint, "p:9:3: warning: the state More may wait without a time limit; " + hint}},
		{"CASE s OF Work: late := on; ELSE late := FALSE; END_CASE;", "IF late THEN s := Done; END_IF;", "s := Done;", []string{each + hint}},
	} {
		text := waitProgram(c.ahead, c.work, c.more, "")
		require.Equal(t, c.want, about(warnings(t, text, st.VetOptions{Ends: []string{"Done"}}), "may wait"), c.ahead)
	}
}

// Where many states wait, they are named in one warning.
func TestVetManyWaits(t *testing.T) {
	t.Parallel()
	var text strings.Builder
	text.WriteString("PROGRAM p VAR_INPUT go : BOOL; END_VAR VAR s : INT; END_VAR\nCASE s OF\n0: IF go THEN s := 1; END_IF;\n")
	for i := range 9 {
		fmt.Fprintf(&text, "%d: IF go = %v THEN s := %d; END_IF;\n", i+1, i%2 == 1, (i+2)%10)
	}
	text.WriteString("END_CASE;\nEND_PROGRAM")
	require.Equal(t, []string{
		"p:4:1: warning: the states 1, 2, 3, 4, 5, 6, 7, 8 and 9 may wait without a time limit; add a way out by a timer that runs in each of them whatever the inputs are",
	}, warnings(t, text.String(), st.VetOptions{}))
}

// A CASE over a value that is selected by and never set in a branch has no states. Those of an instance
// count as its program runs it.
func TestVetWaitsOfOtherCases(t *testing.T) {
	t.Parallel()
	require.Empty(t, warnings(t, `PROGRAM p VAR_INPUT auto : BOOL; END_VAR VAR_OUTPUT x : INT; END_VAR VAR mode : INT; END_VAR
mode := SEL(auto, 1, 2);
CASE mode OF 1: x := 10; 2: x := 20; END_CASE;
END_PROGRAM`, st.VetOptions{}))
	const block = `FUNCTION_BLOCK Step VAR_INPUT go, late : BOOL; END_VAR VAR_OUTPUT busy : BOOL; END_VAR VAR s : INT; END_VAR
CASE s OF
0: IF go THEN s := 1; END_IF;
1: IF late THEN s := 0; END_IF;
END_CASE;
busy := s = 1;
END_FUNCTION_BLOCK
PROGRAM p VAR_INPUT go : BOOL; END_VAR VAR one : Step; t : TON; END_VAR
t(IN := one.busy, PT := T#1s);
one(go := go, late := %s);
END_PROGRAM`
	require.Empty(t, warnings(t, fmt.Sprintf(block, "t.Q"), st.VetOptions{}))
	require.Len(t, about(warnings(t, fmt.Sprintf(block, "t.Q AND go"), st.VetOptions{}), "the state 1 may wait"), 1)
}

// A note names the states of which the search can say nothing, and why.
func TestVetWaitsNotJudged(t *testing.T) {
	t.Parallel()
	const done, binding = "s := Done;", "; with a binding it knows where a run begins"
	for _, c := range []struct {
		name, behind, work, more string
		want                     []string
	}{
		{"all judged", "", "IF near THEN s := Done; END_IF;", done, nil},
		{"always left before the scan ends", "IF s = More THEN s := Done; END_IF;", done, "IF near THEN s := Done; END_IF;",
			[]string{"test.st:9:3: note: no statement on waits: the search did not reach the state More" + binding}},
		{"and both", "IF s = Work OR s = More THEN s := Done; END_IF;", "IF near THEN s := More; END_IF;", "IF near THEN s := Done; END_IF;",
			[]string{"test.st:8:3: note: no statement on waits: the search did not reach the states Work and More" + binding}},
		{"ramp without an end", "IF s = Work THEN mass2 := mass2 + 0.01; END_IF;", "IF ABS(mass - mass2) < 0.001 THEN s := Done; END_IF;", done,
			[]string{"test.st:8:3: note: no statement on waits: values change on and on in the state Work"}},
		{"ramp with an end", "IF s = Work THEN mass2 := mass2 + 0.01; ELSE mass2 := 0.0; END_IF;", "IF mass2 > 20.0 THEN s := Done; END_IF;", done, nil},
	} {
		text := strings.Replace(waitProgram("", c.work, c.more, c.behind), "n, beat : INT;", "n, beat : INT; mass2 : REAL;", 1)
		require.Equal(t, c.want, notes(t, text, st.VetOptions{Ends: []string{"Done"}}), c.name)
	}
}

// The search gets past conditions on differences, on ramps and on counters, to the waits behind them.
func TestVetWaitsBehindConditions(t *testing.T) {
	t.Parallel()
	const head = `PROGRAM p
VAR_INPUT go, shut : BOOL; torque, position, speed : REAL; END_VAR
VAR s, n : INT; last, ramp, held_at : REAL; goal : REAL := 220.0; tolerance : REAL := 0.05; END_VAR
CASE s OF
0: IF go THEN n := 0; ramp := 0.0; s := 10; END_IF;
10: `
	const tail = `
20: IF shut THEN s := 0; END_IF;
END_CASE;
END_PROGRAM`
	for _, way := range []string{
		"IF ABS(position - goal) < 0.5 AND ABS(speed) < 1.0 THEN s := 20; END_IF;",
		"IF position - goal > 3.0 AND position - goal < 3.3 THEN s := 20; END_IF;",
		"IF ABS(torque - last) < tolerance THEN n := n + 1; ELSE n := 0; END_IF; last := torque; IF n > 50 THEN s := 20; END_IF;",
		"ramp := ramp + 0.01; IF ramp > 6.0 AND ABS(torque - ramp) < 0.2 AND torque > held_at + 2.0 THEN s := 20; END_IF;",
		"n := n + 1; IF n > 3000 THEN s := 20; END_IF;",
		"IF last = torque THEN n := n + 1; END_IF; last := torque + 1.0; IF n > 50 THEN s := 20; END_IF;", // taken as met
	} {
		require.NotEmpty(t, about(warnings(t, head+way+tail, st.VetOptions{}), "the state 20 may wait"), way)
		require.NotContains(t, strings.Join(notes(t, head+way+tail, st.VetOptions{}), ""), "did not reach", way)
	}
}
