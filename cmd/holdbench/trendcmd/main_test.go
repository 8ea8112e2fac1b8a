package trendcmd

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/sim"
	"holdbench/sim/evaluate"
)

// program is a holdbench of what this package has, and no more.
func program() clitest.Program { return clitest.With(New) }

func TestMain(m *testing.M) { program().Main(m) }

func invoke(ctx context.Context, args ...string) clitest.Outcome {
	return program().Invoke(ctx, args...)
}

const recorded = "position_mm,torque_nm,current_rms_a,brake_closed,brake,drive,ask,required_current_a"

// evaluated is what evaluate --json prints of the test of a week of an invented axis: its brake closes later
// from week to week, and in the 19th week the load became heavier.
func evaluated(t *testing.T, week int, change func(e *evaluate.Evaluation, from *command.Origin)) string {
	t.Helper()
	scatter := []float64{0.3, -0.5, 0.1, 0.4, -0.2, -0.4, 0.5, -0.1, 0.2, -0.3}[week%10]
	closing, moved, stop, holding := (40+0.4*float64(week)+scatter)/1000, 0.044+0.022*float64(week%2), 13.2+scatter, 4.2+scatter/10
	if week >= 18 {
		holding += 0.3
	}
	sum := sha256.Sum256([]byte{byte(week)})
	e := evaluate.Evaluation{
		Rig: "my-axis", SHA256: hex.EncodeToString(sum[:]), Verdict: evaluate.Proven,
		Date:    time.Date(2026, 1, 5+7*week, 0, 0, 0, 0, time.UTC).Format(time.DateOnly),
		Checks:  []evaluate.Check{{Movement: &evaluate.MovementMargin{WindowDeg: 0.15}}},
		Figures: evaluate.Figures{ClosingS: &closing, MovementDownDeg: &moved, StoppingMM: &stop, StoppingBy: evaluate.ByBrake, HoldingBeforeRMSA: &holding},
	}
	from := command.Origin{Version: command.Version(), Sources: []sim.Document{{Kind: "rig", Name: "my-axis.yaml", SHA256: strings.Repeat("ab", 32)}}}
	if change != nil {
		change(&e, &from)
	}
	text, err := json.Marshal(struct {
		evaluate.Evaluation
		command.Origin
	}{e, from})
	require.NoError(t, err)
	return string(text) + "\n"
}

// weeks are the evaluations of so many weeks, by the names of their files.
func weeks(t *testing.T, n int) map[string]string {
	t.Helper()
	all := map[string]string{}
	for week := range n {
		all[fmt.Sprintf("week-%02d.json", week)] = evaluated(t, week, nil)
	}
	return all
}

// folder writes files into a folder of their own.
func folder(t *testing.T, texts map[string]string) string {
	t.Helper()
	in := filepath.Join(t.TempDir(), "tests")
	require.NoError(t, os.Mkdir(in, 0o700))
	for name, text := range texts {
		require.NoError(t, os.WriteFile(filepath.Join(in, name), []byte(text), 0o600))
	}
	return in
}

