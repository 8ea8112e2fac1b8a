package st_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/sequence/st"
)

// chainHead and chainTail frame what a chain of three steps does in the second of them.
const (
	chainHead = `FUNCTION_BLOCK Watch VAR_INPUT active : BOOL; END_VAR VAR_OUTPUT late : BOOL; END_VAR VAR own : TON; END_VAR
own(IN := active, PT := T#5s); IF NOT active THEN late := FALSE; RETURN; END_IF; late := own.Q; END_FUNCTION_BLOCK
PROGRAM p
VAR_INPUT go, near : BOOL; seconds : REAL; END_VAR
VAR_OUTPUT lamp : BOOL; END_VAR
VAR ready : BOOL := TRUE;
work, done : BOOL;
t : TON; n : INT; failing : BOOL; edge : R_TRIG; watch : Watch; pulse : TP; holds : SR; END_VAR
VAR_TEMP late : BOOL; END_VAR
lamp := go AND near AND seconds > 0.0 AND t.Q AND n > 0 AND failing AND edge.Q AND watch.late AND pulse.Q AND holds.Q1 AND late;
IF ready AND go THEN ready := FALSE; work := TRUE; ELSIF ready AND near THEN ready := FALSE; done := TRUE; END_IF;
`
	chainTail = "\nIF done AND near THEN done := FALSE; ready := TRUE; END_IF;\nEND_PROGRAM"
)

func chainWarnings(t *testing.T, text string, change func(*st.VetOptions), steps ...string) []string {
	t.Helper()
	p := compiled(t, text)
	options := st.VetOptions{Steps: steps, Main: p.Blocks[len(p.Blocks)-1], Ends: []string{"done"}}
	options.Block = options.Main
	if change != nil {
		change(&options)
	}
	return warningsOf(t, p, options)
}

