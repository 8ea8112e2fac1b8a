package binding_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sequence/binding"
)

func bound(t *testing.T, doc, program string) *binding.Logic {
	t.Helper()
	l, _, err := binding.New(parsed(t, doc), "press.st", []byte(program))
	require.NoError(t, err)
	return l
}

// listed is what a controller shows of its program, a line each.
func listed(t *testing.T, c sequence.Controller) string {
	t.Helper()
	lister, ok := c.(sequence.Lister)
	require.True(t, ok)
	var b strings.Builder
	for _, l := range lister.Listing() {
		b.WriteString(strings.TrimRight(l.Text+"  | "+strings.Join(l.Values, ", "), " ") + "\n")
	}
	return b.String()
}

// The branch of the present state is shown with the values of the variables in it, whatever the CASE
// calls its labels.
func TestListingOfABranch(t *testing.T) {
	t.Parallel()
	d := run(t, press(t))
	d.in.Trigger, d.in.Standstill, d.in.PositionMM, d.in.JudgeCause = true, true, 420, sequence.CauseBrakeOpen
	d.scans(3)
	text := listed(t, d.Controller)
	assert.Contains(t, text, "  PH_PRESS:  |")
	assert.Contains(t, text, "    quotient := 10 / quotient;  | quotient = 10\n")
	assert.Contains(t, text, "    IF cause = 3 THEN  | cause = 1\n")
	assert.NotContains(t, text, "PH_MOVE:")
	assert.Contains(t, text, "phase := PH_OK;  | phase = PH_PRESS\n", "names of values and comments are no variables")
}

// The line of a timer shows whether it has elapsed and how long it has run, and that of a counter its
// count.
func TestListingOfATimer(t *testing.T) {
	t.Parallel()
	program := "PROGRAM p VAR_INPUT go : BOOL; END_VAR VAR dwell : TON; turns : CTU; edge : R_TRIG; shut, moves : BOOL; step : (A, B); END_VAR\n" +
		"CASE step OF\nA:\ndwell(IN := go, PT := T#1s);\nturns(CU := dwell.Q, PV := 3);\nedge(CLK := go);\nIF DWELL.q THEN shut := TRUE; END_IF;\nB: step := A; END_CASE; moves := FALSE; END_PROGRAM"
	doc := "binding: p\nprogram: p.st\nblock: p\ninputs: {trigger: go}\n" +
		"outputs: {brake: {variable: shut, words: {open: false, closed: true}}, drive: {variable: moves, words: {off: false, move: true}}}\n" +
		"state: {variable: step, values: {A: a, B: b}}\n"
	d := run(t, bound(t, doc, program))
	d.in.Trigger = true
	d.scans(6)
	text := listed(t, d.Controller)
	assert.Regexp(t, `dwell\(IN := go, PT := T#1s\);  \| dwell\.Q = FALSE, dwell\.ET = T#\d+ms, go = TRUE\n`, text)
	assert.Contains(t, text, "turns(CU := dwell.Q, PV := 3);  | turns.Q = FALSE, turns.CV = 0, dwell.Q = FALSE, dwell.ET = ")
	assert.Contains(t, text, "edge(CLK := go);  | edge.Q = FALSE, go = TRUE\n")
	assert.Contains(t, text, "IF DWELL.q THEN shut := TRUE; END_IF;  | dwell.Q = FALSE, dwell.ET = ")
}

// With flags the lines that name the flag are shown, its declaration apart.
func TestListingOfAFlag(t *testing.T) {
	t.Parallel()
	d := run(t, bound(t, flagsDocument, flagsProgram))
	assert.Empty(t, listed(t, d.Controller), "no flag is set")
	d.in.Trigger = true
	d.scans(1)
	assert.Equal(t, "IF a AND go THEN b := TRUE; END_IF;  | a = TRUE, go = TRUE, b = FALSE\nIF NOT a AND go THEN a := TRUE; END_IF;  | a = TRUE, go = TRUE\n", listed(t, d.Controller))
}

