package st_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/sequence/st"
)

// warnings are those of vet, without their excerpts and without notes.
func warnings(t *testing.T, text string, options st.VetOptions) []string {
	t.Helper()
	return warningsOf(t, compiled(t, text), options)
}

func warningsOf(t *testing.T, p *st.Program, options st.VetOptions) []string {
	t.Helper()
	var list []string
	for _, w := range p.Vet(options) {
		require.True(t, w.Warning)
		if w.Note {
			continue
		}
		require.NotEmpty(t, w.Excerpt)
		w.Excerpt, w.File = "", "p"
		list = append(list, w.Error())
	}
	return list
}

// notes are those of vet.
func notes(t *testing.T, text string, options st.VetOptions) []string {
	t.Helper()
	return notesOf(t, compiled(t, text), options)
}

func notesOf(t *testing.T, p *st.Program, options st.VetOptions) []string {
	t.Helper()
	var list []string
	for _, n := range p.Vet(options) {
		if n.Note {
			require.Empty(t, n.Excerpt)
			list = append(list, n.Error())
		}
	}
	return list
}

func TestVetUnused(t *testing.T) {
	t.Parallel()
	require.Equal(t, []string{
		"p:2:15: warning: the input unread is never read; read it, or remove it",
		"p:3:18: warning: the output unset is never written; write it, or remove it",
		"p:4:14: warning: stored is written and never read; read it, or remove it",
		"p:4:22: warning: idle is never used; remove it",
		"p:4:34: warning: never is read and never written, so it is always FALSE; write it, or remove it",
	}, warnings(t, `PROGRAM p
VAR_INPUT go, unread : BOOL; END_VAR
VAR_OUTPUT lamp, unset : BOOL; END_VAR
VAR counter, stored, idle : INT; never : BOOL; param : INT := 3; t : TON; i : INT; a : ARRAY [1..3] OF BOOL; END_VAR
VAR CONSTANT N : INT := 3; END_VAR
VAR b : ARRAY [1..N] OF BOOL; END_VAR
lamp := go AND NOT never AND counter > param;
counter := counter + 1;
stored := counter;
t(IN := go);
FOR i := 1 TO 3 DO a[i] := t.Q; END_FOR;
b[1] := a[2];
lamp := lamp OR b[1];
END_PROGRAM`, st.VetOptions{})[:5])
}

// A default that is overwritten in some branches is no second place; two branches that exclude
// each other are none, nor is what stands behind a RETURN.
func TestVetDoubleWrites(t *testing.T) {
	t.Parallel()
	const head = `PROGRAM p VAR_INPUT a, b : BOOL; n : INT; END_VAR VAR_OUTPUT x : BOOL; y : ARRAY [1..2] OF BOOL; END_VAR
`
	const rest = "\ny[1] := a; y[2] := b AND n > 0;\nEND_PROGRAM"
	for body, want := range map[string][]string{
		"x := FALSE; IF a THEN x := TRUE; END_IF;":                                   nil,
		"IF a THEN x := TRUE; ELSIF b THEN x := FALSE; ELSE x := b; END_IF;":         nil,
		"CASE n OF 1: x := TRUE; 2: x := FALSE; IF a THEN x := b; END_IF; END_CASE;": nil,
		"IF a THEN x := TRUE; RETURN; END_IF; x := FALSE;":                           nil,
		"IF a THEN x := TRUE; END_IF; IF b THEN x := FALSE; END_IF;":                 {"p:2:40: warning: the output x is written twice in line 2, which can happen in one scan; only the last value comes out"},
		"IF a THEN x := TRUE; END_IF;\nx := FALSE;":                                  {"p:3:1: warning: the output x is written in line 2 and again in line 3, which can happen in one scan; only the last value comes out"},
		"x := a;\nx := b;": {"p:3:1: warning: the output x is written in line 2 and again in line 3, which can happen in one scan; only the last value comes out"},
		"x := FALSE;\nCASE n OF 1: x := a; END_CASE;\nCASE n OF 2: x := b; END_CASE;": {"p:4:14: warning: the output x is written in line 3 and again in line 4, which can happen in one scan; only the last value comes out"},
		"x := a; y[1] := b; IF b THEN y[2] := a; y[2] := TRUE; END_IF;":               {"p:2:41: warning: the output y is written twice in line 2, in line 2 and again in line 3, which can happen in one scan; only the last value comes out"},
	} {
		require.Equal(t, want, warnings(t, head+body+rest, st.VetOptions{}), body)
	}
}

