package evaluatecmd

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
)

// program is a holdbench of what this package has, and no more.
func program() clitest.Program { return clitest.With(New) }

func TestMain(m *testing.M) { program().Main(m) }

func invoke(ctx context.Context, args ...string) clitest.Outcome {
	return program().Invoke(ctx, args...)
}

// The columns of recorders.
const (
	usual = "position_mm,torque_nm,current_rms_a,brake_closed,brake,drive,ask,required_current_a,target_mm,operation"
	few   = "position_mm,torque_nm,brake"
)

// measured is a recording of a scenario with some columns, made up by the bench.
func measured(t *testing.T, scenario, columns string) string {
	t.Helper()
	return clitest.Measured(t, scenario, columns)
}

func write(t *testing.T, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "measured.csv")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

func TestExamples(t *testing.T) {
	files := map[string]string{"measured.csv": measured(t, "healthy-down-and-up", usual)}
	program().ExamplesWith(t, "evaluate", files, []clitest.Example{
		{Line: "holdbench evaluate measured.csv --rig pane-hoist", Prints: []string{`^✓ proven, at each of 8 phases of the safety scan$`, `^required torque +-1\.034 N·m +7\.07 N·m$`, `^validation\.$`}},
		{Line: "holdbench evaluate measured.csv --rig pane-hoist --set judge.window_deg=0.5", Prints: []string{`^of the window .* of 0\.5 deg`}},
		{Line: "holdbench evaluate measured.csv --rig pane-hoist --date 2026-11-28", Prints: []string{`test of 2026-11-28`}},
		{Line: "holdbench evaluate measured.csv --rig pane-hoist --plot measured.svg", Prints: []string{`^✓ proven`}},
		{Line: "holdbench evaluate measured.csv --rig pane-hoist --scenario lining-worn-thin", Prints: []string{`^scenario lining-worn-thin, sequence reference, seed 1: verdict failed, class$`}},
		{Line: "holdbench evaluate measured.csv --rig pane-hoist --json", Prints: []string{`^\{"rig":"pane-hoist",.*"verdict":"proven"`}, Data: true},
	})
	picture, err := os.ReadFile("measured.svg")
	require.NoError(t, err)
	for _, text := range []string{"moved, deg", "simulated: scenario test-of-pane-hoist, aligned by brake_closed", "window ±1.5 deg", "down passed", "up passed"} {
		assert.Contains(t, string(picture), text)
	}
}

// The settings of the command line stand beside what was judged with them.
func TestSettingsAreRecorded(t *testing.T) {
	got := invoke(t.Context(), "evaluate", write(t, measured(t, "healthy-down-and-up", usual)), "--rig", "pane-hoist", "--set", "judge.window_deg=0.5", "--json")
	assert.Contains(t, got.Stdout, `"settings":["judge.window_deg=0.5"]`)
}

func TestPageIsKept(t *testing.T) { program().Pages(t, "evaluate --help") }

// The pages of a test that fails and of one of which little was recorded.
func TestPages(t *testing.T) {
	for _, x := range []struct{ name, scenario, columns, rig, flags string }{
		{"worn", "lining-worn-thin", usual, "pane-hoist", ""},
		{"two-brakes", "second-brake-worn", "position_mm,torque_nm,brake_closed,brake_2_closed,brake,ask", "ladle-lift", ""},
		{"few-ascii", "healthy-arm", few, "tilt-arm", "--ascii"},
	} {
		t.Run(x.name, func(t *testing.T) {
			args := append([]string{"evaluate", write(t, measured(t, x.scenario, x.columns)), "--rig", x.rig}, strings.Fields(x.flags)...)
			got := invoke(t.Context(), args...)
			require.LessOrEqual(t, got.Code, command.ExitBroken, got.Stderr)
			clitest.KeepsToThePage(t, got.Stdout, 80, x.flags != "")
			golden := filepath.Join("testdata", x.name+".txt")
			if clitest.Updating() {
				require.NoError(t, os.WriteFile(golden, []byte(got.Stdout), 0o600))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			assert.Equal(t, string(want), got.Stdout)
		})
	}
}

// What comes of a recording decides the exit code.
func TestExitCodes(t *testing.T) {
	healthy, worn := write(t, measured(t, "healthy-down-and-up", usual)), write(t, measured(t, "lining-worn-thin", usual))
	blind := write(t, measured(t, "healthy-down-and-up", "torque_nm"))
	for _, x := range []struct {
		args  string
		code  int
		wants string // on standard output, or on standard error of what cannot be used
	}{
		{healthy + " --rig pane-hoist", command.ExitOK, `(?m)^✓ proven`},
		{worn + " --rig pane-hoist", command.ExitBroken, `(?m)^✗ failed: moved`},
		{healthy + " --rig pane-hoist --set judge.window_deg=0.01", command.ExitBroken, `(?m)^✗ failed: moved`},
		{healthy + " --rig pane-hoist --set judge.ceiling_nm=7.2", command.ExitBroken, `(?m)^✗ broken +below-ceiling +at`},
		{healthy + " --rig pane-hoist --max-gap 2ms", command.ExitBroken, `(?m)^✗ no verdict: the recording has a gap in a check`},
		{blind + " --rig pane-hoist", command.ExitWrong, `measured\.csv: no position is recorded.*must have position_mm(.|\n)*must have brake_closed, its feedback, or brake, its command`},
		{filepath.Join(filepath.Dir(blind), "none.csv") + " --rig pane-hoist", command.ExitWrong, `none\.csv.*no such file`},
		{filepath.Dir(blind) + " --rig pane-hoist", command.ExitWrong, `is a folder; must be a recording`},
		{"- --rig pane-hoist", command.ExitWrong, `-: a recording is not read from standard input; must be a file`},
		{healthy + " --rig pane-hoist --set judge.window=1", command.ExitWrong, `"judge\.window" is no value that can be set; the nearest valid one is "judge\.window_deg"`},
		{healthy + " --rig pane-hoist --output x", command.ExitWrong, `there is no flag "--output"; none of the \d+ flags is similar`},
		{healthy + " --rig pane-hoist --colums x", command.ExitWrong, `the nearest valid one is "--columns"`},
		{healthy, command.ExitWrong, `--rig is missing; must be`},
		{healthy + " --rig pane-hoist --date yesterday", command.ExitWrong, `--date is "yesterday"; must be a date such as`},
		{healthy + " --rig pane-hoist --phases 0", command.ExitWrong, `--phases is 0; must be a whole number from 1 to 100`},
		{healthy + " --rig pane-hoist --plot a.pdf", command.ExitWrong, `--plot is "a.pdf", which ends in ".pdf"; must end in .svg or .png`},
		{healthy + " --rig pane-hoist --set judge.window_deg=wide", command.ExitWrong, `--set judge.window_deg=wide: judge.window_deg is "wide"`},
	} {
		got := invoke(t.Context(), append([]string{"evaluate"}, strings.Fields(x.args)...)...)
		assert.Equal(t, x.code, got.Code, "%s: %s", x.args, got.Stderr)
		if x.code == command.ExitWrong {
			assert.Regexp(t, x.wants, got.Stderr)
			assert.Empty(t, got.Stdout)
		} else {
			assert.Regexp(t, x.wants, got.Stdout, x.args)
		}
	}
}