// A step is left in time if a timer that runs whatever the inputs are sets its variable to FALSE, in
// the same scan or in a later one.
func TestVetChainWaits(t *testing.T) {
	t.Parallel()
	const waits = "the step work may wait without a time limit; set it to FALSE by a timer that runs in it whatever the inputs are"
	const stuck = "the step work has no way out and is no end; set it to FALSE while it is TRUE, or list it as an end"
	const next = "work := FALSE; done := TRUE; END_IF;"
	for work, want := range map[string]string{
		"IF work AND near THEN " + next:                                               waits,
		"t(IN := work AND near, PT := T#1s); IF t.Q THEN " + next:                     waits, // the timer waits for an input
		"t(IN := work, PT := T#1s); IF work AND near AND t.Q THEN " + next:            waits,
		"IF near THEN t(IN := work, PT := T#1s); END_IF; IF t.Q THEN " + next:         waits,
		"t(IN := work, PT := T#1s); IF near THEN n := 1; ELSIF t.Q THEN " + next:      waits, // near hides it
		"t(IN := done, PT := T#1s); IF t.Q OR near THEN " + next:                      waits, // it runs in another step
		"t(IN := work, PT := T#1s); IF NOT t.Q AND near THEN " + next:                 waits,
		"t(IN := work, PT := T#1s); IF NOT t.Q OR near THEN " + next:                  "", // at once
		"work := work AND NOT near;":                                                  waits,
		"done := (work AND near OR done) AND NOT ready; work := work AND NOT done;":   waits,
		"IF near THEN RETURN; END_IF; t(IN := work, PT := T#1s); IF t.Q THEN " + next: waits,
		"CASE n OF 1: work := FALSE; END_CASE;":                                       waits,
		"WHILE near DO work := FALSE; END_WHILE;":                                     waits,
		"lamp := near;":                                                                 stuck,
		"IF near THEN work := TRUE; END_IF;":                                            stuck,
		"t(IN := work, PT := T#1s); IF done AND t.Q THEN " + next:                       stuck,
		"t(IN := work, PT := T#1s); IF work AND t.Q THEN " + next:                       "",
		"IF t.Q THEN work := FALSE; END_IF; t(IN := work, PT := T#1s);":                 "", // by the next scan
		"t(IN := work, PT := T#1s, Q => late); IF late THEN " + next:                    "",
		"t(IN := work, PT := T#1s); IF near OR t.ET >= T#1s THEN " + next:               "",
		"t(IN := work, PT := T#1s); IF near THEN RETURN; END_IF; IF t.Q THEN " + next:   waits,
		"t(IN := work, PT := T#1s); IF near THEN work := FALSE; ELSIF t.Q THEN " + next: "",
		// With near and go the next test begins before t was switched off, and there is no edge.
		"t(IN := work, PT := T#1s); edge(CLK := t.Q); IF edge.Q THEN " + next:                                                                            waits,
		"t(IN := work, PT := T#1s); edge(CLK := t.Q); IF edge.Q THEN t(IN := FALSE); edge(CLK := FALSE); " + next:                                        "",
		"t(IN := work, PT := T#1s); work := AND(work, NOT (near OR t.Q));":                                                                               "",
		"pulse(IN := work, PT := T#1s); IF NOT pulse.Q THEN " + next:                                                                                     "",
		"watch(active := work); IF watch.late THEN " + next:                                                                                              "",
		"watch(active := near); IF watch.late THEN " + next:                                                                                              waits,
		"IF near THEN work := FALSE; ELSE work := FALSE; END_IF;":                                                                                        "",
		"CASE n OF 1: work := FALSE; ELSE work := FALSE; END_CASE;":                                                                                      "",
		"IF work THEN n := n + 1; END_IF; IF n > 500 THEN n := 0; " + next:                                                                               "",
		"IF seconds > 5.0 THEN " + next:                                                                                                                  "seconds",
		"t(IN := work, PT := T#1s); done := (work AND (near OR t.Q) OR done) AND NOT ready; work := work AND NOT done;":                                  "",
		"t(IN := work, PT := T#1s); failing := TRUE; IF near THEN n := 1; ELSIF t.Q THEN n := 2; ELSE failing := FALSE; END_IF; IF failing THEN " + next: "",
	} {
		text := chainHead + work + chainTail
		if want == "seconds" {
			require.Equal(t, []string{waits}, textsOf(about(chainWarnings(t, text, nil, "ready", "work", "done"), "the step ")))
			times := func(o *st.VetOptions) {
				o.Passes = passSeconds
			}
			require.Empty(t, about(chainWarnings(t, text, times, "ready", "work", "done"), "the step "))
			continue
		}
		var all []string
		if want != "" {
			all = []string{want}
		}
		require.ElementsMatch(t, all, textsOf(about(chainWarnings(t, text, nil, "ready", "work", "Done"), "the step ")), work)
	}
}

// Ends need no way out, a step in which a run begins waits for its start, and what is never set is
// reported.
func TestVetChainEnds(t *testing.T) {
	t.Parallel()
	text := `PROGRAM p
VAR_INPUT go : BOOL; END_VAR
VAR ready : BOOL := TRUE; lost, work, done : BOOL; END_VAR
IF lost THEN ready := TRUE; lost := FALSE; END_IF;
IF ready AND go THEN ready := FALSE; work := TRUE; END_IF;
IF work AND NOT go THEN work := FALSE; done := TRUE; END_IF;
END_PROGRAM`
	never := "p:3:27: warning: the step lost is never entered; set it to TRUE somewhere, or remove it"
	waits := "p:6:4: warning: the step work may wait without a time limit; set it to FALSE by a timer that runs in it whatever the inputs are"
	stuck := "p:3:39: warning: the step done has no way out and is no end; set it to FALSE while it is TRUE, or list it as an end"
	for _, c := range []struct{ starts, ends, want []string }{
		{nil, nil, []string{never, stuck, waits}},
		{nil, []string{"DONE"}, []string{never, waits}},
		{[]string{"Lost"}, []string{"done"}, []string{waits}},
		{[]string{"lost", "work"}, []string{"done"}, nil},
	} {
		change := func(o *st.VetOptions) { o.Starts, o.Ends, o.Shown = c.starts, c.ends, o.Steps }
		require.Equal(t, c.want, chainWarnings(t, text, change, "ready", "lost", "work", "done", "nothing"))
	}
}

