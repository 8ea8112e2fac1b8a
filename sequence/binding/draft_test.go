package binding_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sequence/binding"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// drafted is the logic of a draft, which must not be refused.
func drafted(t *testing.T, draft, file, program string) *binding.Logic {
	t.Helper()
	l, _, err := binding.New(parsed(t, draft), file, []byte(program))
	require.NoError(t, err, draft)
	return l
}

// The draft for a program with names of its own is kept, and runs as it is.
func TestDraftIsKept(t *testing.T) {
	t.Parallel()
	program, golden := text(t, "draft/hoist.st"), filepath.Join("testdata", "draft", "hoist.yaml")
	draft, warnings, err := binding.Draft("hoist.st", []byte(program), "")
	require.NoError(t, err)
	require.Empty(t, warnings)
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(draft), 0o600))
	}
	assert.Equal(t, text(t, "draft/hoist.yaml"), draft)

	about := drafted(t, draft, "hoist.st", program).About()
	assert.Equal(t, "ready", about.States[about.Start].Name)
	assert.Equal(t, "locked_out", about.States[about.PowerUp].Name)
	assert.Equal(t, []string{"down"}, about.Asks)
	slip, ok := about.Param("slip_alarm_mm")
	require.True(t, ok)
	assert.InDelta(t, 2, slip.Number, 1e-6) // 2000 um
	load, ok := about.Role("load_torque")
	require.True(t, ok)
	assert.Equal(t, "load_torque_nm", load.Name)
}

// A program with German names, numbered steps in one CASE, one BOOL for each drive mode and contacts that
// open has a draft that is taken as it is.
func TestDraftOfNumberedSteps(t *testing.T) {
	t.Parallel()
	program, golden := text(t, "draft/bremstest.st"), filepath.Join("testdata", "draft", "bremstest.yaml")
	draft, warnings, err := binding.Draft("bremstest.st", []byte(program), "")
	require.NoError(t, err)
	require.Empty(t, warnings)
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(draft), 0o600))
	}
	assert.Equal(t, text(t, "draft/bremstest.yaml"), draft)

	d := run(t, drafted(t, draft, "bremstest.st", program))
	d.scans(2)
	assert.Equal(t, sequence.DriveHold, d.out.Drive)
	assert.Equal(t, sequence.BrakeOpen, d.out.Brake)
	d.in.Trigger, d.in.GuardClosed = true, true
	assert.Equal(t, "travel", d.scans(1).To, "the stop is not pressed and the guard is closed")
	assert.Equal(t, sequence.DriveMove, d.out.Drive)
}

// The draft for a program with the names of the bench binds all that its own binding binds.
func TestDraftOfTheReference(t *testing.T) {
	t.Parallel()
	folder := filepath.Join("..", "..", "scenarios", "sequences")
	program, err := os.ReadFile(filepath.Join(folder, "reference-case.st"))
	require.NoError(t, err)
	own, err := os.ReadFile(filepath.Join(folder, "reference-case.yaml"))
	require.NoError(t, err)
	draft, _, err := binding.Draft("reference-case.st", program, "")
	require.NoError(t, err)
	made, kept := drafted(t, draft, "reference-case.st", string(program)), drafted(t, string(own), "reference-case.st", string(program))
	want, got := kept.Document(), made.Document()
	assert.Equal(t, want.Inputs, got.Inputs)
	assert.Equal(t, want.Outputs, got.Outputs)
	assert.Equal(t, want.State.Ends, got.State.Ends)
	assert.Equal(t, want.Start, got.Start)
	assert.Equal(t, kept.About().StateNames(), made.About().StateNames())
	assert.Equal(t, kept.About().Causes, made.About().Causes)
	for _, p := range want.Params {
		if p.Variable != "" {
			q, ok := made.About().Param(p.Name)
			assert.True(t, ok, "%s %v", p.Name, q)
		}
	}
}

