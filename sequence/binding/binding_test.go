package binding_test

import (
	"os"
	"strings"
	"testing"
	"time"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sequence/binding"
)

const scan = 2 * time.Millisecond

func text(tb testing.TB, file string) string {
	tb.Helper()
	text, err := os.ReadFile("testdata/" + file)
	require.NoError(tb, err)
	return string(text)
}

func parsed(tb testing.TB, text string) binding.Document {
	tb.Helper()
	var d binding.Document
	require.NoError(tb, yaml.UnmarshalWithOptions([]byte(text), &d, yaml.Strict()))
	return d
}

func press(tb testing.TB) *binding.Logic {
	tb.Helper()
	l, warnings, err := binding.New(parsed(tb, text(tb, "press.yaml")), "press.st", []byte(text(tb, "press.st")))
	require.NoError(tb, err)
	require.Empty(tb, warnings)
	return l
}

// driven is a controller with its images.
type driven struct {
	sequence.Controller
	t   testing.TB
	in  sequence.Inputs
	out sequence.Outputs
}

func run(tb testing.TB, l sequence.Logic) *driven {
	tb.Helper()
	return &driven{Controller: l.New(scan), t: tb}
}

// scans runs a number of scans that must not fail, and returns the last change of state.
func (d *driven) scans(n int) sequence.Fired {
	d.t.Helper()
	var last sequence.Fired
	for range n {
		d.in.Clock += scan
		fired, err := d.Scan(&d.in, &d.out)
		require.NoError(d.t, err)
		if fired.OK {
			last = fired
		}
	}
	return last
}

func TestAboutABoundProgram(t *testing.T) {
	t.Parallel()
	about := press(t).About()
	assert.Equal(t, []string{"ready", "move", "press", "passed", "failed"}, about.StateNames())
	assert.Equal(t, "to the test position", about.States[1].Note)
	assert.True(t, about.States[2].SlipsBrake)
	assert.Equal(t, sequence.EndFail, about.End("failed"))
	assert.Equal(t, []string{"no-torque", "not-there"}, about.Causes)
	assert.Equal(t, []string{"trigger", "position_mm", "torque_nm", "standstill", "judge_cause", "proof_left_s"}, about.Inputs)
	assert.Equal(t, []string{"drive", "target_mm", "brake", "alarm"}, about.Outputs)
	for name, want := range map[string]float64{"goal_mm": 420, "half_mm": 210, "limit_s": 1.5, "load_nm": 0.0015} {
		p, ok := about.Param(name)
		require.True(t, ok, name)
		assert.InDelta(t, want, p.Number, 1e-9, name)
	}
	place, ok := about.Role("test_position")
	require.True(t, ok)
	assert.Equal(t, "goal_mm", place.Name)
}

// A run: what is written into the program comes in its units, and what it says comes out in ours.
func TestScan(t *testing.T) {
	t.Parallel()
	d := run(t, press(t))
	d.scans(3)
	assert.Equal(t, sequence.DriveHold, d.out.Drive)
	d.in.Trigger = true
	fired := d.scans(1)
	assert.Equal(t, sequence.Fired{OK: true, From: "ready", To: "move", FromIndex: 0, ToIndex: 1}, fired)
	assert.InDelta(t, 420, d.out.TargetMM, 1e-4)
	assert.Equal(t, sequence.DriveMove, d.out.Drive)
	d.scans(5)
	assert.Equal(t, 10*time.Millisecond, d.InState())
	d.in.PositionMM, d.in.Standstill = 419.5, true // 419500 um
	assert.Equal(t, "press", d.scans(1).To)
	d.scans(1)
	assert.Equal(t, sequence.BrakeClosed, d.out.Brake)
	d.in.JudgeCause = sequence.CauseMoved
	fired = d.scans(1)
	assert.Equal(t, "failed", fired.To)
	assert.Equal(t, "no-torque", fired.Cause)
	assert.Equal(t, "no-torque", d.Cause())
}

