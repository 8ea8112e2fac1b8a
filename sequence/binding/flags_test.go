package binding_test

import (
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sequence/binding"
)

// A program as it is wired: contacts that open when something is wrong, and an output for each mode.
const (
	wiredProgram = `PROGRAM wired
VAR_INPUT estopOk, brakeIsOpen : BOOL; END_VAR
VAR_OUTPUT goes, pushes, stands, energise, couple, askDown, askUp, slipped, late : BOOL; END_VAR
VAR downOnly : BOOL := TRUE; step : INT; END_VAR
couple := estopOk;
step := SEL(brakeIsOpen, 1, 2);
END_PROGRAM`
	wiredDocument = `
binding: wired
program: wired.st
block: wired
inputs:
  estop: {variable: estopOk, inverted: true}
  brake_closed: {variable: brakeIsOpen, inverted: true}
outputs:
  drive: {flags: {goes: move, pushes: press, stands: hold}, otherwise: off}
  brake: {flags: {energise: open}, otherwise: closed}
  decouple: {variable: couple, inverted: true}
  ask: {flags: {askDown: down, askUp: up}, otherwise: none}
  alarm: {flags: {late: too late}}
state:
  variable: step
  values: {0: first, 1: closed, 2: opened}
  ends: {closed: pass}
cause: {flags: {slipped: slipped, late: no-answer}}
watch: {coupled: {variable: couple, inverted: true}}
params: {test_up: {variable: downOnly, inverted: true}}
`
)

// wired is the program with further statements.
func wired(tb testing.TB, statements string) *binding.Logic {
	tb.Helper()
	program := wiredProgram[:len(wiredProgram)-len("END_PROGRAM")] + statements + "\nEND_PROGRAM"
	l, warnings, err := binding.New(parsed(tb, wiredDocument), "wired.st", []byte(program))
	require.NoError(tb, err)
	require.Empty(tb, warnings)
	return l
}

// A BOOL that says the opposite of a signal is bound inverted, on both sides and as a parameter.
func TestInverted(t *testing.T) {
	t.Parallel()
	l := wired(t, "")
	for _, pressed := range []bool{false, true} {
		d := run(t, l)
		d.in.Estop, d.in.BrakeClosed = pressed, pressed
		d.scans(1)
		assert.Equal(t, pressed, d.out.Decouple, "couple is estopOk, which is FALSE while the stop is pressed")
		assert.Equal(t, map[bool]string{false: "opened", true: "closed"}[pressed], l.About().States[d.StateIndex()].Name)
		assert.Equal(t, map[bool]string{false: "false", true: "true"}[pressed], string(l.About().Kept[0].AppendInput(nil, &d.in)))
	}
	up, ok := l.About().Param("test_up")
	require.True(t, ok)
	assert.False(t, up.Boolean, "downOnly is TRUE")
	set, err := wired(t, "askUp := NOT downOnly;").With(sequence.Values{"test_up": "true"})
	require.NoError(t, err)
	d := run(t, set)
	d.scans(1)
	assert.Equal(t, sequence.AskUp, d.out.Ask)
}

// One BOOL for each word of an output: the first that is set counts, and the rest is what no flag says.
func TestFlagsOfOutputs(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		set  string
		want sequence.Outputs
	}{
		{"", sequence.Outputs{Drive: sequence.DriveOff, Brake: sequence.BrakeClosed}},
		{"goes := TRUE;", sequence.Outputs{Drive: sequence.DriveMove, Brake: sequence.BrakeClosed}},
		{"stands := TRUE; energise := TRUE;", sequence.Outputs{Drive: sequence.DriveHold, Brake: sequence.BrakeOpen}},
		{"stands := TRUE; pushes := TRUE; askUp := TRUE; askDown := TRUE;", sequence.Outputs{Drive: sequence.DrivePress, Brake: sequence.BrakeClosed, Ask: sequence.AskDown}},
		{"late := TRUE; askUp := TRUE;", sequence.Outputs{Drive: sequence.DriveOff, Brake: sequence.BrakeClosed, Ask: sequence.AskUp, Alarm: "too late"}},
	} {
		d := run(t, wired(t, c.set))
		d.scans(1)
		want := sequence.DefaultOutputs()
		want.Drive, want.Brake, want.Ask, want.Alarm, want.Decouple = c.want.Drive, c.want.Brake, c.want.Ask, c.want.Alarm, false
		assert.Equal(t, want, d.out, c.set)
	}
	assert.Equal(t, []string{"down", "up"}, wired(t, "").About().Asks)
}

func TestFlagsOfTheCause(t *testing.T) {
	t.Parallel()
	l := wired(t, "late := step = 2;")
	assert.Equal(t, []string{"no-answer", "slipped"}, l.About().Causes)
	d := run(t, l)
	d.in.BrakeClosed = true
	assert.Empty(t, d.scans(1).Cause)
	d.in.BrakeClosed = false
	assert.Equal(t, "no-answer", d.scans(1).Cause)
}

// Without a word for it, a scan in which no flag is set stops the controller.
func TestNoFlagIsSet(t *testing.T) {
	t.Parallel()
	doc := parsed(t, wiredDocument)
	doc.Outputs[0].Otherwise = ""
	l, _, err := binding.New(doc, "wired.st", []byte(wiredProgram))
	require.NoError(t, err)
	d := run(t, l)
	_, err = d.Scan(&d.in, &d.out)
	require.ErrorContains(t, err, "none of the flags of the output drive is set")
}

func TestFlagsAllocateNothing(t *testing.T) {
	d := run(t, wired(t, "goes := brakeIsOpen; late := estopOk;"))
	d.scans(3)
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		d.in.Clock += scan
		_, _ = d.Scan(&d.in, &d.out)
	}))
}

// What flags and parameters read or write is not idle, and is bound.
func TestReviewOfFlags(t *testing.T) {
	t.Parallel()
	l := wired(t, "goes := estopOk; pushes := goes; stands := goes; energise := goes; askDown := goes; askUp := downOnly; slipped := goes; late := goes;")
	for _, p := range l.Review() {
		assert.NotContains(t, p.Message, "outputs of wired that nothing reads")
		assert.NotContains(t, p.Message, "downOnly is")
	}
}

// A scale of 0 has no meaning, and is not taken for one that is left out.
func TestScaleOfZero(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"inputs: {torque_nm: {variable: a, scale: 0}}", "params: {load_nm: {variable: a, scale: 0.0}}", "watch: {load_nm: {scale: -0, variable: a}}"} {
		var d binding.Document
		require.ErrorContains(t, yaml.UnmarshalWithOptions([]byte(text), &d, yaml.Strict()), "; must be above 0", text)
	}
}