// The labels of a CASE over an integer are states, with the comments beside them.
func TestDraftOfLabels(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, variables, body, want string }{
		{"Numbers", "n : INT;", "CASE n OF 1: n := 2; 2: n := 3; 3: n := 1; END_CASE;", "    1: step_1\n    2: step_2\n    3: step_3\n    0: step_0   # its initial value, without a label\n"},
		{"Constants", "n : INT := S_IDLE; END_VAR VAR CONSTANT S_IDLE : INT := 4; S_MOVE : INT := 5; S_DONE : INT := 6;", "CASE n OF S_IDLE: n := S_MOVE; S_MOVE: n := S_DONE; S_DONE: n := S_IDLE; END_CASE;", "    4: ready\n    5: travel\n    6: passed\n  ends: {passed: pass}"},
		{"Comments", "n : INT;", "CASE n OF\n0: // idle\nn := 1;\n(* travel to \"0\" *)\n1: n := 2;\n2: n := 0; // done\nEND_CASE;", "    0: {state: ready, note: \"idle\"}\n    1: {state: travel, note: \"travel to \\\"0\\\"\"}\n    2: {state: passed, note: \"done\"}\n"},
		{"Ranges", "n : INT;", "CASE n OF 0: n := 1; 1..2: n := 5; 5: n := 0; END_CASE;", "    0: step_0\n    1: step_1\n    2: step_2\n    5: step_5\n"},
		{"Assigned", "n : INT;", "CASE n OF 0: n := 1; 1: n := 2; 2: n := 900; ELSE n := 0; END_CASE;\n// n := 7;", "    2: step_2\n    900: step_900   # assigned, without a label\n  ends"},
		{"TheLargest", "m, n : INT;", "CASE m OF 0: m := 1; 1: m := 2; 2: m := 0; END_CASE; CASE n OF 0: n := 1; 1: n := 2; 2: n := 3; 3: n := 0; END_CASE;", "  variable: n\n"},
		{"TooFew", "n : INT;", "CASE n OF 0: n := 1; 1: n := 0; END_CASE;", "state:\n  # variable: of an enumeration"},
		{"WideRange", "n : LINT;", "CASE n OF 0: n := 0; 9223372036854775806..9223372036854775807: n := 0; END_CASE;", "    9223372036854775807: step_9223372036854775807\n  ends"},
		{"Negative", "n : INT;", "CASE n OF -1: n := 0; 0: n := 1; 1: n := -1; END_CASE;", "    -1: step_minus_1\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			draft, _, err := binding.Draft("p.st", []byte("PROGRAM p\nVAR "+c.variables+" END_VAR\n"+c.body+"\nEND_PROGRAM\n"), "")
			require.NoError(t, err)
			assert.Contains(t, draft, c.want)
			parsed(t, draft)
		})
	}
}