// A time that the program waits for passes by the clock of the bench, also when scans are left out.
func TestTimePassesByTheClock(t *testing.T) {
	t.Parallel()
	d := run(t, press(t))
	d.in.Trigger = true
	d.scans(2)
	d.in.Clock += 1500 * time.Millisecond
	fired := d.scans(1)
	assert.Equal(t, "failed", fired.To)
	assert.Equal(t, "not-there", fired.Cause)
	assert.Equal(t, "not there", d.out.Alarm)
	d.scans(1)
	assert.Equal(t, sequence.DriveOff, d.out.Drive)
}

// A program that counts scans receives how many have passed, those that were left out among them.
func TestScansThatHavePassed(t *testing.T) {
	t.Parallel()
	l, _, err := binding.New(parsed(t, strings.Replace(text(t, "press.yaml"), "roles:", "scans: passed\nwatch: {counted: counted}\nroles:", 1)), "press.st",
		[]byte(strings.NewReplacer("  half : INT", "  passed : DINT := 1;\n  half : INT", "  wait : TON;", "  wait : TON; counted : LREAL;", "END_VAR\n\n", "END_VAR\ncounted := counted + DINT_TO_LREAL(passed);\n").Replace(text(t, "press.st"))))
	require.NoError(t, err)
	d := run(t, l)
	counted := func() string { return string(l.About().Kept[0].AppendInput(nil, &d.in)) }
	d.scans(3)
	assert.Equal(t, "3", counted())
	d.in.Clock += 4 * scan // left out
	d.scans(1)
	assert.Equal(t, "8", counted())
}

// Values of parameters that a scenario or a rig sets reach the program, and so do those computed of
// them.
func TestWith(t *testing.T) {
	t.Parallel()
	l, err := press(t).With(sequence.Values{"half_mm": "100", "limit_s": "0.01"})
	require.NoError(t, err)
	d := run(t, l)
	d.in.Trigger = true
	d.scans(1)
	assert.InDelta(t, 200, d.out.TargetMM, 1e-4)
	assert.Equal(t, "failed", d.scans(6).To)
	_, err = press(t).With(sequence.Values{"half_mm": "100", "goal": "3"})
	require.ErrorContains(t, err, "the sequence has no parameter goal")
	_, err = press(t).With(sequence.Values{"both": "7"})
	require.Error(t, err)
}

// What a card cannot hold stays at its limit.
func TestIntegersStayAtTheirLimits(t *testing.T) {
	t.Parallel()
	d := run(t, press(t))
	d.in.TorqueNM, d.in.PositionMM = 50, -1e9 // 50000 mNm in an INT, and a DINT in um
	d.scans(1)
}

// A program that stops itself is a controller without power: the error names the place, each further
// scan gives it again, and power starts the program anew.
func TestHalt(t *testing.T) {
	t.Parallel()
	source := strings.Replace(text(t, "press.st"), "quotient := 10 / quotient;", "quotient := 10 / cause;", 1)
	l, _, err := binding.New(parsed(t, text(t, "press.yaml")), "press.st", []byte(source))
	require.NoError(t, err)
	d := run(t, l)
	d.in.Trigger, d.in.Standstill, d.in.PositionMM = true, true, 420
	d.scans(2)
	for range 2 {
		_, err = d.Scan(&d.in, &d.out)
		var halt *sequence.Halt
		require.ErrorAs(t, err, &halt)
		assert.Contains(t, halt.Because, "press.st:60:")
		assert.Contains(t, halt.Because, "zero")
	}
	d.PowerUp()
	d.in.Trigger = false
	d.scans(1)
	assert.Equal(t, "ready", l.About().States[d.StateIndex()].Name)
}

// What is RETAIN is kept over a loss of power, and nothing else.
func TestPowerUpKeepsWhatIsRetained(t *testing.T) {
	t.Parallel()
	doc := strings.Replace(text(t, "press.yaml"), "target_mm: target", "target_mm: tests", 1)
	l, _, err := binding.New(parsed(t, doc), "press.st", []byte(text(t, "press.st")))
	require.NoError(t, err)
	d := run(t, l)
	d.in.Trigger = true
	d.scans(3)
	d.PowerUp()
	assert.Equal(t, 0, d.StateIndex())
	d.scans(3)
	assert.InDelta(t, 2, d.out.TargetMM, 0, "the second test")
}