// What a condition behind the states changes is an override, of which a note tells; of a write without a
// condition the earlier one never counts.
func TestVetOverrides(t *testing.T) {
	t.Parallel()
	const head = "PROGRAM p VAR_INPUT a, b : BOOL; n : INT; END_VAR VAR_OUTPUT x, ramp : REAL := 0.5; END_VAR\n"
	const states = "CASE n OF\n1: x := 1.0;\n2: x := 2.0; IF a THEN x := 2.5; END_IF;\n3: ;\nEND_CASE;\n"
	const stop = "IF b THEN x := 0.0; END_IF;\n"
	for body, want := range map[string]struct{ note, warning string }{
		"x := 0.0;\n" + states: {},
		states + stop:          {note: "test.st:7:11: note: the output x is written in line 3 or 4 and may be overridden in line 7 of the same scan"},
		states + stop + stop:   {note: "test.st:7:11: note: the output x is written in line 3 or 4 and may be overridden in line 7 or 8 of the same scan"},
		states + "x := 0.0;":   {warning: "p:7:1: warning: the output x is written in line 3 or 4 and again in line 7, which can happen in one scan; only the last value comes out"},
		stop + states + stop: {warning: "p:4:4: warning: the output x is written in line 2 and again in line 4, in line 2 and again in line 5, in line 2, 4 or 5 and again in line 8, " +
			"which can happen in one scan; only the last value comes out"},
	} {
		text := head + body + "END_PROGRAM"
		var found, noted []string
		if want.warning != "" {
			found = []string{want.warning}
		}
		if want.note != "" {
			noted = []string{want.note}
		}
		require.ElementsMatch(t, found, about(warnings(t, text, st.VetOptions{}), "is written"), body)
		require.Equal(t, noted, notes(t, text, st.VetOptions{}), body)
	}
}

// chartHead and chartTail frame the branches of a program with states.
const chartHead = `TYPE State : (Ready, Work, Done); END_TYPE
PROGRAM p
VAR_INPUT go, near : BOOL; seconds : REAL; END_VAR
VAR_OUTPUT lamp : BOOL; END_VAR
VAR s, before : State; t, u : TON; n : INT; flag : BOOL; END_VAR
lamp := go AND near AND seconds > 0.0 AND t.Q AND u.Q AND n > 0 AND flag AND before = s;
`

// A state is left in time if a timer that runs whatever the inputs are leads out of it.
func TestVetWaits(t *testing.T) {
	t.Parallel()
	const ready = "CASE s OF Ready: IF go THEN s := Work; n := 0; ELSIF near THEN s := Done; END_IF;\n"
	const end = "Done: IF near THEN s := Ready; ELSE s := Work; END_IF;\nEND_CASE;\nEND_PROGRAM"
	const waits = "p:8:1: warning: the state Work may wait without a time limit; add a way out by a timer that runs in it whatever the inputs are"
	const stuck = "p:8:1: warning: the state Work has no way out and is no end; set s in it, or list it as an end"
	for work, want := range map[string]string{
		"IF near THEN s := Done; END_IF;":                                               waits,
		"t(IN := near); IF t.Q THEN s := Done; END_IF;":                                 waits, // the timer waits for an input
		"t(IN := TRUE); IF t.Q AND near THEN s := Done; END_IF;":                        waits,
		"IF near THEN t(IN := TRUE); END_IF; IF t.Q THEN s := Done; END_IF;":            waits,
		"t(IN := TRUE); IF t.Q THEN s := Work; END_IF; IF near THEN s := Done; END_IF;": waits, // to itself
		"t(IN := TRUE); IF go THEN lamp := near; ELSIF t.Q THEN s := Done; END_IF;":     waits, // go hides it
		"lamp := near;": stuck,
		"s := Work;":    stuck,
		"t(IN := TRUE); IF near THEN s := Done; ELSIF t.Q THEN s := Done; END_IF;": "",
		"t(IN := TRUE); IF near OR t.Q THEN s := Done; t(IN := FALSE); END_IF;":    "",
		"t(IN := TRUE); IF t.ET > T#5s THEN s := Done; END_IF;":                    waits, // without PT its time stands at 0
		"t(IN := TRUE, PT := T#6s); IF t.ET > T#5s THEN s := Done; END_IF;":        "",
		"n := n + 1; IF n > 500 THEN s := Done; END_IF;":                           "",
		"IF near THEN s := Done; ELSE s := Ready; END_IF;":                         "",
		"s := Done;": "",
		"t(IN := TRUE); flag := t.Q; IF flag THEN s := Done; END_IF;":                                                            "",
		"t(IN := s = Work, Q => flag); IF flag AND s = Work THEN s := Done; END_IF;":                                             "",
		"IF seconds > 5.0 THEN s := Done; END_IF;":                                                                               "seconds",
		"IF near THEN s := Done; END_IF; END_CASE; u(IN := s = before); before := s; IF u.Q THEN s := Ready; END_IF; CASE s OF ": "",
	} {
		text := chartHead + ready + "Work: " + work + "\n" + end
		if want == "seconds" {
			require.Equal(t, []string{waits}, stateWarnings(t, text, st.VetOptions{}))
			require.Empty(t, stateWarnings(t, text, st.VetOptions{Passes: passSeconds}))
			continue
		}
		var all []string
		if want != "" {
			all = []string{want}
		}
		require.ElementsMatch(t, all, stateWarnings(t, text, st.VetOptions{}), work)
		if want == waits {
			require.Empty(t, stateWarnings(t, text, st.VetOptions{Starts: []string{"Work"}}), "a run begins in it")
		}
	}
}

