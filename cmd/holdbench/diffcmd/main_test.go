package diffcmd

import (
	"context"
	"encoding/json"
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

func invoke(ctx context.Context, args string) clitest.Outcome {
	return program().Invoke(ctx, append([]string{"diff"}, strings.Fields(args)...)...)
}

func TestScripts(t *testing.T) { clitest.Scripts(t) }

func TestPageIsKept(t *testing.T) { program().Pages(t, "diff --help") }

func TestExamples(t *testing.T) {
	program().Examples(t, "diff", []clitest.Example{
		{Line: "holdbench diff healthy-down lining-worn-thin", Code: command.ExitBroken, Prints: []string{`^≠ at 2\.\d+ s of A in close_brake: capacity_nm is`, `^They do not join again\.$`, `^≠  verdict +proven +failed$`}},
		{Line: "holdbench diff lining-worn-thin --nominal", Code: command.ExitBroken, Prints: []string{`seed 1; without its`, `^≠  end +fail +pass$`}},
		{Line: "holdbench diff healthy-down --set judge.dwell=2s", Code: command.ExitBroken, Prints: []string{`^verdict_down +3\.316 s +3\.316 s +1\.022 s +2\.022 s +\+1\.000 s$`, `^Both enter the same states in the same order\.$`}},
		{Line: "holdbench diff healthy-down --fault lining-worn --align state:press_down", Code: command.ExitBroken, Prints: []string{`^Aligned at state:press_down: 2\.918 s of A, 2\.918 s of B\.$`, `^≠ at 2\.9\d\d s of A in press_down: `}},
		{Line: "holdbench diff healthy-down --seed 2", Prints: []string{`^✓ nothing differs$`}},
		{Line: "holdbench diff healthy-down lining-worn-thin --at 3.5s --all", Code: command.ExitBroken, Prints: []string{`^values at 3\.500 s of A, 3\.500 s of B`, `^≠  state +verdict_down +arrest_load$`, `^truth$`, `^   brake_closed +true +true$`}},
		{Line: "holdbench diff healthy-down lining-worn-thin --plot difference.svg", Code: command.ExitBroken, Prints: []string{`^outcome`}},
		{Line: "holdbench diff healthy-down lining-worn-thin --json", Code: command.ExitBroken, Prints: []string{`^\{"a":\{"scenario":"healthy-down"`}, Data: true},
	})
	picture, err := os.ReadFile("difference.svg")
	require.NoError(t, err)
	drawn := string(picture)
	assert.NotContains(t, drawn, "brake 2")
	for _, text := range []string{"A healthy-down, B lining-worn-thin", "measured, mm", "first difference of the truth", "the paths part after verdict_down"} {
		found := strings.Contains(drawn, text)
		assert.True(t, found, text) // and not the picture, which is long
	}
}

func TestPages(t *testing.T) {
	for _, x := range []struct{ name, args string }{
		{"worn", "healthy-down lining-worn-thin"},
		{"joined", "healthy-down healthy-down-and-up"},
		{"values-ascii", "first-brake-worn --nominal --align event:judge --at 6s --all --ascii"},
	} {
		t.Run(x.name, func(t *testing.T) {
			t.Parallel()
			got := invoke(t.Context(), x.args)
			require.Equal(t, command.ExitBroken, got.Code, got.Stderr)
			clitest.KeepsToThePage(t, got.Stdout, 80, strings.Contains(x.args, "--ascii"))
			clitest.Golden(t, "pages", x.name+".txt", got.Stdout)
		})
	}
}

// A comparison has all signals, and the sides as they were given.
func TestObject(t *testing.T) {
	t.Parallel()
	got := invoke(t.Context(), "healthy-down --set judge.dwell=2s --align state:verdict_down --at 4s --json")
	require.Equal(t, command.ExitBroken, got.Code, got.Stderr)
	var o differenceObject
	require.NoError(t, json.Unmarshal([]byte(got.Stdout), &o))
	assert.Equal(t, []string{"judge.dwell=2s"}, o.B.Settings)
	assert.Empty(t, o.A.Settings)
	assert.Equal(t, "state:verdict_down", o.Align)
	require.NotNil(t, o.Moment)
	assert.InDelta(t, 4, o.Moment.AtAS, 0)
	assert.Greater(t, len(o.Moment.Values), 60)
	assert.False(t, o.Same)
	require.NotNil(t, o.First)
	assert.Equal(t, "withdraw_ask", o.First.StateA, "the dwell ends first in A")
}

// A second brake is compared like the first, and what has no unit in its name has it beside it.
func TestSecondBrake(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "two.svg")
	got := invoke(t.Context(), "second-brake-worn --nominal --at 6s --all --plot "+file)
	require.Equal(t, command.ExitBroken, got.Code, got.Stderr)
	for _, line := range []string{`(?m)^≠  brake_2_capacity_nm +11\.47 +31 +\+19\.53`, `(?m)^ +speed \(mm/s\) `, `(?m)^ +torque_brake_2_nm `} {
		assert.Regexp(t, line, got.Stdout)
	}
	picture, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Contains(t, string(picture), "brake 2 torque,", "a panel of its own")
}

// The same scenarios are the same, and an interrupted comparison says so.
func TestExitCodes(t *testing.T) {
	t.Parallel()
	assert.Equal(t, command.ExitOK, invoke(t.Context(), "healthy-down --rig pane-hoist").Code)
	ctx, stop := context.WithCancel(t.Context())
	stop()
	got := invoke(ctx, "healthy-down lining-worn-thin")
	assert.Equal(t, command.ExitInterrupted, got.Code, got.Stderr)
	assert.Empty(t, got.Stdout)
}