func TestExamples(t *testing.T) {
	texts := map[string]string{"2026-11-21.csv": clitest.Measured(t, "healthy-down-and-up", recorded), "2026-11-28.csv": clitest.Measured(t, "lining-worn-thin", recorded)}
	for name, text := range weeks(t, 30) {
		texts["tests/"+name] = text
	}
	program().ExamplesWith(t, "trend", texts, []clitest.Example{
		{Line: "holdbench trend tests", Prints: []string{`^!  closing_ms +watch: it rises, and no limit is known`, `^change +between 2026-05-04 and 2026-05-11 by \+0\.\d+ A`}},
		{Line: "holdbench trend tests --limit closing_ms=60 --limit stopping_mm=25", Code: command.ExitBroken, Prints: []string{`^✗  closing_ms +service before 2026-1\d-\d\d`, `^limit +25 mm \(--limit\)$`}},
		{Line: "holdbench trend tests --limit closing_ms=60 --since 2026-03-01 --horizon 90", Prints: []string{`the 8 before 2026-03-01 do not count`, `^!  closing_ms +service before 202[67]-\d\d-\d\d, the earliest: it rises and may$`}},
		{Line: "holdbench trend tests --as-of 2026-05-31 --plot trend.svg", Prints: []string{`^21 tests, 21 proven; from 2026-01-05 to 2026-05-25, horizon 180 days from$`}},
		{Line: "holdbench trend 2026-11-21.csv 2026-11-28.csv --rig pane-hoist", Code: command.ExitBroken, Prints: []string{`^2 tests, 1 proven; from 2026-11-21 to 2026-11-28`, `^✗  movement_down_deg +limit reached`, `watch: more tests are needed: there are 2, and`}},
		{Line: "holdbench trend tests --json", Prints: []string{`^\{"rig":"my-axis","axis":"days",.*"quantity":"closing_ms"`}, Data: true},
	})
	picture, err := os.ReadFile("trend.svg")
	require.NoError(t, err)
	assert.Contains(t, string(picture), "closing_ms")
	assert.Contains(t, string(picture), "limit 0.15 deg")
}

func TestPageIsKept(t *testing.T) { program().Pages(t, "trend --help") }

func TestPages(t *testing.T) {
	in := folder(t, weeks(t, 30))
	for name, flags := range map[string]string{"weeks": "--limit closing_ms=60 --limit stopping_mm=25", "few-ascii": "--as-of 2026-02-16 --ascii"} {
		got := invoke(t.Context(), append([]string{"trend", in}, strings.Fields(flags)...)...)
		require.LessOrEqual(t, got.Code, command.ExitBroken, got.Stderr)
		clitest.KeepsToThePage(t, got.Stdout, 80, name == "few-ascii")
		clitest.Golden(t, "", name+".txt", got.Stdout)
	}
}

// One file with an object a line is the same as a file each.
func TestObjectsByLine(t *testing.T) {
	texts := weeks(t, 12)
	var lines strings.Builder
	for week := range 12 {
		lines.WriteString(texts[fmt.Sprintf("week-%02d.json", week)] + "\r\n")
	}
	each := invoke(t.Context(), "trend", folder(t, texts))
	all := invoke(t.Context(), "trend", folder(t, map[string]string{"all.jsonl": "\xef\xbb\xbf" + lines.String()}))
	assert.Equal(t, command.ExitOK, all.Code, all.Stderr)
	assert.Equal(t, each.Stdout, all.Stdout)
}