// What a declaration alone is drafted to.
func TestDraftOfDeclarations(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, types, variables, line string }{
		{"WordsInPlaceOfTheName", "Z : (Z_IDLE, Z_STAND, Z_TRAVEL, Z_TORQUE);", "VAR_OUTPUT q17 : Z; END_VAR", "  drive: {variable: q17, words: {off: Z_IDLE, hold: Z_STAND, move: Z_TRAVEL, press: Z_TORQUE}}"},
		{"WordsOfTheBrake", "Z : (Z_SHUT, Z_LIFT);", "VAR_OUTPUT q17 : Z; END_VAR", "  brake: {variable: q17, words: {open: Z_LIFT, closed: Z_SHUT}}"},
		{"AskUpByBool", "", "VAR_OUTPUT bAskUp : BOOL; END_VAR", "  ask: {variable: bAskUp, words: {none: false, up: true}}"},
		{"InhibitIsTrue", "", "VAR_OUTPUT bInhibit : BOOL; END_VAR", "  operation: {variable: bInhibit, words: {allowed: false, inhibited: true}}"},
		{"NumbersAreAsked", "", "VAR_OUTPUT iDriveMode : INT; END_VAR", "  # drive: {variable: iDriveMode, words: {off: …, hold: …, move: …, press: …}}   # necessary, with its numbers"},
		{"CauseNeedsAllWords", "Z : (Z_NONE, Z_MOVED);", "VAR_INPUT judge_cause : Z; END_VAR", "  # judge_cause:"},
		{"UnitOfTheName", "", "VAR_INPUT rPosition_m : REAL; END_VAR", "  position_mm: {variable: rPosition_m, unit: m}"},
		{"AngleIsNoPosition", "", "VAR_INPUT rAngle : REAL; END_VAR", "  position_deg: rAngle"},
		{"OtherUnit", "", "VAR_INPUT rTorque_mm : REAL; END_VAR", "  # torque_nm:"},
		{"Denied", "", "VAR_INPUT bBrakeNotShut : BOOL; END_VAR", "  brake_closed: {variable: bBrakeNotShut, inverted: true}   # check: is it FALSE while brake_closed is true?"},
		{"NotReadyIsNoFailure", "", "VAR_INPUT bNotReady : BOOL; END_VAR", "  # judge_failed:"},
		{"TheSecondBrake", "", "VAR_OUTPUT bBrake2Open : BOOL; END_VAR", "  brake_2: {variable: bBrake2Open, words: {open: true, closed: false}}"},
		{"NotTheSecondBrake", "", "VAR_INPUT bBrakeClosedFb, bBrakeOpenFb : BOOL; END_VAR", "  # brake_2_closed:"},
		{"DeniedTwice", "", "VAR_INPUT bBrakeNotOpen : BOOL; END_VAR", "  # brake_closed:"},
		{"Expired", "", "VAR_INPUT bProofExpired : BOOL; END_VAR", "  proof: {variable: bProofExpired, inverted: true}   # check: is it FALSE while proof is true?"},
		{"ProofOfAFailure", "", "VAR_INPUT bProofFailed : BOOL; END_VAR", "  # proof:"},
		{"ProofThatIsRequired", "", "VAR_INPUT bProofRequired : BOOL; END_VAR", "  # proof:"},
		{"NoProof", "", "VAR_INPUT xNoProof : BOOL; END_VAR", "  proof: {variable: xNoProof, inverted: true}   # check: is it FALSE while proof is true?"},
		{"BrakeIsOpen", "", "VAR_INPUT bBrakeOpenFb : BOOL; END_VAR", "  brake_closed: {variable: bBrakeOpenFb, inverted: true}   # check: is it FALSE while brake_closed is true?"},
		{"GuardIsOpen", "", "VAR_INPUT bGuardOpen : BOOL; END_VAR", "  guard_closed: {variable: bGuardOpen, inverted: true}   # check: is it FALSE while guard_closed is true?"},
		{"StopIsOk", "", "VAR_INPUT bEStopOk : BOOL; END_VAR", "  estop: {variable: bEStopOk, inverted: true}   # check: is it FALSE while estop is true?"},
		{"Stop", "", "VAR_INPUT bEStop : BOOL; END_VAR", "  estop: bEStop   # check: is it TRUE while the stop is pressed? else {variable: bEStop, inverted: true}"},
		{"Moving", "", "VAR_INPUT bMoving : BOOL; END_VAR", "  standstill: {variable: bMoving, inverted: true}   # check: is it FALSE while standstill is true?"},
		{"Energise", "", "VAR_OUTPUT bEnergizeBrake : BOOL; END_VAR", "  brake: {variable: bEnergizeBrake, words: {open: true, closed: false}}"},
		{"Vent", "", "VAR_OUTPUT bBrakeVent : BOOL; END_VAR", "  brake: {variable: bBrakeVent, words: {open: true, closed: false}}"},
		{"Close", "", "VAR_OUTPUT bCloseBrake : BOOL; END_VAR", "  brake: {variable: bCloseBrake, words: {open: false, closed: true}}"},
		{"Command", "", "VAR_OUTPUT bBrakeCmd : BOOL; END_VAR", "  brake: {variable: bBrakeCmd, words: {open: true, closed: false}}   # check: does TRUE open or close?"},
		{"CommandOfTwoSenses", "", "VAR_OUTPUT bBrakeOpenClose : BOOL; END_VAR", "  brake: {variable: bBrakeOpenClose, words: {open: true, closed: false}}   # check: does TRUE open or close?"},
		{"CommandDenied", "", "VAR_OUTPUT bBrakeNotOpen : BOOL; END_VAR", "  # brake:   # necessary"},
		{"FaultOfTheBrake", "", "VAR_OUTPUT bBrakeFault : BOOL; END_VAR", "  # brake:   # necessary"},
		{"Operation", "", "VAR_OUTPUT bOperation : BOOL; END_VAR", "  operation: {variable: bOperation, words: {allowed: true, inhibited: false}}   # check: does TRUE allow or inhibit?"},
		{"Couple", "", "VAR_OUTPUT bCouple : BOOL; END_VAR", "  decouple: {variable: bCouple, inverted: true}   # check: is it FALSE while decouple is true?"},
		{"MemberOfATimer", "", "VAR tPosition : TON; END_VAR", "  # in_position:"},
		{"SignOfAParameter", "", "VAR_INPUT rPressTorque : REAL := 7.6; END_VAR", "  press_up_nm: rPressTorque"},
		{"ChoiceThatIsDenied", "", "VAR_INPUT bNoTestUp : BOOL; END_VAR", "# inputs of p for which nothing was found: bNoTestUp"},
		{"OwnParameter", "", "VAR_INPUT tWetting : TIME := T#2s; END_VAR", "  wetting_s: tWetting"},
		{"NameOfAFunction", "", "VAR_INPUT rMax : REAL := 2.0; END_VAR", "# inputs of p for which nothing was found: rMax"},
		{"TimeWithoutAValue", "", "VAR_INPUT tWetting : TIME; END_VAR", "# inputs of p for which nothing was found: tWetting"},
		{"OutputsThatAreLeft", "", "VAR_OUTPUT bLamp, bHorn : BOOL; END_VAR", "# outputs of p for which nothing was found: bLamp, bHorn"},
		{"Necessary", "", "VAR a : BOOL; END_VAR", "  # drive:   # necessary"},
		{"NecessaryForACurrent", "", "VAR a : BOOL; END_VAR", "  # required_current_a:   # necessary where judge.kind is current"},
		{"OneBoolForEachMode", "", "VAR_OUTPUT bOn, bPress, bMove : BOOL; END_VAR", "  drive: {flags: {bMove: move, bPress: press, bOn: hold}, otherwise: off}   # check: the first that is TRUE counts"},
		{"OneModeIsNoDrive", "", "VAR_OUTPUT bMove : BOOL; END_VAR", "  # drive:   # necessary"},
		{"ModesThatAreInputs", "", "VAR_INPUT bOn, bPress, bMove : BOOL; END_VAR", "  # drive:   # necessary"},
		{"OneBoolForEachDirection", "", "VAR_OUTPUT bAskUp, bAskDown : BOOL; END_VAR", "  ask: {flags: {bAskDown: down, bAskUp: up}, otherwise: none}   # check: the first that is TRUE counts"},
		{"NumbersOfACause", "", "VAR_OUTPUT iError : INT; END_VAR", "# cause: {variable: iError, words: {none: 0, …}}   # with its numbers"},
		{"StructureOfFlags", "Z : STRUCT ready, push, ask, done : BOOL; END_STRUCT;", "VAR z : Z; END_VAR", "    z.ask: verdict_down"},
		{"AnyEnds", "Z : (Z_READY, Z_OK, Z_ERROR, Z_ABORTED);", "VAR z : Z; END_VAR", "  ends: {passed: pass, locked_out: fail, cancelled: stop}"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			types := c.types
			if types != "" {
				types = "TYPE " + types + " END_TYPE\n"
			}
			draft, _, err := binding.Draft("p.st", []byte(types+"PROGRAM p\n"+c.variables+"\nEND_PROGRAM\n"), "")
			require.NoError(t, err)
			assert.Contains(t, strings.Split(draft, "\n"), c.line, draft)
		})
	}
}