// stateWarnings are those about states.
func stateWarnings(t *testing.T, text string, options st.VetOptions) []string {
	t.Helper()
	return about(warnings(t, text, options), "the state ")
}

// textsOf are warnings without their places.
func textsOf(all []string) []string {
	texts := make([]string, len(all))
	for i, w := range all {
		_, texts[i], _ = strings.Cut(w, "warning: ")
	}
	return texts
}

// about are the warnings with some words.
func about(all []string, words string) []string {
	return slices.DeleteFunc(all, func(w string) bool { return !strings.Contains(w, words) })
}

// Ends need no way out; what is never entered is reported.
func TestVetEnds(t *testing.T) {
	t.Parallel()
	text := chartHead + "CASE s OF Ready: IF go THEN s := Done; END_IF;\nWork: s := Ready;\nDone: ;\nEND_CASE;\nEND_PROGRAM"
	never := "p:8:1: warning: the state Work is never entered; set s to it somewhere, or remove it"
	require.Contains(t, warnings(t, text, st.VetOptions{}), "p:9:1: warning: the state Done has no way out and is no end; set s in it, or list it as an end")
	for _, end := range []string{"Done", "State#done", "2"} {
		require.Equal(t, []string{never}, stateWarnings(t, text, st.VetOptions{Ends: []string{end}}), end)
	}
	require.Empty(t, stateWarnings(t, text, st.VetOptions{Ends: []string{"Done"}, Starts: []string{"work"}}), "a run begins in it")
}

// States may be named by constants.
func TestVetStatesOfConstants(t *testing.T) {
	t.Parallel()
	text := `PROGRAM p
VAR_INPUT go : BOOL; END_VAR
VAR CONSTANT IDLE : INT := 0; RUN : INT := 10; DONE : INT := 90; LOST : INT := 91; END_VAR
VAR s : INT; t : TON; END_VAR
t(IN := s = RUN, PT := T#1s);
CASE s OF
  IDLE: IF go THEN s := RUN; END_IF;
  RUN: IF t.Q THEN s := DONE; END_IF;
  DONE: s := DONE;
  LOST: s := IDLE;
END_CASE;
END_PROGRAM`
	require.Equal(t, []string{
		"p:9:3: warning: the state DONE has no way out and is no end; set s in it, or list it as an end",
		"p:10:3: warning: the state LOST is never entered; set s to it somewhere, or remove it",
	}, warnings(t, text, st.VetOptions{}))
}

// The next state may be kept in a variable of its own, from which the state is taken at the end.
func TestVetNextState(t *testing.T) {
	t.Parallel()
	text := `PROGRAM p
VAR_INPUT go : BOOL; END_VAR
VAR s, next : INT; t : TON; END_VAR
CASE s OF
  0: IF go THEN next := 10; END_IF;
  10: t(IN := TRUE); IF t.Q THEN next := 20; END_IF;
  20: IF go THEN next := 0; END_IF;
  30: next := 0;
END_CASE;
s := next;
END_PROGRAM`
	require.Equal(t, []string{
		"p:7:3: warning: the state 20 may wait without a time limit; add a way out by a timer that runs in it whatever the inputs are",
		"p:8:3: warning: the state 30 is never entered; set s to it somewhere, or remove it",
	}, warnings(t, text, st.VetOptions{}))
}

// passSeconds tells a program in seconds how long it is in a state.
func passSeconds(m *st.Machine, inState, _ time.Duration) {
	if seconds, err := m.Program().Find(m.Block(), "seconds"); err == nil {
		m.PutReal(seconds, inState.Seconds())
	}
}
