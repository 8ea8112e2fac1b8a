package main

import (
	"encoding/json"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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
func shellWords(t *testing.T, command string) []string {
	t.Helper()
	shell, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("no sh here")
	}
	out, err := exec.Command(shell, "-c", "holdbench() { printf '%s\\n' \"$@\"; }\n"+command).Output()
	require.NoError(t, err)
	return strings.Split(strings.TrimSuffix(string(out), "\n"), "\n")
}

// runsAs wants a command to come out as a cell did.
func runsAs(t *testing.T, command string, o *probe.Outcome) {
	t.Helper()
	got := invoke(t.Context(), append(shellWords(t, command), "--json")...)
	require.Less(t, got.code, exitWrong, "%s\n%s", command, got.stderr)
	var r struct {
		End        string  `json:"end"`
		EndedIn    string  `json:"ended_in"`
		Cause      string  `json:"cause"`
		Class      string  `json:"class"`
		LoadDropMM float64 `json:"load_drop_mm"`
	}
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
	assert.Equal(t, []string{o.End, o.EndedIn, o.Cause, string(o.Class)}, []string{r.End, r.EndedIn, r.Cause, r.Class}, command)
	assert.InDelta(t, o.LoadDropMM, r.LoadDropMM, 0, command)
}

// Every command that is printed runs, and comes out as the line says: of a plain probe, by
// a route, with other values, of two faults at once.
func TestPrintedCommandsRun(t *testing.T) {
	for name, args := range map[string][]string{
		"State": {"--fault", "lining-worn", "--state", "press_down"},
		"Start": {"--fault", "ceiling-too-low", "--through", "ceiling-too-low"},
		"Route": {"--fault", "encoder-frozen", "--through", "link-down", "--state", "catch"},
		"Set":   {"healthy-down", "--fault", "load-heavier", "--state", "clamp", "--set", "judge.dwell=2s", "--seed", "7"},
		"Rig":   {"--rig", "kiln-gate", "--fault", "drive-trips", "--state", "clamp"},
		"Pairs": {"--fault", "lining-worn", "--fault", "encoder-frozen", "--fault", "window-too-wide", "--fault", "dwell-too-short", "--pairs", "--state", "press_down", "--state", "passed"},
	} {
		t.Run(name, func(t *testing.T) {
			args := append([]string{"probe"}, args...)
			lines := invoke(t.Context(), append(args, "--json")...)
			cells := map[string]*probe.Outcome{}
			for line := range strings.Lines(lines.stdout) {
				var c cellLine
				require.NoError(t, json.Unmarshal([]byte(line), &c))
				if c.Fault != "" {
					cells[c.Command] = &c.Outcome
				}
			}
			page := invoke(t.Context(), args...)
			commands := printedCommands(page.stdout)
			require.NotEmpty(t, commands, page.stdout)
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
	args := []string{"--fault", "load-heavier", "--state", "press_down"}
	p := inventedProbing(t)
	p.again = newRerun(demo, &overrideFlags{})
	o := probe.Options{Faults: []string{"load-heavier"}, States: []string{"press_down"}}
	m, err := probe.Run(t.Context(), p.ready, o, nil)
	require.NoError(t, err)
	edges, err := probe.Worst(t.Context(), p.ready, o, m)
	require.NoError(t, err)
	require.NotEmpty(t, edges)
	e := &edges[0]
	page := invoke(t.Context(), append([]string{"probe", "--worst"}, args...)...)
	_, page.stdout, _ = strings.Cut(page.stdout, "how mild it may be")
	commands := printedCommands(page.stdout)
	require.Equal(t, p.again.line(&e.Cell), commands[0])
	runsAs(t, commands[0], &e.Outcome)
	require.NotNil(t, e.Safe)
	milder := strings.Replace(commands[0], "="+figure(e.Number), "="+figure(*e.Safe), 1)
	require.NotEqual(t, commands[0], milder)
	assert.Equal(t, exitOK, invoke(t.Context(), shellWords(t, milder)...).code, milder)
}

// closed is a pipe whose reader goes after a line.
type closed struct{ lines int }

func (c *closed) Write(p []byte) (int, error) {
	if c.lines--; c.lines < 0 {
		return 0, syscall.EPIPE
	}
	return len(p), nil
}

// Who reads a line and goes has had enough: nothing is said, and no half file is left.
func TestProbeIntoAClosedPipe(t *testing.T) {
	t.Chdir(t.TempDir())
	var stderr strings.Builder
	args := []string{"probe", "--fault", "link-down", "--state", "travel", "--html", "page.html", "--json"}
	code := run(t.Context(), args, nil, &closed{2}, &stderr, func(string) string { return "" })
	assert.Equal(t, exitInterrupted, code)
	assert.Empty(t, stderr.String())
	left, err := os.ReadDir(".")
	require.NoError(t, err)
	assert.Empty(t, left)
}
