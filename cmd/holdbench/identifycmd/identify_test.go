package identifycmd

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/plant/identify"
	"holdbench/plant/recording"
	"holdbench/scenarios"
)

func TestExamples(t *testing.T) {
	files := map[string]string{"axis.csv": measured(t)}
	program().ExamplesWith(t, "identify", files, []clitest.Example{
		{Line: "holdbench identify pane-hoist --from axis.csv", Prints: []string{`^load\.mass_kg +180 +180 +1[78]\d\.\d+ to 180\.\d+$`, `^brake\.static_nm +≥ 3\.4`, `^transmission\.efficiency: the same travel with and without payload`, `^validation\.$`}},
		{Line: "holdbench identify pane-hoist --from axis.csv --mass-kg 180", Prints: []string{`^motor\.torque_constant_nm_per_rms_a +1\.1 +1\.1 `, `^load\.mass_kg +180 +180 +weighed$`, `By the$`}},
		{Line: "holdbench identify pane-hoist --from axis.csv --found pieces.yaml", Prints: []string{`^found`}, Says: `^pieces.yaml written$`},
		{Line: "holdbench identify pane-hoist --from axis.csv --pieces pieces.yaml -o rig.yaml", Prints: []string{`^found`}, Says: `^rig.yaml written$`},
		{Line: "holdbench identify pane-hoist --from axis.csv --plot residuals.svg", Prints: []string{`^found`}, Says: `^residuals.svg written$`},
		{Line: "holdbench identify pane-hoist --from axis.csv --json", Prints: []string{`^\{"rig":"pane-hoist",.*"path":"load.mass_kg",.*"standing":"fitted"`}, Data: true},
	})
	rig, _, err := scenarios.LoadRig("./rig.yaml")
	require.NoError(t, err)
	assert.InEpsilon(t, 180, rig.Load.MassKG, 0.001)
	text, err := os.ReadFile("rig.yaml")
	require.NoError(t, err)
	assert.Regexp(t, `(?m)^  mass_kg: 1[78]\d\.?\d*   # fitted, 95 % from \d+\.\d+ to \d+\.\d+ kg; \d+ windows of travel and acceleration of axis\.csv$`, string(text))
	picture, err := os.ReadFile("residuals.svg")
	require.NoError(t, err)
	assert.Contains(t, string(picture), "stop by brake")
}

func TestPageIsKept(t *testing.T) { program().Pages(t, "identify --help") }

// A page of a recording with everything, and one of travel alone in ASCII.
func TestPages(t *testing.T) {
	whole := measured(t)
	lines := strings.SplitAfter(whole, "\n")
	for _, x := range []struct{ name, text, flags string }{
		{"whole", whole, ""},
		{"travel-ascii", strings.Join(lines[:7000], ""), "--ascii"},
	} {
		t.Run(x.name, func(t *testing.T) {
			path := write(t, "axis.csv", x.text)
			got := invoke(t.Context(), append([]string{"identify", "pane-hoist", "--from", path}, strings.Fields(x.flags)...)...)
			require.Equal(t, command.ExitOK, got.Code, got.Stderr)
			clitest.KeepsToThePage(t, got.Stdout, 80, x.flags != "")
			clitest.Golden(t, "", x.name+".txt", got.Stdout)
		})
	}
}

// The object has every value, those that are not told without a number.
func TestJSONObject(t *testing.T) {
	got := invoke(t.Context(), "identify", "pane-hoist", "--json", "--from", write(t, "axis.csv", measured(t)))
	require.Equal(t, command.ExitOK, got.Code, got.Stderr)
	var o identifyObject
	require.NoError(t, json.Unmarshal([]byte(got.Stdout), &o))
	for _, v := range o.Values {
		if v.Standing == "not determined" {
			assert.Nil(t, v.Value, v.Name)
			assert.NotEmpty(t, v.By, v.Name)
		} else {
			assert.NotNil(t, v.Value, v.Name)
		}
	}
	assert.NotNil(t, o.Fit.Condition)
	require.NotEmpty(t, o.Fit.Related)
	assert.Len(t, o.Recordings, 1)
	assert.Len(t, o.Recordings[0].SHA256, 64)
	assert.NotEmpty(t, o.Recordings[0].Pieces)
}

