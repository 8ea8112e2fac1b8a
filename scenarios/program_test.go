package scenarios_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

const parkScenario = `scenario: park
title: The brake closes and the drive lets go
rig: pane-hoist
sequence: park.st
`

// parked is a folder with a program, its binding and a scenario of it, and the file of the scenario.
func parked(t *testing.T, change func(name, text string) string) string {
	t.Helper()
	folder := t.TempDir()
	for _, name := range []string{"park.st", "park.yaml"} {
		text, err := os.ReadFile(filepath.Join("testdata", "program", name))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(change(name, string(text))), 0o600))
	}
	file := filepath.Join(folder, "scenario.yaml")
	require.NoError(t, os.WriteFile(file, []byte(parkScenario), 0o600))
	return file
}

func unchanged(_, text string) string { return text }

func ended(t *testing.T, file string, o scenarios.Overrides) *sim.Result {
	t.Helper()
	c, _, err := scenarios.LoadCase(file, o)
	require.NoError(t, err)
	r, err := sim.Run(c, nil)
	require.NoError(t, err)
	return r
}

// A program is run like a document, by its file, by its binding and by the scenario that names it;
// its parameters can be set.
func TestAProgramIsRun(t *testing.T) {
	t.Parallel()
	file := parked(t, unchanged)
	assert.Equal(t, "parked", ended(t, file, scenarios.Overrides{}).EndedIn)
	set := map[string]string{"sequence.close_time_s": "0.02"}
	assert.Equal(t, "fault", ended(t, file, scenarios.Overrides{Set: set}).EndedIn)
	for _, name := range []string{"park.st", "park.yaml"} {
		r := ended(t, "healthy-down-and-up", scenarios.Overrides{Sequence: filepath.Join(filepath.Dir(file), name)})
		assert.Equal(t, "parked", r.EndedIn)
	}
}

// A program that has changed is read again, though its binding has not.
func TestAChangedProgramIsReadAgain(t *testing.T) {
	t.Parallel()
	file := parked(t, unchanged)
	assert.Equal(t, "parked", ended(t, file, scenarios.Overrides{}).EndedIn)
	program := filepath.Join(filepath.Dir(file), "park.st")
	text, err := os.ReadFile(program)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(program, []byte(strings.Replace(string(text), "IF xBrakeClosedFb", "IF FALSE", 1)), 0o600))
	assert.Equal(t, "fault", ended(t, file, scenarios.Overrides{}).EndedIn)
}

// Whatever is wrong is reported with file, line and column: of the program in the program, of the
// binding in the binding, and of what is missing where it is named.
func TestWrongPrograms(t *testing.T) {
	t.Parallel()
	in := func(file, old, now string) func(name, text string) string {
		return func(name, text string) string {
			if name == file {
				require.Contains(t, text, old)
				return strings.Replace(text, old, now, 1)
			}
			return text
		}
	}
	for _, c := range []struct {
		change func(name, text string) string
		want   string
	}{
		{in("park.st", "xInhibit := TRUE", "xInhibit := 1.5"), "park.st:29:"},
		{in("park.yaml", "trigger: xStart", "trigger: xStrat"), `park.yaml:4:19: `},
		{in("park.yaml", "  ends:", "  end:"), `park.yaml:12:3: unknown key "end" in state`},
		{in("park.yaml", "  ends: {parked", "  ends: {prked"), `park.yaml:12:17: there is no state "prked"`},
		{in("park.yaml", "program: park.st", "program: other.st"), "park.yaml:2:10: cannot read the program"},
		{in("park.yaml", "program: park.st\n", ""), "park.yaml:1:1: program is missing"},
		{in("park.yaml", "binding: park", "sequence: park"), "park.yaml is no binding of the program"},
		{in("park.yaml", "close_time_s: rCloseTime", "close_time: rCloseTime"), "park.yaml:13:"},
	} {
		_, _, err := scenarios.LoadCase(parked(t, c.change), scenarios.Overrides{})
		require.ErrorContains(t, err, c.want)
	}
	_, _, err := scenarios.LoadCase("healthy-down-and-up", scenarios.Overrides{Sequence: "no/such.st"})
	require.ErrorContains(t, err, "cannot read sequence: open no/such.st: no such file or directory")
	_, _, err = scenarios.LoadSequence("testdata/program/park.yaml")
	require.ErrorContains(t, err, "sequence park is a program; must be a sequence document here")
}