func TestBadInput(t *testing.T) {
	changed := func(change func(e *evaluate.Evaluation, from *command.Origin)) map[string]string {
		texts := weeks(t, 3)
		texts["week-01.json"] = evaluated(t, 1, change)
		return texts
	}
	one := evaluated(t, 0, nil)
	for _, x := range []struct {
		texts map[string]string
		flags string
		wants string // on standard error
	}{
		{nil, "", `tests: has no test in it; must have evaluations`},
		{map[string]string{"a.json": ""}, "", `a\.json: is empty; must have what evaluate --json prints`},
		{map[string]string{"a.json": one + `{"rig": 3}`}, "", `a\.json:2:10: is not what evaluate --json prints`},
		{map[string]string{"a.json": `{"scenario": "healthy"}`}, "", `a\.json:1:1: .*rig, sha256, figures or sources is missing`},
		{map[string]string{"a.json": one[:200]}, "", `a\.json:1:201: ends in the middle of an object, as a file that was cut off; must be what evaluate --json prints`},
		{map[string]string{"a.json": strings.ReplaceAll(one, `"closing_s"`, `"closing_ms"`)}, "", `a\.json:1:1: has figures that version .* does not know.*"closing_ms".*evaluate the recording again`},
		{changed(func(e *evaluate.Evaluation, _ *command.Origin) { *e.Figures.ClosingS = 1e300 }), "", `week-01\.json:1:1: closing_s is 1e\+300 s; must be at most 1e\+09 s`},
		{map[string]string{"a.json": "\xff\xfe{\x00"}, "", `a\.json: is written in UTF-16; must be UTF-8`},
		{map[string]string{"a.csv": "t_s,position_mm\n0,1\n"}, "", `a\.csv: is a recording, and --rig is missing`},
		{map[string]string{"a.csv": "t_s,position_mm\n0,1\n1,1\n"}, "--rig pane-hoist", `a\.csv: `},
		{changed(func(e *evaluate.Evaluation, _ *command.Origin) { e.Rig = "other" }), "", `week-01\.json: is a test of the rig other, and .*week-00\.json is one of my-axis`},
		{changed(func(_ *evaluate.Evaluation, from *command.Origin) { from.Sources[0].SHA256 = "cd" }), "", `week-01\.json: was judged by another document of the rig`},
		{changed(func(e *evaluate.Evaluation, _ *command.Origin) { e.Date = "" }), "", `week-01\.json: the date of the test is not known.*--date NAME=DATE`},
		{changed(func(e *evaluate.Evaluation, _ *command.Origin) { e.Date = "yesterday" }), "", `week-01\.json:1:1: the date is "yesterday"`},
		{weeks(t, 3), "--limit closing_s=0.06", `--limit: "closing_s" is no quantity; must be one of`},
		{weeks(t, 3), "--limit movement_down_deg=-1", `--limit: "-1" is at or below 0`},
		{map[string]string{"a.json": strings.Replace(one, `"rig":`, `"rig" `, 1)}, "", `a\.json:1:8: is not what evaluate --json prints: invalid character`},
		{weeks(t, 3), "--limit closing_ms=0.06", `--limit: closing_ms=0.06 is less than 1/20 of every test: the tests have 39\.\d+ to 40\.\d+ ms; must be in ms: 0\.06 s are closing_ms=60`},
		{weeks(t, 3), "--since soon", `--since is "soon"; must be a date such as`},
		{weeks(t, 3), "--since 2027-01-01", `there is no test since 2027-01-01`},
		{weeks(t, 3), "--date never.json=2026-01-01", `--date names "never\.json", and no test is called that`},
		{weeks(t, 3), "--horizon 0", `--horizon is 0; must be above 0`},
		{weeks(t, 3), "--units position=um", `--units says how recordings are read, and --rig.* is missing`},
		{weeks(t, 3), "--plot a.pdf", `--plot is "a.pdf"`},
	} {
		got := invoke(t.Context(), append([]string{"trend", folder(t, x.texts)}, strings.Fields(x.flags)...)...)
		assert.Equal(t, command.ExitWrong, got.Code, x.wants)
		assert.Regexp(t, x.wants, got.Stderr)
		assert.Empty(t, got.Stdout)
	}
}

// What is doubtful of tests that can be used is told on the page.
func TestNotes(t *testing.T) {
	texts := weeks(t, 4)
	texts["week-01.json"] = evaluated(t, 1, func(e *evaluate.Evaluation, _ *command.Origin) { e.Date = "2026-01-05" })
	texts["week-02.json"] = evaluated(t, 2, func(e *evaluate.Evaluation, from *command.Origin) {
		from.Version, e.Checks[0].Movement.WindowDeg = "v0.1", 1
		e.Figures2 = &evaluate.Figures{MovementUpDeg: e.Figures.MovementDownDeg}
	})
	texts["week-03-2026-03-01.json"] = evaluated(t, 7, func(e *evaluate.Evaluation, _ *command.Origin) { e.Date = "" })
	texts["week-00.json"] = evaluated(t, 0, func(e *evaluate.Evaluation, _ *command.Origin) { e.Requirement = evaluate.RequirementSized })
	texts["copy.json"] = texts["week-00.json"]
	got := invoke(t.Context(), "trend", folder(t, texts), "--date", "week-03.json=2026-02-28", "--limit", "closing_ms=30")
	require.Equal(t, command.ExitBroken, got.Code, got.Stderr)
	text := strings.Join(strings.Fields(got.Stdout), " ")
	for _, wants := range []string{
		"week-00.json is of the same recording as", "tests with the date of another one: 1", "evaluated by 2 versions", "the window of the judge was not the same",
		"the date of 1 test is that in the name of the file", "5 tests, 5 proven; from 2026-01-05 to 2026-03-01",
		"tests judged against the sized requirement, as none is recorded: 1 of 5, as", "every test is past the limit of closing_ms: the tests have 39",
		"brake_2_movement_up_deg watch: more tests are needed: there is 1,",
	} {
		assert.Contains(t, text, wants)
	}
}