// The bench records as the controller that commands the brake. When the command names it, t11 is no longer unknown within a
// sample, and the interval is that of its samples.
func TestRecordedByController(t *testing.T) {
	axis := write(t, "axis.csv", measured(t))
	delay := func(flags ...string) (low, high float64) {
		got := invoke(t.Context(), append([]string{"identify", "pane-hoist", "--json", "--from", axis}, flags...)...)
		require.Equal(t, command.ExitOK, got.Code, got.Stderr)
		var o identifyObject
		require.NoError(t, json.Unmarshal([]byte(got.Stdout), &o))
		for _, v := range o.Values {
			if v.Path == "brake.response_delay" {
				return *v.Low, *v.High
			}
		}
		t.Fatal("t11 is not found")
		return 0, 0
	}
	const truth, sample = 0.025, 0.002 // s, of pane-hoist and of the recorder
	low, high := delay()
	assert.Greater(t, high-low, sample/2)
	low, high = delay("--recorded-by-controller")
	assert.Less(t, high-low, sample/5)
	assert.LessOrEqual(t, low, truth)
	assert.GreaterOrEqual(t, high, truth)
}

// With a weighed mass the load torque is given and no result of the fit; standard errors, condition and correlations are
// on the page.
func TestWeighedMassIsGiven(t *testing.T) {
	axis := write(t, "axis.csv", measured(t))
	got := invoke(t.Context(), "identify", "pane-hoist", "--json", "--from", axis, "--mass-kg", "180")
	require.Equal(t, command.ExitOK, got.Code, got.Stderr)
	var o identifyObject
	require.NoError(t, json.Unmarshal([]byte(got.Stdout), &o))
	assert.Equal(t, "load torque at 200 mm", o.Values[0].Name)
	assert.Equal(t, "weighed", o.Values[0].Standing)
	assert.NotNil(t, o.Values[0].Was)

	got = invoke(t.Context(), "identify", "pane-hoist", "--from", axis, "--mass-kg", "180")
	require.Equal(t, command.ExitOK, got.Code, got.Stderr)
	assert.Regexp(t, `(?m)^load torque at 200 mm, N·m +2\.809 +2\.809 +weighed$`, got.Stdout)
	assert.Regexp(t, `(?m)^motor\.torque_constant_nm_per_rms_a +0\.000\d+ +0\.0\d+ %$`, got.Stdout)
	assert.Regexp(t, `(?m)^Condition of the scaled Fisher information: \d+ `, got.Stdout)
	assert.Regexp(t, `(?m)^-0\.\d+ +sliding friction and viscous friction$`, got.Stdout)
	clitest.KeepsToThePage(t, got.Stdout, 80, false)
}

// What cannot be used ends with 2 and says what would be right; nothing is printed or written.
func TestRefused(t *testing.T) {
	axis := write(t, "axis.csv", measured(t))
	blind := write(t, "blind.csv", "t_s,current_rms_a\n0,1\n0.1,1\n0.2,1\n")
	other := write(t, "pieces.yaml", "recordings:\n  - {recording: other.csv, pieces: []}\n")
	wrong := write(t, "wrong.yaml", "recordings:\n  - recording: a.csv\n    pieces: [{kind: up, from_s: 0, to_s: 1}]\n")
	for _, x := range []struct{ args, want string }{
		{"pane-hoist", `--from is missing; must be a recording of the axis`},
		{"pane-hoist --from " + blind, `blind\.csv has no position; must have position_mm, position_deg or angle_rad`},
		{"pane-hoist --from none.csv", `none\.csv`},
		{"no-hoist --from " + axis, `there is no rig "no-hoist"`},
		{"pane-hoist --mass-kg -3 --from " + axis, `--mass-kg is -3; must be a number from 0 to 1,000,000`},
		{"pane-hoist --plot a.pdf --from " + axis, `--plot is "a.pdf", which ends in ".pdf"; must end in .svg or .png`},
		{"pane-hoist -o a.yaml --found ./a.yaml --from " + axis, `--found \./a\.yaml is the file of --output, too; must be another one`},
		{"pane-hoist --json -o - --from " + axis, `only one of --json, -o -, --found - and --plot - can have standard output`},
		{"pane-hoist --from " + axis + " --from " + axis, `is there twice; must be once`},
		{"pane-hoist --pieces " + other + " --from " + axis, `has pieces of "other\.csv"; must be of a recording of --from`},
		{"pane-hoist --pieces " + wrong + " --from " + axis, `wrong\.yaml:3:21: kind is "up"; must be one of standstill-open`},
	} {
		got := invoke(t.Context(), append([]string{"identify"}, strings.Fields(x.args)...)...)
		assert.Equal(t, command.ExitWrong, got.Code, x.args)
		assert.Regexp(t, x.want, got.Stderr)
		assert.Empty(t, got.Stdout, x.args)
	}
}

