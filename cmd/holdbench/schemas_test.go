package main

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
)

// schemaOf is what the command schema prints, as an independent validator reads it.
func schemaOf(t *testing.T, kind string) *jsonschema.Schema {
	t.Helper()
	got := invoke(t.Context(), "schema", kind)
	require.Equal(t, command.ExitOK, got.Code, got.Stderr)
	document, err := jsonschema.UnmarshalJSON(strings.NewReader(got.Stdout))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource(kind, document))
	s, err := c.Compile(kind)
	require.NoError(t, err)
	return s
}

// A sequence with mutants, a scenario that looks at them, and one in which the controller stops by itself.
const (
	lookSequence = "sequence: look\nstart: ready\nparams: {in_position_mm: 0.05}\nstates:\n" +
		"  ready: {set: {drive: hold, brake: open}, go: [{to: passed, when: trigger and standstill, for: 20ms}]}\n" +
		"  passed: {}\n  stopped: {set: {drive: off, brake: closed}}\nany: [{to: stopped, when: safe_stop}]\nends: {passed: pass, stopped: stop}\n"
	lookScenario   = "scenario: look-once\ntitle: One look\nrig: pane-hoist\nsequence: ../look.yaml\nexpect: {end: pass, obligations: [{broken: fresh-proof, why: there is no test}]}\n"
	answeredRiddle = `{"rig":"pane-hoist","sequence":"reference","level":"one","seed":1,"truth":"lining-worn","cause":"oil-on-lining","right_remedy":"replace-brake","remedy":"replace-brake","looks":1,"points":4}` + "\n"

	stoppedScenario = "scenario: stopped\ntitle: The controller stops\nrig: pane-hoist\nsequence: reference\n" +
		"faults: [{when: {state: press_down}, set: {controller.overrun: true}}]\nexpect: {obligations: all}\n"
)

// Every JSON that a command prints fits its schema, line by line.
func TestOutputsFitTheirSchemas(t *testing.T) {
	const fast = "rig.clock.tick=1ms"
	folder := t.TempDir()
	kept, sequence := filepath.Join(folder, "kept.jsonl"), filepath.Join(folder, "look.yaml")
	require.NoError(t, os.WriteFile(sequence, []byte(lookSequence), 0o600))
	require.NoError(t, os.Mkdir(filepath.Join(folder, "mine"), 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "mine", "once.yaml"), []byte(lookScenario), 0o600))
	stopped := filepath.Join(folder, "stopped.yaml")
	require.NoError(t, os.WriteFile(stopped, []byte(stoppedScenario), 0o600))
	recorded := filepath.Join(folder, "recorded.csv")
	require.NoError(t, os.WriteFile(recorded, []byte("t_s,position_mm,brake_closed,motor_temp_c\n0.5,200,0,30\n1,201,1,31\n9,420,0,32\n"), 0o600))
	lines := map[string]int{}
	answered := filepath.Join(folder, "answered.jsonl")
	require.NoError(t, os.WriteFile(answered, []byte(answeredRiddle), 0o600))
	measured := filepath.Join(folder, "measured.csv")
	require.NoError(t, os.WriteFile(measured, []byte(measuredIn(t, "lining-worn-thin")), 0o600))
	fit := func(kind, text string) {
		t.Helper()
		s := schemaOf(t, kind)
		for line := range strings.Lines(text) {
			value, err := jsonschema.UnmarshalJSON(strings.NewReader(line))
			require.NoError(t, err)
			assert.NoError(t, s.Validate(value), kind)
			lines[kind]++
		}
	}
	for _, c := range []struct{ kind, command string }{
		{"run", "run lining-worn-thin --json"},
		{"run", "run " + stopped + " --json"},
		{"run", "run healthy-down --json --against " + recorded},
		{"run", "run healthy-down --json --set judge.dwell=1200ms --fault brake-hot@travel"},
		{"run", "run start-as-the-guard-opens --json --rig store-lift"},
		{"run", "check both-brakes-closed-refused --json"},
		{"run", "check start-as-the-guard-opens oil-on-the-lining --json"},
		{"diff", "diff healthy-down lining-worn-thin --json"},
		{"diff", "diff lining-worn-thin --nominal --align state:press_down --at 3s --json"},
		{"mutant", "check --mutate --allow-outside --sequence " + sequence + " --json " + filepath.Join(folder, "mine")},
		{"probe", "probe --fault encoder-frozen --state travel --json"},
		{"sweep", "sweep healthy-down --runs 21 --json --keep " + kept + " --set " + fast},
		{"sweep", "sweep healthy-down --runs 2 --map --json --set " + fast},
		{"sweep", "merge " + kept + " --json"},
		{"life", "life pane-hoist --histories 4 --span 4w --runs 1 --intervals none --json --set " + fast},
		{"life", "life twin-lift --histories 2 --span 2w --runs 1 --intervals 8h --json --set " + fast},
		{"size", "size pane-hoist --json"},
		{"size", "size tilt-arm --json"},
		{"size", "size twin-lift --json"},
		{"identify", "identify pane-hoist --from " + measured + " --json"},
		{"evaluate", "evaluate " + measured + " --rig pane-hoist --json"},
		{"trend", "trend " + measured + " --rig pane-hoist --json"},
		{"score", "score " + answered + " --json"},
		{"list", "list --json"}, {"list", "list scenarios --json"}, {"list", "list faults --json"}, {"list", "list signals --json"}, {"list", "list settings --json"},
	} {
		got := invoke(t.Context(), strings.Fields(c.command)...)
		require.LessOrEqual(t, got.Code, command.ExitBroken, "%s: %s", c.command, got.Stderr)
		require.NotEmpty(t, got.Stdout, c.command)
		fit(c.kind, got.Stdout)
	}
	text, err := os.ReadFile(kept)
	require.NoError(t, err)
	fit("sweep-line", string(text))
	for _, o := range outputs() {
		assert.Positive(t, lines[o.Name], o.Name)
	}
}

// measuredIn is what a recorder of the axis would have seen of a run.
func measuredIn(t *testing.T, scenario string) string {
	t.Helper()
	trace := invoke(t.Context(), "run", scenario, "--trace", "-")
	require.LessOrEqual(t, trace.Code, command.ExitBroken, trace.Stderr)
	rows, err := csv.NewReader(strings.NewReader(trace.Stdout)).ReadAll()
	require.NoError(t, err)
	var text strings.Builder
	for _, row := range rows {
		for i, name := range rows[0] {
			switch name {
			case "t_s":
				text.WriteString(row[i])
			case "position_mm", "torque_nm", "current_rms_a", "brake_closed", "brake", "drive", "ask", "required_current_a", "target_mm":
				text.WriteString("," + row[i])
			}
		}
		text.WriteString("\n")
	}
	return text.String()
}