// A copy and the original go on each by itself.
func TestCopy(t *testing.T) {
	t.Parallel()
	d := run(t, press(t))
	d.in.Trigger = true
	d.scans(1)
	copied, ok := d.Copy()
	require.True(t, ok)
	other := &driven{Controller: copied, t: t, in: d.in, out: d.out}
	other.in.Standstill, other.in.PositionMM = true, 420
	other.scans(3)
	d.scans(3)
	assert.Equal(t, 2, other.StateIndex())
	assert.Equal(t, 1, d.StateIndex())
}

func TestScanAllocatesNothing(t *testing.T) {
	d := run(t, press(t))
	d.scans(3)
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		d.in.Clock += scan
		_, _ = d.Scan(&d.in, &d.out)
	}))
}

// Everything that is wrong with a binding is named, with its place.
func TestWrongBindings(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ old, now, path, message string }{
		{"binding: press", "binding: ''", "$.binding", "has no name"},
		{"block: Press", "block: Pres", "$.block", `has no block "Pres"`},
		{"trigger: start", "triger: start", "$.inputs.triger", `there is no input "triger"; the nearest valid one is "trigger"`},
		{"trigger: start", "trigger: strt", "$.inputs.trigger", `Press has no variable "strt"`},
		{"trigger: start", "trigger: ax", "$.inputs.trigger", "ax is a Axis; must be a single value"},
		{"trigger: start", "trigger: goal", "$.inputs.trigger", "goal is a REAL; the signal trigger is true or false"},
		{"standstill: ax.still", "standstill: start", "$.inputs.standstill", "start is bound to trigger already"},
		{"unit: um", "unit: inch", "$.inputs.position_mm", `unit is "inch"; must be one of mm, um, m`},
		{"unit: um", "unit: um, scale: 2", "$.inputs.position_mm", "unit and scale are both given"},
		{"scale: 1000}", "scale: -1}", "$.inputs.torque_nm", "scale is -1; must be above 0"},
		{"proof_left_s: left", "proof_left_s: {variable: left, unit: ms}", "$.inputs.proof_left_s", "left is a TIME, which is its own unit"},
		{"torque_nm: {variable: ax.torque, scale: 1000}", "torque_nm: left", "$.inputs.torque_nm", "left is a TIME and the signal is in N·m"},
		{"none: 0, ", "", "$.inputs.judge_cause", "no value of cause stands for none"},
		{"none: 0, ", "none: 0, wet: 9, ", "$.inputs.judge_cause.words.wet", `judge_cause has no word "wet"`},
		{"brake-open: 1, ", "brake-open: 0, ", "$.inputs.judge_cause.words.brake-open", "the value 0 stands for none already"},
		{"brake-open: 1, ", "brake-open: [1, 8], ", "$.inputs.judge_cause.words.brake-open", "has 2 values for brake-open; must be one"},
		{"brake-open: 1, ", "brake-open: 70000, ", "$.inputs.judge_cause.words.brake-open", "cause is INT and cannot be 70000; must be from -32768 to 32767"},
		{"off: M_OFF", "off: M_OF", "$.outputs.drive.words.off", `"M_OF" is no value of an enumeration; the nearest valid one is "M_OFF"`},
		{"  brake: {variable: close, words: {open: false, closed: true}}\n", "", "$.outputs", "brake is not bound; without it no test can be made"},
		{"standstill: ax.still", "standstill: {variable: ax.still, momentary: true}", "$.inputs.standstill", "momentary is given for standstill; must stand at cause only"},
		{"standstill: ax.still", "standstill: {variable: ax.still, otherwise: none}", "$.inputs.standstill", "otherwise is given without flags"},
		{"proof_left_s: left", "proof_left_s: {variable: left, inverted: true}", "$.inputs.proof_left_s", "inverted is given and proof_left_s is not true or false"},
		{"close, words: {", "close, inverted: true, words: {", "$.outputs.brake", "inverted is given and brake is not true or false"},
		{"trigger: start", "trigger: {flags: {start: a}}", "$.inputs.trigger", "flags are given for an input; must be a variable with words"},
		{"target_mm: target", "target_mm: {flags: {close: a}}", "$.outputs.target_mm", "flags are given and target_mm has no words"},
		{"brake: {variable: close,", "brake: {variable: close, flags: {close: closed},", "$.outputs.brake", "variable and flags are both given"},
		{"brake: {variable: close,", "brake: {flags: {close: closed},", "$.outputs.brake", "flags are given; must have no unit, scale, words or inverted"},
		{"brake: {variable: close, words: {open: false, closed: true}}", "brake: {flags: {close: shut}}", "$.outputs.brake.flags.close", `brake has no word "shut"; must be one of open, closed`},
		{"brake: {variable: close, words: {open: false, closed: true}}", "brake: {flags: {close: closed}, otherwise: lifted}", "$.outputs.brake.otherwise", `brake has no word "lifted"`},
		{"brake: {variable: close, words: {open: false, closed: true}}", "brake: {flags: {shut: closed}}", "$.outputs.brake.flags.shut", `Press has no variable "shut"`},
		{"brake: {variable: close, words: {open: false, closed: true}}", "brake: {flags: {target: closed}}", "$.outputs.brake.flags.target", "target is a LREAL; the flag of a word must be a BOOL"},
		{"variable: phase", "variable: phase\n  flags: {close: a}", "$.state", "state has variable and flags; must have one of them"},
		{"  variable: phase\n", "", "$.state", "state has neither variable nor flags; must have one of them"},
		{"variable: phase", "variable: start", "$.state.variable", "start is a BOOL; must be an enumeration or an integer, or flags"},
		{"    PH_READY: ready", "    PH_REDY: ready", "$.state.values.PH_REDY", `is no value of an enumeration; the nearest valid one is "PH_READY"`},
		{"    PH_READY: ready", "    PH_READY: Ready", "$.state.values.PH_READY", `"Ready" is not a valid state name`},
		{"ends: {passed: pass", "ends: {psd: pass", "$.state.ends.psd", `there is no state "psd"`},
		{"ends: {passed: pass", "ends: {passed: good", "$.state.ends.passed", `"good" is no end; must be pass, fail or stop`},
		{"after_power_loss: ready", "after_power_loss: move", "$.state.after_power_loss", "the program begins in ready"},
		{"cause: why", "cause: message", "$.cause", "message is a STRING; words must say"},
		{"cause: why", "cause: quotient", "$.cause", "quotient is an integer (INT); words must say which value stands for which cause, such as words: {none: 0, slipped: 1}"},
		{"cause: why", "cause: {variable: why, inverted: true}", "$.cause", "inverted is given and cause is a word"},
		{"cause: why", "cause: {flags: {close: Slipped}}", "$.cause", "Slipped"},
		{"alarm: message", "alarm: why", "$.outputs.alarm", "why is an enumeration; words must say which value stands for which text"},
		{"  limit_s: limit", "  limit_s: {variable: limit, inverted: true}", "$.params.limit_s", "inverted is given and limit is a TIME; must be a BOOL"},
		{"  both: both", "  both: {value: true, inverted: true}", "$.params.both", "both has no variable; must have no unit, no scale and no inverted"},
		{"  both: both", "  both: {value: tru}", "$.params.both", "tru"},
		{"  both: both", "  both: {}", "$.params.both", "neither a variable nor a value"},
		{"  limit_s: limit", "  limit_s: {variable: limit, scale: 2}", "$.params.limit_s", "limit is a TIME"},
		{"test_up: both", "test_up: goal_mm", "$.roles.test_up", "goal_mm is a number; the parameter of the role test_up must be a boolean"},
		{"roles:", "scans: half\nroles:", "$.scans", "half is an integer (INT (0..10)); must be an integer that can be 10000"},
		{"roles:", "scans: goal\nroles:", "$.scans", "goal is a REAL; must be an integer"},
		{"roles:", "start: {phase: PH_NEXT}\nroles:", "$.start.phase", `"PH_NEXT" is no value`},
	} {
		_, _, err := binding.New(parsed(t, strings.Replace(text(t, "press.yaml"), c.old, c.now, 1)), "press.st", []byte(text(t, "press.st")))
		require.Error(t, err, c.now)
		found := false
		for _, p := range problem.Of(err) {
			found = found || p.Path == c.path && strings.Contains(p.Message, c.message)
		}
		assert.True(t, found, "%s must say at %s: %s\n%v", c.now, c.path, c.message, err)
	}
}