// Variables that are watched stand in the image as what a document keeps does, and the state that
// names one tells it.
func TestWatch(t *testing.T) {
	t.Parallel()
	doc := strings.Replace(text(t, "press.yaml"), "cause: why", "watch: {tests: tests, at_mm: {variable: ax.pos, unit: um}, moves: wait.IN}\ncause: why", 1)
	l := bound(t, strings.Replace(doc, "{state: move, ", "{state: move, keep: [tests, at_mm], ", 1), text(t, "press.st"))
	about := l.About()
	require.Len(t, about.Kept, 3)
	require.Len(t, about.States[1].Kept, 2)
	d := run(t, l)
	d.in.Trigger, d.in.PositionMM = true, 12.5
	d.scans(2)
	var values []string
	for i := range about.Kept {
		values = append(values, about.Kept[i].InputText(&d.in))
	}
	assert.Equal(t, []string{"1", "12.5 mm", "true"}, values)
	for _, c := range []struct{ now, path, message string }{
		{"watch: {torque_nm: goal}", "$.watch.torque_nm", "torque_nm is the name of an input"},
		{"watch: {Tests: tests}", "$.watch.Tests", "a name must be lower-case letters"},
		{"watch: {tests: {value: 3}}", "$.watch.tests", "tests needs a variable"},
		{"watch: {tests: nothing}", "$.watch.tests", `Press has no variable "nothing"`},
	} {
		_, _, err := binding.New(parsed(t, strings.Replace(text(t, "press.yaml"), "cause: why", c.now+"\ncause: why", 1)), "press.st", []byte(text(t, "press.st")))
		require.ErrorContains(t, err, c.path+": "+c.message)
	}
}

// A cause that a variable has for a scan alone stays until there is another, or a pass.
func TestMomentaryCause(t *testing.T) {
	t.Parallel()
	program := strings.Replace(text(t, "press.st"), "wait(IN :=", "why := NONE;\nwait(IN :=", 1)
	d := run(t, bound(t, strings.Replace(text(t, "press.yaml"), "cause: why", "cause: {variable: why, momentary: true}", 1), program))
	d.in.Trigger = true
	d.scans(2)
	d.in.Clock += 1600 * 1e6
	fired := d.scans(2)
	assert.Equal(t, "not-there", fired.Cause)
	d.scans(5)
	assert.Equal(t, "not-there", d.Cause(), "the variable says none by now")
}

// After a pass there is none: it was that of a failure that was made good.
func TestMomentaryCauseMadeGood(t *testing.T) {
	t.Parallel()
	program := strings.NewReplacer("wait(IN :=", "why := NONE;\nwait(IN :=", "message := 'not there';\n      phase := PH_ERROR", "phase := PH_PRESS").Replace(text(t, "press.st"))
	d := run(t, bound(t, strings.Replace(text(t, "press.yaml"), "cause: why", "cause: {variable: why, momentary: true}", 1), program))
	d.in.Trigger = true
	d.scans(2)
	d.in.Clock += 1600 * 1e6
	d.scans(2)
	assert.Equal(t, "not-there", d.Cause())
	d.in.ProofLeftS = 400
	d.scans(2)
	assert.Equal(t, sequence.EndPass, press(t).About().States[d.StateIndex()].End)
	assert.Empty(t, d.Cause())
}

// Mutants compile, are in the states of the binding, and run.
func TestMutants(t *testing.T) {
	t.Parallel()
	l := press(t)
	mutants := l.Mutants()
	require.NotEmpty(t, mutants)
	states := map[string]bool{}
	for i := range mutants {
		states[mutants[i].InState] = true
		made, err := mutants[i].Make()
		require.NoError(t, err, mutants[i].ID)
		run(t, made).scans(2)
	}
	for _, s := range []string{"ready", "move", "press", ""} {
		assert.True(t, states[s], s)
	}
	assert.False(t, states["PH_MOVE"])
}

// Review is for what no run speaks of: what the program leaves out, and what the binding does.
func TestReview(t *testing.T) {
	t.Parallel()
	var texts []string
	for _, p := range press(t).Review() {
		assert.True(t, p.Warning)
		texts = append(texts, p.Message)
	}
	all := strings.Join(texts, "\n")
	assert.Contains(t, all, "not bound, so that the program does not know of them: cancel, ")
	assert.Contains(t, all, "the input both is never read")
	assert.Contains(t, all, "inputs of Press that nothing sets: half")
	assert.NotContains(t, all, "PH_OK", "it is an end")
}

