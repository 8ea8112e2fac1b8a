package export_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sequence/binding"
	"holdbench/sequence/export"
)

var update = flag.Bool("update", false, "write the golden files anew")

// compiled is a sequence from its text.
func compiled(t *testing.T, text string) *sequence.Program {
	t.Helper()
	var d sequence.Document
	require.NoError(t, yaml.UnmarshalWithOptions([]byte(text), &d, yaml.Strict()))
	p, err := sequence.Compile(d, nil)
	require.NoError(t, err)
	return p
}

// heading is what the exports of these tests say of themselves.
func heading() export.Heading {
	return export.Heading{Version: "v1", Sources: []export.Source{{Kind: "sequence", Name: "small.yaml", SHA256: "0123"}}, Set: []string{"sequence.press_nm=4"}}
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), got)
}

// Both programs of a small sequence are looked at as a whole, with their binding.
func TestSmallSequence(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile(filepath.Join("testdata", "small.yaml"))
	require.NoError(t, err)
	for name, integers := range map[string]bool{"small": false, "small-int": true} {
		program, bound, err := export.StructuredText(compiled(t, string(text)), name+".st", export.STOptions{Heading: heading(), Integers: integers})
		require.NoError(t, err)
		golden(t, name+".st", program)
		golden(t, name+".binding.yaml", bound)
	}
}

// What keywords, case, length and characters do to names. 32 characters are what compilers take.
func TestNamesOfAProgram(t *testing.T) {
	t.Parallel()
	long := "press_torque_that_the_drive_builds_up_slowly"
	p := compiled(t, `
sequence: "9 presses"
note: "wait *) or (* not, 5 N·m"
start: ready
params: {step_nm: 1, s_ready: true, real: true, x__y_nm: 4, z_: true, `+long+`_nm: 6, `+long+`_mm: 7, state: true, next: true, of: true}
states:
  ready:
    set: {drive: hold, brake: open, operation: allowed, torque_limit_nm: "step_nm + x__y_nm"}
    go: [{to: end_if, when: "of and s_ready and real and z_ and state and next and `+long+`_nm > 1 and `+long+`_mm > 1"}]
  end_if:
    set: {alarm: "oil $ 'missing'"}
    go: [{to: ready, when: trigger}]
ends: {end_if: pass}
`)
	program, bound, err := export.StructuredText(p, "n.st", export.STOptions{})
	require.NoError(t, err)
	ran(t, program, bound)
	body := regexp.MustCompile(`(?s)\(\*.*?\*\)|'[^']*(?:\$'[^']*)*'`).ReplaceAllString(program, "")
	for _, name := range regexp.MustCompile(`[A-Za-z_][A-Za-z_0-9]*`).FindAllString(body, -1) {
		assert.LessOrEqual(t, len(name), 32, name)
		assert.NotContains(t, name, "__")
		assert.False(t, strings.HasSuffix(name, "_"), name)
	}
	for _, want := range []string{
		"  step_nm : LREAL := 1.0;", "  SEQUENCE9PRE_S_READY", "  real_2 : BOOL := TRUE;", "  x_y_nm : LREAL := 4.0;", "  z : BOOL := TRUE;",
		"  of_2 : BOOL := TRUE;", "  state_2 : Sequence9PreState", "  next_2 : Sequence9PreState",
		"press_torque_that_the_drive_buil : LREAL := 6.0;", "press_torque_that_the_drive_bu_2 : LREAL := 7.0;", "SEQUENCE9PRE_S_END_IF",
		"cmd.alarm := 'oil $$ $'missing$'';", "wait * ) or ( * not, 5 Nm", "FUNCTION_BLOCK Sequence9PreBrakeTest",
	} {
		assert.Contains(t, program, want)
	}
	for _, r := range program {
		require.Less(t, r, rune(0x7f), "%q", r)
	}
}

// ran binds a program and lets it run a scan.
func ran(t *testing.T, program, bound string) {
	t.Helper()
	var b binding.Document
	require.NoError(t, yaml.UnmarshalWithOptions([]byte(bound), &b, yaml.Strict()), bound)
	logic, warnings, err := binding.New(b, "n.st", []byte(program))
	require.NoError(t, err, program)
	assert.Empty(t, warnings)
	var in sequence.Inputs
	var out sequence.Outputs
	_, err = logic.New(scan).Scan(&in, &out)
	require.NoError(t, err)
}

// A sequence of 500 states is one like any other.
func TestManyStates(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	b.WriteString("ends: {s499: pass}\nsequence: many\nstart: s0\nstates:\n")
	for i := range 500 {
		fmt.Fprintf(&b, "  s%d: {set: {drive: hold, brake: open}, go: [{to: s%d, when: trigger, for: 10ms}]}\n", i, (i+1)%500)
	}
	program, bound, err := export.StructuredText(compiled(t, b.String()), "n.st", export.STOptions{})
	require.NoError(t, err)
	ran(t, program, bound)
}

// Text that not every controller has in a STRING is refused.
func TestAlarmsOfAProgram(t *testing.T) {
	t.Parallel()
	_, _, err := export.StructuredText(compiled(t, `
sequence: texts
start: a
states:
  a: {set: {drive: hold, brake: open, alarm: "kein Öl"}, go: [{to: b, when: trigger}]}
  b: {set: {drive: off}}
`), "n.st", export.STOptions{})
	require.EqualError(t, err, `the alarm "kein Öl" has the character 'Ö', which not every controller has in a STRING; must be of printed ASCII characters`)
}

// FALSE is what an output has when a controller stops: it closes the brake and allows nothing.
func TestOutputsAreSafeWhenFalse(t *testing.T) {
	t.Parallel()
	program, _, err := export.StructuredText(small(t), "n.st", export.STOptions{Scan: scan})
	require.NoError(t, err)
	for _, want := range []string{"  open_brake : BOOL := FALSE;", "  open_brake_2 : BOOL := FALSE;", "  allow_operation : BOOL := FALSE;", "  drive : SmallDriveMode := SMALL_DRIVE_OFF;", "  scan_s : LREAL := 0.002;"} {
		assert.Contains(t, program, want)
	}
}

// What has no form in a program is refused with the words to change.
func TestNotExported(t *testing.T) {
	t.Parallel()
	_, _, err := export.StructuredText(compiled(t, `
sequence: words
start: a
states:
  a: {set: {drive: hold, brake: open}, go: [{to: b, when: '(trigger ? judge_cause : "moved") == judge_cause'}]}
  b: {set: {drive: off}, go: [{to: a, when: trigger}]}
`), "n.st", export.STOptions{})
	require.EqualError(t, err, `the word "moved" can be exported only where it is compared with a signal, as judge_cause == "moved"`)
}