// Steps may be elements, members, outputs of RS, or lie in an instance.
func TestVetChainPlaces(t *testing.T) {
	t.Parallel()
	const head = "TYPE Chain : STRUCT a, b, c : BOOL; END_STRUCT; END_TYPE\nFUNCTION_BLOCK Test VAR_INPUT go : BOOL; END_VAR VAR a : BOOL := TRUE; b, c : BOOL; t : TON; END_VAR\n" +
		"t(IN := b, PT := T#1s); IF a AND go THEN a := FALSE; b := TRUE; END_IF; IF b AND t.Q THEN b := FALSE; c := TRUE; END_IF; IF c AND go THEN c := FALSE; a := TRUE; END_IF;\nEND_FUNCTION_BLOCK\n" +
		"PROGRAM p VAR_INPUT go : BOOL; END_VAR VAR t, u : TON; i : INT;\ns : ARRAY [1..3] OF BOOL := [TRUE];\nx : Chain := (a := TRUE);\na, b, c : RS;\ntest, other : Test; END_VAR\n"
	array, member, latch, instance := []string{"s[1]", "s[2]", "s[3]"}, []string{"x.a", "x.b", "x.c"}, []string{"a.Q1", "b.Q1", "c.Q1"}, []string{"test.a", "test.b", "test.c"}
	waits := func(place, name string) []string {
		return []string{"p:" + place + ": warning: the step " + name + " may wait without a time limit; set it to FALSE by a timer that runs in it whatever the inputs are"}
	}
	for _, c := range []struct {
		steps []string
		body  string
		want  []string
	}{
		{array, "t(IN := s[2], PT := T#1s); IF s[1] AND go THEN s[1] := FALSE; s[2] := TRUE; END_IF; IF s[2] AND t.Q THEN s[2] := FALSE; s[3] := TRUE; END_IF; IF s[3] AND go THEN s[3] := FALSE; s[1] := TRUE; END_IF;", waits("10:146", "s[3]")},
		{array, "t(IN := NOT s[1], PT := T#1s); IF s[i] AND go THEN s[i] := FALSE; s[i + 1] := TRUE; END_IF; IF t.Q THEN FOR i := 1 TO 3 DO s[i] := FALSE; END_FOR; s[1] := TRUE; END_IF;", nil},
		{member, "t(IN := x.b, PT := T#1s); IF x.a AND go THEN x.a := FALSE; x.b := TRUE; END_IF; IF x.b AND t.Q THEN x.b := FALSE; x.c := TRUE; END_IF; IF x.c AND go THEN x.c := FALSE; x.a := TRUE; END_IF;", waits("10:139", "x.c")},
		{latch, "t(IN := b.Q1, PT := T#1s); a(S := c.Q1 AND go OR NOT (a.Q1 OR b.Q1 OR c.Q1), R1 := b.Q1); b(S := a.Q1 AND go, R1 := c.Q1); c(S := b.Q1 AND t.Q, R1 := a.Q1);", append(waits("8:1", "a.Q1"), waits("8:7", "c.Q1")...)},
		{instance, "test(go := go);", waits("9:1", "test.c")},
	} {
		text := head + c.body + "\nEND_PROGRAM"
		all := chainWarnings(t, text, func(o *st.VetOptions) { o.Ends = nil }, c.steps...)
		require.ElementsMatch(t, c.want, about(all, "the step "), c.body)
	}
}