// Steps that are told by flags are looked at as states are: with their ends, and with the one in which
// a run begins. What the binding reads or writes is not idle.
func TestReviewOfSteps(t *testing.T) {
	t.Parallel()
	review := func(document string) string {
		var texts []string
		for _, p := range bound(t, document, flagsProgram).Review() {
			texts = append(texts, p.Message)
		}
		return strings.Join(texts, "\n")
	}
	all := review(flagsDocument)
	assert.Contains(t, all, "the step a may wait without a time limit")
	assert.NotContains(t, all, "the step b ", "it is an end")
	assert.NotContains(t, all, "b is written and never read", "the binding reads it")
	assert.NotContains(t, review(flagsDocument+"start: {a: true}\n"), "the step a ")
	assert.Contains(t, review(strings.Replace(flagsDocument, "  ends: {second: stop}\n", "  ends: {first: stop}\n", 1)), "the step b has no way out and is no end")
}

// What the binding says of the time counts as a limit: the time in a state, and the scans that have passed.
func TestReviewOfWaits(t *testing.T) {
	t.Parallel()
	const program = `PROGRAM p
VAR_INPUT go, on : BOOL; seconds : REAL; END_VAR
VAR_OUTPUT drive : INT; close : BOOL; END_VAR
VAR s, n : INT; passed : DINT; counted : DINT; END_VAR
IF s = 1 THEN counted := counted + passed; ELSE counted := 0; END_IF;
CASE s OF
  0: IF go THEN s := 1; END_IF;
  1: IF %s THEN s := 2; END_IF;
  2: s := 0;
END_CASE;
END_PROGRAM`
	const document = `
binding: p
program: p.st
block: p
inputs: {trigger: go, drive_on: on, in_state_s: seconds}
outputs:
  drive: {variable: drive, words: {off: 0, hold: [1, 2]}}
  brake: {variable: close, words: {open: FALSE, closed: TRUE}}
state:
  variable: s
  values: {"0": idle, "1": work, "2": done}
  ends: {done: pass}
scans: passed
`
	for condition, waits := range map[string]bool{
		"on":                          true,
		"on OR seconds > 30.0":        false,
		"on OR counted > 3000":        false,
		"on AND seconds > 30.0":       true,
		"on AND NOT on OR passed < 0": true,
	} {
		found := false
		for _, p := range bound(t, document, fmt.Sprintf(program, condition)).Review() {
			found = found || strings.Contains(p.Message, "the state 1 may wait")
		}
		assert.Equal(t, waits, found, condition)
	}
}

// Tabs go to the next fourth column, comments over several lines name nothing, and a real number has
// four figures.
func TestListingIsWrittenForAScreen(t *testing.T) {
	t.Parallel()
	program := "PROGRAM p VAR_INPUT go : BOOL; END_VAR VAR high : REAL := 1.0E30; ratio : LREAL := 0.123456; shut, moves : BOOL; step : (A, B); END_VAR\n" +
		"CASE step OF\nA:\n\tshut\t:= go; (* high\n  and ratio *) moves := high > ratio;\n\t// go\n/* shut */\n  B: step := A; END_CASE; END_PROGRAM"
	doc := "binding: p\nprogram: p.st\nblock: p\ninputs: {trigger: go}\n" +
		"outputs: {brake: {variable: shut, words: {open: false, closed: true}}, drive: {variable: moves, words: {off: false, move: true}}}\n" +
		"state: {variable: step, values: {A: a, B: b}}\n"
	d := run(t, bound(t, doc, program))
	d.scans(1)
	lister, ok := d.Controller.(sequence.Lister)
	require.True(t, ok)
	assert.Equal(t, []sequence.Line{
		{Number: 3, Text: "A:"},
		{Number: 4, Text: "    shut    := go; (* high", Values: []string{"shut = FALSE", "go = FALSE"}},
		{Number: 5, Text: "  and ratio *) moves := high > ratio;", Values: []string{"moves = TRUE", "high = 1e+30", "ratio = 0.1235"}},
	}, lister.Listing()[:3])
}