func TestDateInName(t *testing.T) {
	for name, wants := range map[string]string{
		"2026-11-28.csv": "2026-11-28T00:00:00Z", "axis 2026-11-28 b.csv": "2026-11-28T00:00:00Z", "axis-2026-11-28T06-30.csv": "2026-11-28T06:30:00Z",
		"12026-11-28.csv": "", "2026-11-281.csv": "", "2026-13-28.csv": "", "a.csv": "",
	} {
		at, ok := dateInName(name)
		assert.Equal(t, wants != "", ok, name)
		if ok {
			assert.Equal(t, wants, at.Format(time.RFC3339), name)
		}
	}
}

// A test without a proof comes first, whatever the trends say, and the newest one decides the exit code. Tests
// that were judged with other settings are told of.
func TestTestsWithoutAProofComeFirst(t *testing.T) {
	texts := weeks(t, 12)
	unproven := func(week int, verdict, cause string) string {
		return evaluated(t, week, func(e *evaluate.Evaluation, _ *command.Origin) { e.Verdict, e.Cause = verdict, cause })
	}
	texts["week-05.json"] = unproven(5, evaluate.Failed, "moved")
	got := invoke(t.Context(), "trend", folder(t, texts))
	assert.Equal(t, command.ExitOK, got.Code, got.Stderr)
	assert.Regexp(t, `(?m)what to do .*\n! no proof: 1 test: 2026-02-09 failed: moved\.`, got.Stdout)

	texts["week-11.json"] = strings.Replace(unproven(11, evaluate.None, ""), `{"rig"`, `{"settings":["judge.window_deg=0.5"],"rig"`, 1)
	got = invoke(t.Context(), "trend", folder(t, texts))
	assert.Equal(t, command.ExitBroken, got.Code, got.Stderr)
	text := strings.Join(strings.Fields(got.Stdout), " ")
	assert.Contains(t, text, "✗ no proof: 2 tests: 2026-03-23 no verdict (the newest test), 2026-02-09 failed: moved.")
	assert.Contains(t, text, "tests judged with other settings (--set) than the newest: 11 of 12")
}

// A recording without a check of the brake, such as the travel that identify reads, is no test because it lies in the same
// folder; one that is named counts, as a test that came to no check.
func TestARecordingWithoutACheckIsNoTest(t *testing.T) {
	whole := clitest.Measured(t, "healthy-down-and-up", recorded)
	lines := strings.SplitAfter(whole, "\n")
	in := folder(t, map[string]string{"2026-11-21.csv": whole, "2026-11-20.csv": strings.Join(lines[:300], "")})
	got := invoke(t.Context(), "trend", in, "--rig", "pane-hoist")
	assert.Equal(t, command.ExitOK, got.Code, got.Stderr)
	text := strings.Join(strings.Fields(got.Stdout), " ")
	assert.Contains(t, text, "1 test, 1 proven")
	assert.Contains(t, text, "2026-11-20.csv is left out: the recording has no check of the brake")

	got = invoke(t.Context(), "trend", filepath.Join(in, "2026-11-20.csv"), "--rig", "pane-hoist")
	assert.Equal(t, command.ExitBroken, got.Code, got.Stderr)
	assert.Contains(t, got.Stdout, "1 test, 0 proven")
}
