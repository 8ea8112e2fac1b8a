package scenarios_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
	"holdbench/scenarios"
	"holdbench/sim"
)

// withValue is the rig pane-hoist with another line in place of that of its test position.
func withValue(t *testing.T, line string) string {
	t.Helper()
	_, text, err := scenarios.Text(scenarios.RigKind, "pane-hoist")
	require.NoError(t, err)
	changed := strings.Replace(string(text), "test_position_mm: 420", line, 1)
	require.NotEqual(t, string(text), changed)
	return changed
}

// A rig's value for the sequence that is misspelt would be left out, and the sequence would test with its own
// value. It is refused where it stands, and so is a value that is wrong; one for another sequence is not.
func TestRigValuesForTheSequence(t *testing.T) {
	t.Parallel()
	const own = "sequence: own\nstart: a\nparams: {test_position_mm: 420, reach_mm: 3}\nstates: {a: {go: [{to: b, when: position_mm > test_position_mm + reach_mm}]}, b: {}}\nends: {b: pass}\n"
	for name, c := range map[string]struct {
		line     string
		sequence string
		want     string // empty for no problem
		column   int
		warning  bool
	}{
		"Right":              {"test_position_mm: 430", "reference", "", 0, false},
		"Misspelt":           {"tset_position_mm: 420", "reference", `sequence reference has no parameter "tset_position_mm"; the nearest valid one is "test_position_mm"`, 21, false},
		"WithoutUnit":        {"test_position: 420", "reference", `sequence reference has no parameter "test_position"; the nearest valid one is "test_position_mm"`, 18, false},
		"DivisionByZero":     {"test_position_mm: 1 / 0", "reference", "test_position_mm is not a finite number; check for a division by zero or the root of a negative number", 21, false},
		"NoExpression":       {"test_position_mm: 1 +", "reference", "the expression ends too early", 23, false},
		"OfBuiltInSequence":  {"test_position_mm: 421", "own.yaml", "", 0, false},
		"OfAnotherSequence":  {"hook_height_mm: 12", "reference", `sequence reference has no parameter "hook_height_mm": the value is not used`, 19, true},
		"OfItsOwnSequence":   {"reach_mm: 12", "own.yaml", "", 0, false},
		"MisspeltOfItsOwn":   {"raech_mm: 12", "own.yaml", `sequence own has no parameter "raech_mm"; the nearest valid one is "reach_mm"`, 13, false},
		"BesideTheRightOne":  {"test_position_mm: 420\n  test_position2_mm: 420", "reference", `sequence reference has no parameter "test_position2_mm": the value is not used`, 22, true},
		"WithAnotherUnit":    {"test_position_deg: 12", "reference", `sequence reference has no parameter "test_position_deg": the value is not used`, 22, true},
		"MisspeltOfBuiltIns": {"load_torqe_nm: 2", "own.yaml", `sequence own has no parameter "load_torqe_nm"; the nearest valid one is "load_torque_nm"`, 18, false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			folder := t.TempDir()
			in := func(name, text string) string {
				file := filepath.Join(folder, name)
				require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
				return file
			}
			text := withValue(t, c.line)
			if c.line == "load_torqe_nm: 2" {
				text = strings.Replace(text, "  load_torque_nm: 2.81\n", "", 1)
			}
			rig := in("rig.yaml", text)
			in("own.yaml", own)
			scenario := in("scenario.yaml", "scenario: s\ntitle: S\nrig: rig.yaml\nsequence: "+c.sequence+"\n")
			_, warnings, err := scenarios.LoadCase(scenario, scenarios.Overrides{})
			check := func(found problem.List) {
				found = ofValues(found)
				if c.want == "" {
					assert.Empty(t, found)
					return
				}
				require.Len(t, found, 1)
				assert.Equal(t, c.want, found[0].Message)
				assert.Equal(t, c.warning, found[0].Warning)
				assert.Equal(t, rig, found[0].File)
				last := strings.Split(c.line, "\n")
				above, _, _ := strings.Cut(text, last[len(last)-1])
				assert.Equal(t, strings.Count(above, "\n")+1, found[0].Line)
				assert.Equal(t, c.column, found[0].Column)
			}
			check(append(problem.Of(err), warnings...))

			loaded, _, err := scenarios.LoadRig(rig)
			require.NoError(t, err)
			sequence := c.sequence
			if sequence == "own.yaml" {
				sequence = filepath.Join(folder, sequence)
			}
			logic, _, err := scenarios.LoadLogic(sequence, scenarios.Below)
			require.NoError(t, err)
			_, warnings, err = scenarios.CaseOfRig(sim.Scenario{Scenario: "s", Title: "S"}, rig, loaded, logic)
			check(append(problem.Of(err), warnings...))
		})
	}
}

// ofValues are the problems with values for the sequence.
func ofValues(found problem.List) problem.List {
	var list problem.List
	for _, p := range found {
		if strings.HasSuffix(p.File, "rig.yaml") {
			list = append(list, p)
		}
	}
	return list
}

// A rig by itself is looked at with the built-in sequence for it, and warned of.
func TestVetOfRigValues(t *testing.T) {
	t.Parallel()
	for line, want := range map[string]string{
		"tset_position_mm: 420":   `with sequence reference: sequence reference has no parameter "tset_position_mm"; the nearest valid one is "test_position_mm"`,
		"test_position_mm: 1 / 0": "with sequence reference: test_position_mm is not a finite number; check for a division by zero or the root of a negative number",
	} {
		file := filepath.Join(t.TempDir(), "rig.yaml")
		require.NoError(t, os.WriteFile(file, []byte(withValue(t, line)), 0o600))
		_, found, err := scenarios.Vet(file, scenarios.Below)
		require.NoError(t, err)
		require.Len(t, found, 1)
		assert.Equal(t, want, found[0].Message)
		assert.True(t, found[0].Warning)
		assert.Positive(t, found[0].Line)
		assert.Contains(t, found[0].Excerpt, line)
	}
}