// Values that were found keep the rig whole: what must follow them does, and the brake's file says what the recording
// proved.
func TestWrittenRigIsWhole(t *testing.T) {
	rig, _, err := scenarios.LoadRig("pane-hoist")
	require.NoError(t, err)
	z := &identified{reference: "pane-hoist", rig: rig, result: &identify.Result{Values: []identify.Value{
		{Path: "guide.sliding_nm", Standing: identify.Fitted, Value: 0.42, Low: 0.41, High: 0.43, Unit: "N·m"},
		{Path: "brake.release_time", Standing: identify.Fitted, Value: 0.018, Low: 0.017, High: 0.019, Unit: "s"},
		{Path: "brake.static_nm", Standing: identify.AtLeast, Value: 9.5, Was: 9, Unit: "N·m", Source: "press at 3 s, no slip"},
	}}}
	var text strings.Builder
	require.NoError(t, writeRig(&text, z))
	assert.Regexp(t, `(?m)^  breakaway_nm: 0\.42 +# not fitted; 0\.12 N·m would be below`, text.String())
	assert.Regexp(t, `(?m)^  release_delay: 10\.29ms +# not fitted; its share`, text.String())
	assert.Regexp(t, `(?m)^  static_nm: 9 +# not fitted; at least 9\.5 N·m held without a slip: the value of the rig contradicts`, text.String())
}

// The head of a written rig names the recordings, and has every warning: it must not say of the old values, as that of a data
// sheet does, that nothing is measured. Written again from its own output it has one head.
func TestHeadOfAWrittenRig(t *testing.T) {
	const sheet = "# As its data sheets have it. Nothing here is measured.\nrig: lift\n# kept\n"
	z := &identified{
		reference: "sheets/lift.yaml", result: &identify.Result{Warnings: []string{"the scale may be wrong"}}, doubts: []string{"travel.csv: holds the load"},
		recordings: []*recording.Recording{{Source: "data/travel.csv", SHA256: "4cfd", Start: "2026-02-17T09:30:00"}, {Source: "brake.csv", SHA256: "19cb"}},
	}
	head := "# " + headMark + "those marked fitted or weighed. All others are those of lift.yaml.\n" +
		"# Recording travel.csv of 2026-02-17T09:30:00, SHA-256 4cfd\n# Recording brake.csv, SHA-256 19cb\n" +
		"# Warning: travel.csv: holds the load\n# Warning: the scale may be wrong\n"
	quoted := "# Head of that rig: As its data sheets have it. Nothing here is measured.\n"
	first := string(z.headed([]byte(sheet)))
	assert.Equal(t, head+quoted+"rig: lift\n# kept\n", first)
	assert.Equal(t, head+"rig: lift\n# kept\n", string(z.headed([]byte(first))))
}

// A rig that cannot be written keeps nobody from reading what was found, and a fit that fails leaves its pieces.
func TestResultOutlivesAFile(t *testing.T) {
	axis := write(t, "axis.csv", measured(t))
	_, text, err := scenarios.Text(scenarios.RigKind, "pane-hoist")
	require.NoError(t, err)
	oneLine := regexp.MustCompile(`(?m)^guide:\n(  .*\n)+`).ReplaceAllString(string(text), "guide: {sliding_nm: 0.08, viscous_nm_s: 0.0002}\n")
	rig := write(t, "rig.yaml", oneLine)
	got := invoke(t.Context(), "identify", rig, "--from", axis, "-o", filepath.Join(t.TempDir(), "out.yaml"))
	assert.Equal(t, command.ExitWrong, got.Code)
	assert.Contains(t, got.Stdout, "guide.sliding_nm", got.Stderr)

	found := filepath.Join(t.TempDir(), "pieces.yaml")
	still := write(t, "still.csv", "t_s,position_mm,current_rms_a\n"+standing(200))
	got = invoke(t.Context(), "identify", "pane-hoist", "--from", still, "--found", found)
	assert.Equal(t, command.ExitWrong, got.Code)
	assert.Regexp(t, `Found in .*still\.csv: standstill-open 1.*--found writes the pieces`, got.Stderr)
	assert.FileExists(t, found)
}

// standing are rows of an axis that stands.
func standing(n int) string {
	var rows strings.Builder
	for i := range n {
		fmt.Fprintf(&rows, "%g,200,2.5\n", float64(i)/100)
	}
	return rows.String()
}
