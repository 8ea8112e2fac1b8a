package main

import (
	"encoding/json"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sim/probe"
)

// printedCommands are the commands on a page, each on one line again.
func printedCommands(page string) []string {
	joined := regexp.MustCompile(` \\\n +`).ReplaceAllString(page, " ")
	var list []string
	for _, line := range regexp.MustCompile(`(?m)^ +holdbench run .*$`).FindAllString(joined, -1) {
		list = append(list, strings.TrimSpace(line))
	}
	return list
}

// shellWords takes a command apart as a shell does.
func shellWords(t *testing.T, text string) []string {
	t.Helper()
	shell, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("no sh here")
	}
	out, err := exec.Command(shell, "-c", "holdbench() { printf '%s\\n' \"$@\"; }\n"+text).Output()
	require.NoError(t, err)
	return strings.Split(strings.TrimSuffix(string(out), "\n"), "\n")
}

// runsAs wants a command to come out as a cell did.
func runsAs(t *testing.T, line string, o *probe.Outcome) {
	t.Helper()
	got := invoke(t.Context(), append(shellWords(t, line), "--json")...)
	require.Less(t, got.Code, command.ExitWrong, "%s\n%s", line, got.Stderr)
	var r struct {
		End        string  `json:"end"`
		EndedIn    string  `json:"ended_in"`
		Cause      string  `json:"cause"`
		Class      string  `json:"class"`
		LoadDropMM float64 `json:"load_drop_mm"`
	}
	require.NoError(t, json.Unmarshal([]byte(got.Stdout), &r))
	assert.Equal(t, []string{o.End, o.EndedIn, o.Cause, string(o.Class)}, []string{r.End, r.EndedIn, r.Cause, r.Class}, line)
	assert.InDelta(t, o.LoadDropMM, r.LoadDropMM, 0, line)
}

// Every command that is printed runs, and comes out as the line says: of a plain probe, by
// a route, with other values, of two faults at once.
func TestPrintedCommandsRun(t *testing.T) {
	for name, args := range map[string][]string{
		"State": {"--fault", "lining-worn", "--state", "press_down"},
		"Start": {"--fault", "ceiling-too-low", "--through", "ceiling-too-low"},
		"Route": {"--fault", "encoder-frozen", "--through", "link-down", "--state", "arrest_load"},
		"Set":   {"healthy-down", "--fault", "load-heavier", "--state", "close_brake", "--set", "judge.dwell=2s", "--seed", "7"},
		"Rig":   {"--rig", "kiln-gate", "--fault", "drive-trips", "--state", "close_brake"},
		"Pairs": {"--fault", "lining-worn", "--fault", "encoder-frozen", "--fault", "window-too-wide", "--fault", "dwell-too-short", "--pairs", "--state", "press_down", "--state", "passed"},
	} {
		t.Run(name, func(t *testing.T) {
			args := append([]string{"probe", "--keep", filepath.Join(t.TempDir(), "kept.jsonl")}, args...)
			lines := invoke(t.Context(), append(args, "--json")...)
			cells := map[string]*probe.Outcome{}
			for line := range strings.Lines(lines.Stdout) {
				var c struct {
					probe.Outcome
					Command string `json:"command"`
				}
				require.NoError(t, json.Unmarshal([]byte(line), &c))
				if c.Fault != "" {
					cells[c.Command] = &c.Outcome
				}
			}
			shown := invoke(t.Context(), args...)
			commands := printedCommands(shown.Stdout)
			require.NotEmpty(t, commands, shown.Stdout)
			for i, command := range commands {
				require.Contains(t, cells, command)
				if i%3 == 0 { // some
					runsAs(t, command, cells[command])
				}
			}
		})
	}
}

// So does the command of an edge, and the next milder one comes to nothing.
func TestPrintedEdgesRun(t *testing.T) {
	if testing.Short() {
		t.Skip("two searches; the examples of probe make one")
	}
	ready, _, err := scenarios.LoadCase("healthy-down-and-up", scenarios.Overrides{})
	require.NoError(t, err)
	o := probe.Options{Faults: []string{"load-heavier"}, States: []string{"press_down"}}
	m, err := probe.Run(t.Context(), ready, o, nil)
	require.NoError(t, err)
	edges, err := probe.Thresholds(t.Context(), ready, o, m)
	require.NoError(t, err)
	require.NotEmpty(t, edges)
	e := &edges[0]
	require.Empty(t, e.Route)
	shown := invoke(t.Context(), "probe", "--worst", "--fault", "load-heavier", "--state", "press_down")
	_, text, _ := strings.Cut(shown.Stdout, "mildest undetected severity")
	commands := printedCommands(text)
	require.Equal(t, "holdbench run healthy-down-and-up --fault "+e.Spec, commands[0])
	runsAs(t, commands[0], &e.Outcome)
	require.NotNil(t, e.Safe)
	milder := strings.Replace(commands[0], "="+page.Figure(e.Number), "="+page.Figure(*e.Safe), 1)
	require.NotEqual(t, commands[0], milder)
	assert.Equal(t, command.ExitOK, invoke(t.Context(), shellWords(t, milder)...).Code, milder)
}