// Two steps are not active in one scan: what is written in one and in another is not written twice. A
// step that is an output itself may be set at any number of places.
func TestVetChainWritesOnce(t *testing.T) {
	t.Parallel()
	const head = "PROGRAM p VAR_INPUT go : BOOL; END_VAR VAR a : BOOL := TRUE; b : BOOL; END_VAR VAR_OUTPUT c : BOOL; lamp : BOOL; END_VAR\n" +
		"IF a AND go THEN a := FALSE; b := TRUE; END_IF; IF b AND go THEN b := FALSE; c := TRUE; END_IF; IF c AND go THEN c := FALSE; a := TRUE; END_IF;\n"
	for body, twice := range map[string]bool{
		"IF a THEN lamp := TRUE; END_IF; IF b THEN lamp := FALSE; END_IF;":                             false,
		"IF a AND go THEN lamp := TRUE; END_IF; IF (b OR c) AND go THEN lamp := FALSE; END_IF;":        false,
		"IF a OR b THEN lamp := TRUE; END_IF; IF b OR c THEN lamp := FALSE; END_IF;":                   true,
		"IF a OR go THEN lamp := TRUE; END_IF; IF b THEN lamp := FALSE; END_IF;":                       true,
		"IF a THEN lamp := TRUE; END_IF; IF NOT b THEN lamp := FALSE; END_IF;":                         false, // an override
		"IF a THEN IF go THEN lamp := TRUE; END_IF; ELSE ; END_IF; IF c THEN lamp := FALSE; END_IF;":   false,
		"IF go THEN lamp := a; END_IF; IF NOT go THEN IF a THEN lamp := FALSE; END_IF; ELSE ; END_IF;": true,
		"IF a THEN lamp := TRUE; ELSE lamp := go; END_IF; IF a AND b THEN lamp := FALSE; END_IF;":      true,
	} {
		found := about(chainWarnings(t, head+body+"\nEND_PROGRAM", nil, "a", "b", "c"), "is written")
		require.Equal(t, twice, len(found) > 0, "%s\n%v", body, found)
		p := compiled(t, head+body+"\nEND_PROGRAM")
		noted := about(notesOf(t, p, st.VetOptions{Steps: []string{"a", "b", "c"}, Main: p.Blocks[0]}), "may be overridden")
		require.Equal(t, strings.Contains(body, "NOT b"), len(noted) > 0, body)
	}
}

// The first step that is TRUE counts: a step is left as well where one ahead of it is set.
func TestVetChainOrder(t *testing.T) {
	t.Parallel()
	for body, want := range map[string]string{
		"IF work AND near THEN done := TRUE; END_IF;":                                   "may wait without a time limit",
		"t(IN := work, PT := T#1s); IF work AND t.Q THEN done := TRUE; RETURN; END_IF;": "",
		// With near, done is reset in the scan that sets it, and work is active again.
		"t(IN := work, PT := T#1s); IF work AND t.Q THEN done := TRUE; END_IF;":         "may wait without a time limit",
		"t(IN := work, PT := T#1s); IF work AND t.Q THEN n := 2; END_IF;":               "has no way out",
		"t(IN := work, PT := T#1s); done := work AND t.Q; IF done THEN RETURN; END_IF;": "",
	} {
		found := about(chainWarnings(t, chainHead+body+chainTail, nil, "done", "work", "ready"), "the step work")
		require.Equal(t, want != "", len(found) > 0, "%s\n%v", body, found)
		if want != "" {
			require.Contains(t, found[0], want, body)
		}
	}
}

// A chain whose blocks call one another too often is given up, and that is said.
func TestVetChainIsBounded(t *testing.T) {
	t.Parallel()
	var text strings.Builder
	text.WriteString("FUNCTION_BLOCK b0 VAR_INPUT i : BOOL; END_VAR VAR_OUTPUT q : BOOL; END_VAR q := i; END_FUNCTION_BLOCK\n")
	for i := range 40 {
		fmt.Fprintf(&text, "FUNCTION_BLOCK b%d VAR_INPUT i : BOOL; END_VAR VAR_OUTPUT q : BOOL; END_VAR VAR x : b%d; END_VAR x(i := i); x(i := x.q); q := x.q; END_FUNCTION_BLOCK\n", i+1, i)
	}
	text.WriteString("PROGRAM p VAR_INPUT go : BOOL; END_VAR VAR a : BOOL := TRUE; b : BOOL; x : b40; END_VAR x(i := go); IF a AND x.q THEN a := FALSE; b := TRUE; END_IF; IF b AND x.q THEN b := FALSE; a := TRUE; END_IF; END_PROGRAM")
	require.Equal(t, []string{"p:42:44: warning: the steps from a on are not looked at for ways out: there are too many statements"}, chainWarnings(t, text.String(), nil, "a", "b"))
}
