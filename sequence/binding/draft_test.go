package binding_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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

// What a declaration alone is drafted to.
func TestDraftOfDeclarations(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, types, variables, line string }{
		{"WordsInPlaceOfTheName", "Z : (Z_IDLE, Z_STAND, Z_TRAVEL, Z_TORQUE);", "VAR_OUTPUT q17 : Z; END_VAR", "  drive: {variable: q17, words: {off: Z_IDLE, hold: Z_STAND, move: Z_TRAVEL, press: Z_TORQUE}}"},
		{"WordsOfTheBrake", "Z : (Z_SHUT, Z_LIFT);", "VAR_OUTPUT q17 : Z; END_VAR", "  brake: {variable: q17, words: {open: Z_LIFT, closed: Z_SHUT}}"},
		{"AskUpByBool", "", "VAR_OUTPUT bAskUp : BOOL; END_VAR", "  ask: {variable: bAskUp, words: {none: false, up: true}}"},
		{"InhibitIsTrue", "", "VAR_OUTPUT bInhibit : BOOL; END_VAR", "  operation: {variable: bInhibit, words: {allowed: false, inhibited: true}}"},
		{"NumbersAreAsked", "", "VAR_OUTPUT iDriveMode : INT; END_VAR", "  # drive: {variable: iDriveMode, words: {off: …, hold: …, move: …, press: …}}   # with its numbers"},
		{"CauseNeedsAllWords", "Z : (Z_NONE, Z_MOVED);", "VAR_INPUT judge_cause : Z; END_VAR", "  # judge_cause:"},
		{"UnitOfTheName", "", "VAR_INPUT rPosition_m : REAL; END_VAR", "  position_mm: {variable: rPosition_m, unit: m}"},
		{"AngleIsNoPosition", "", "VAR_INPUT rAngle : REAL; END_VAR", "  position_deg: rAngle"},
		{"OtherUnit", "", "VAR_INPUT rTorque_mm : REAL; END_VAR", "  # torque_nm:"},
		{"Denied", "", "VAR_INPUT bBrakeNotShut : BOOL; END_VAR", "  # brake_closed:"},
		{"MemberOfATimer", "", "VAR tPosition : TON; END_VAR", "  # in_position:"},
		{"SignOfAParameter", "", "VAR_INPUT rPressTorque : REAL := 7.6; END_VAR", "  press_up_nm: rPressTorque"},
		{"OwnParameter", "", "VAR_INPUT tWetting : TIME := T#2s; END_VAR", "  wetting_s: tWetting"},
		{"NameOfAFunction", "", "VAR_INPUT rMax : REAL := 2.0; END_VAR", "# inputs of p for which nothing was found: rMax"},
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