// A document binds inverted variables and flags as the package of bindings does.
func TestFlagsInADocument(t *testing.T) {
	t.Parallel()
	change := func(now string) func(name, text string) string {
		return func(name, text string) string {
			if name != "park.yaml" {
				return text
			}
			text = strings.Replace(text, "xBrakeClosedFb}", "{variable: xBrakeClosedFb, inverted: true}}", 1)
			return strings.Replace(text, "{variable: xBrakeClose, words: {open: false, closed: true}}", now, 1)
		}
	}
	r := ended(t, parked(t, change("{flags: {xBrakeClose: closed}, otherwise: open}")), scenarios.Overrides{})
	assert.Equal(t, "parked", r.EndedIn, "it takes the open brake for a closed one")
	for _, c := range []struct{ now, want string }{
		{"{flags: {xBrakeClose: [closed]}}", "park.yaml:7:"},
		{"{flags: closed}", "must be keys with values"},
		{"{flags: {xBrakeClose: shut}}", `brake has no word "shut"; must be one of open, closed`},
		{"{variable: xBrakeClose, words: {open: false, closed: true}}\n  target_mm: {variable: xBrakeClose, scale: 0}", "park.yaml:8:45: scale is 0; must be above 0"},
	} {
		_, _, err := scenarios.LoadCase(parked(t, change(c.now)), scenarios.Overrides{})
		require.ErrorContains(t, err, c.want)
	}
}

// Vet lists what a binding leaves out, which no run speaks of; and checks a program that has none.
func TestVetOfPrograms(t *testing.T) {
	t.Parallel()
	file := parked(t, unchanged)
	program := filepath.Join(filepath.Dir(file), "park.st")
	kind, problems, err := scenarios.Vet(program, scenarios.Below)
	require.NoError(t, err)
	assert.Equal(t, scenarios.SequenceKind, kind)
	require.Len(t, problems, 4)
	assert.Contains(t, problems[0].Message, "the input rPosition is never read")
	assert.Contains(t, problems[1].Message, "not bound, so that the program does not know of them: cancel, ")
	assert.Contains(t, problems[2].Message, "inputs of Park that nothing sets: rPosition")
	assert.Contains(t, problems[3].Message, "not bound, so that they stay as they are at the start of a run: target_mm, ")
	_, warnings, err := scenarios.LoadLogic(program, scenarios.Below)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	require.NoError(t, os.Remove(filepath.Join(filepath.Dir(file), "park.yaml")))
	_, problems, err = scenarios.Vet(program, scenarios.Below)
	require.NoError(t, err)
	require.Len(t, problems, 4, "without a binding nothing says which states are ends")
	assert.Contains(t, problems[3].Message, "has no binding")
}