// Warnings are for what can stop the controller in a run.
func TestWarnings(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ old, now, path, message string }{
		{"brake: {variable: close, words: {open: false, closed: true}}", "brake: {flags: {close: closed}}", "$.outputs.brake", "otherwise is left out: a scan in which none of the flags of brake is set stops the controller"},
		{", press: M_PRESS", "", "$.outputs.drive", "the value M_PRESS of mode stands for no word of drive"},
		{"    PH_OK: passed\n", "", "$.state.values", "the value PH_OK of phase is no state"},
	} {
		doc := strings.Replace(strings.Replace(text(t, "press.yaml"), c.old, c.now, 1), "{passed: pass, ", "{", 1)
		_, warnings, err := binding.New(parsed(t, doc), "press.st", []byte(text(t, "press.st")))
		require.NoError(t, err)
		require.Len(t, warnings, 1)
		assert.Equal(t, c.path, warnings[0].Path)
		assert.Contains(t, warnings[0].Message, c.message)
	}
}

// A value without a word, or without a state, stops the controller when it comes.
func TestValuesWithoutAWordStopTheController(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ old, now, message string }{
		{"move: M_MOVE, ", "", "the output drive has the value M_MOVE"},
		{"    PH_MOVE: {state: move, note: to the test position}\n", "", "the variable of the state has the value PH_MOVE"},
		{"target_mm: target", "target_mm: {variable: ax.load, scale: 1e-300}\n  move_speed_mm_s: {variable: target, scale: 1e-308}", "the output move_speed_mm_s is not a finite number"},
	} {
		doc := strings.Replace(text(t, "press.yaml"), c.old, c.now, 1)
		l, _, err := binding.New(parsed(t, doc), "press.st", []byte(text(t, "press.st")))
		require.NoError(t, err)
		d := run(t, l)
		d.in.Trigger = true
		_, err = d.Scan(&d.in, &d.out)
		require.ErrorContains(t, err, c.message)
	}
}