// While the binding is refused, vet says of the program what it can, and names the problems of the binding
// in the order of its lines.
func TestVetOfAProgramWithARefusedBinding(t *testing.T) {
	t.Parallel()
	const idle = "the input rPosition is never read"
	for _, c := range []struct {
		name, old, now string
		errors         []string
		warned         bool
	}{
		{"OfASignal", "alarm: sAlarm", "alarm: sAlarn\n  target_mm: sAlarm", []string{"park.yaml:9:10", "park.yaml:10:14"}, true},
		{"OutOfOrder", "state:\n", "scans: xNone\nstate:\n  flags: {xStart: a}\n", []string{"park.yaml:10:8", "park.yaml:11:"}, true},
		{"OfAWord", "alarm: sAlarm", "alarm: {flags: {sAlarm: a}}", []string{"park.yaml:9:"}, true},
		{"OfAKey", "params:", "parms:", []string{"park.yaml:13:1"}, true},
		{"OfTheForm", "alarm: sAlarm", "alarm: [", []string{"park.yaml:"}, true},
		{"OfTheBlock", "block: Park", "block: Parc", []string{"park.yaml:3:8"}, true},
		{"OfTheFile", "program: park.st", "program: parc.st", []string{"park.yaml:2:10"}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			file := parked(t, func(name, text string) string {
				if name == "park.yaml" {
					return strings.Replace(text, c.old, c.now, 1)
				}
				return text
			})
			for _, of := range []string{"park.st", "park.yaml"} {
				if of == "park.yaml" && c.name == "OfTheForm" {
					continue // nothing says that it is a binding
				}
				_, problems, err := scenarios.Vet(filepath.Join(filepath.Dir(file), of), scenarios.Below)
				require.NoError(t, err)
				var wrong []string
				warned := 0
				for _, p := range problems {
					if !p.Warning {
						wrong = append(wrong, fmt.Sprintf("%s:%d:%d", filepath.Base(p.File), p.Line, p.Column))
					} else if strings.Contains(p.Message, idle) {
						warned++
					}
				}
				require.Len(t, wrong, len(c.errors), "%s %v", of, problems)
				for i := range wrong {
					assert.True(t, strings.HasPrefix(wrong[i], c.errors[i]), "%s: %s, want %s", of, wrong[i], c.errors[i])
				}
				assert.Equal(t, c.warned, warned == 1, "%s %v", of, problems)
			}
		})
	}
}

// waits are the warnings of a program in place of a built-in one, bound as that is.
func waits(t *testing.T, name string, change func(string) string) []string {
	t.Helper()
	folder := t.TempDir()
	for _, file := range []string{name + ".yaml", name + ".st"} {
		text, err := os.ReadFile(filepath.Join("sequences", file))
		require.NoError(t, err)
		if filepath.Ext(file) == ".st" {
			text = []byte(change(string(text)))
		}
		require.NoError(t, os.WriteFile(filepath.Join(folder, file), text, 0o600))
	}
	_, problems, err := scenarios.Vet(filepath.Join(folder, name+".st"), scenarios.Below)
	require.NoError(t, err)
	var found []string
	for _, p := range problems {
		if strings.Contains(p.Message, "may wait") {
			found = append(found, fmt.Sprintf("%d:%d: %s", p.Line, p.Column, p.Message))
		}
	}
	return found
}

// The two programs leave each state in time. Where a limit is taken out, the state that had it is
// reported, at its branch.
func TestWaitsOfThePrograms(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"reference-case", "reference-chain"} {
		assert.Empty(t, waits(t, name, func(text string) string { return text }), name)
	}
	const never = "FALSE THEN (* a limit that is never kept *)"
	for _, c := range []struct{ name, limit, branch, state string }{
		{"reference-case", "in_state.ET >= travel_time THEN\n      state := SECURE_AXIS; reason := F_NOT_AT_TEST_POSITION", "  TRAVEL:\n    (* To the test", "the state TRAVEL "},
		{"reference-case", "closed.Q OR in_state.ET >= stop_time THEN\n      state := LOCKED_OUT", "  ON_BRAKE_ALONE:\n    closed(", "the state ON_BRAKE_ALONE "},
		{"reference-case", "in_state.ET >= press_time THEN\n      state := SECURE_AXIS; reason := F_LOAD_NOT_CARRIED", "  TRANSFER_LOAD:\n    (* The motor", "the state TRANSFER_LOAD "},
		{"reference-chain", "in_step.ET >= stop_time THEN\n    secures := TRUE; why := NOT_CARRIED", "IF now.hold THEN\n", "the step now.hold "},
	} {
		line := 0
		found := waits(t, c.name, func(text string) string {
			require.Equal(t, 1, strings.Count(text, c.limit), c.limit)
			at := strings.Index(text, c.branch)
			require.Positive(t, at, c.branch)
			line = strings.Count(text[:at], "\n") + 1
			_, rest, _ := strings.Cut(c.limit, "THEN")
			return strings.Replace(text, c.limit, never+rest, 1)
		})
		require.Len(t, found, 1, c.state)
		assert.True(t, strings.HasPrefix(found[0], fmt.Sprintf("%d:", line)), "%s in line %d", found[0], line)
		assert.Contains(t, found[0], c.state)
	}
}