// Flags of steps are a state as well: the first that is set counts.
func TestFlags(t *testing.T) {
	t.Parallel()
	l, _, err := binding.New(parsed(t, flagsDocument), "p.st", []byte(flagsProgram))
	require.NoError(t, err)
	require.Equal(t, []string{"second", "first", "idle"}, l.About().StateNames())
	d := run(t, l)
	assert.Equal(t, 2, d.StateIndex())
	d.in.Trigger = true
	assert.Equal(t, "first", d.scans(1).To)
	assert.Equal(t, "second", d.scans(1).To)
}

const (
	flagsProgram = `PROGRAM p
VAR_INPUT go : BOOL; END_VAR
VAR_OUTPUT drive : INT; close : BOOL; END_VAR
VAR a, b : BOOL; END_VAR
IF a AND go THEN b := TRUE; END_IF;
IF NOT a AND go THEN a := TRUE; END_IF;
END_PROGRAM`
	flagsDocument = `
binding: flags
program: p.st
block: p
inputs: {trigger: go}
outputs:
  drive: {variable: drive, words: {off: 0, hold: [1, 2]}}
  brake: {variable: close, words: {open: FALSE, closed: TRUE}}
state:
  flags: {b: second, a: {state: first, note: of two}}
  otherwise: idle
  ends: {second: stop}
`
)
