//go:build unix

package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/scenarios"
	"holdbench/sim"
)

// ran is what became of a process.
type ran struct {
	code           int
	stdout, stderr string
}

// holdbench runs the program as users have it.
func holdbench(t *testing.T, args ...string) ran {
	t.Helper()
	ctx := t.Context()
	if end, ok := t.Deadline(); ok {
		var cancel context.CancelFunc
		ctx, cancel = context.WithDeadline(ctx, end.Add(-10*time.Second)) // ahead of the test's own end, which tells less
		defer cancel()
	}
	c := exec.CommandContext(ctx, "holdbench", args...)
	var stdout, stderr bytes.Buffer
	c.Stdout, c.Stderr = &stdout, &stderr
	_ = c.Run() // its error is in the exit code
	return ran{c.ProcessState.ExitCode(), stdout.String(), stderr.String()}
}

func decoded(t *testing.T, text string) *sim.Result {
	t.Helper()
	r := &sim.Result{}
	require.NoError(t, json.Unmarshal([]byte(text), r), text)
	return r
}

// clients are the command lines of the clients that are shown, as far as this machine can run them.
func clients(t *testing.T) map[string]string {
	t.Helper()
	folder, err := filepath.Abs("../../sim/remote/clients")
	require.NoError(t, err)
	list := map[string]string{}
	if python, err := exec.LookPath("python3"); err == nil {
		list["python"] = python + " '" + filepath.Join(folder, "press_down.py") + "'"
	}
	if cc, err := exec.LookPath("cc"); err == nil {
		made := filepath.Join(t.TempDir(), "press_down")
		out, err := exec.Command(cc, "-Wall", "-Wextra", "-Werror", "-o", made, filepath.Join(folder, "press_down.c")).CombinedOutput()
		require.NoError(t, err, string(out))
		list["c"] = "'" + made + "'"
	}
	if len(list) == 0 {
		t.Skip("neither python3 nor cc is there")
	}
	return list
}

// The clients that are shown pass a healthy brake and find a worn one, each as the other.
func TestShownClients(t *testing.T) {
	t.Parallel()
	first := map[string]string{}
	for name, line := range clients(t) {
		for scenario, want := range map[string][3]string{"healthy-down": {"pass", "proven", "sound-pass"}, "lining-worn-thin": {"fail", "failed", "caught"}} {
			got := holdbench(t, "run", scenario, "--json", "--controller", line)
			require.Empty(t, got.stderr, name)
			r := decoded(t, got.stdout)
			assert.Equal(t, want, [3]string{r.End, r.Verdict, string(r.Class)}, "%s with %s", scenario, name)
			assert.Equal(t, "controller press-down", r.Sequence)
			if before, ok := first[scenario]; ok {
				assert.Equal(t, before, got.stdout, "%s: the clients do the same", scenario)
			}
			first[scenario] = got.stdout
		}
	}
}

// An old proof, or an old failure, is no verdict of the ask that is under way: the judge's counter says
// which one is.
func TestShownClientsCountTests(t *testing.T) {
	t.Parallel()
	scan := func(inputs string) string {
		return `{"type":"scan","n":0,"t_s":1,"inputs":{"trigger":true,"safe_stop":false,"brake_closed":true,"torque_nm":-2,` + inputs + `}}`
	}
	const pressed = `"judge_busy":false,"proof":true,"judge_failed":false,"tested":"both","test_count":7`
	lines := []struct{ line, state string }{
		{`{"type":"hello","n":0,"version":1}`, ""},
		{`{"type":"reset","n":0,"params":{"load_torque_nm":2,"required_down_nm":-1,"press_down_nm":-2,"press_rate_nm_s":10,"required_down_a":-1}}`, ""},
		{scan(pressed), "close"},
		{strings.Replace(scan(pressed), `"t_s":1`, `"t_s":1.5`, 1), "press"},
		{scan(pressed), "ask"},
		{scan(`"judge_busy":true,"proof":true,"judge_failed":true,"tested":"none","test_count":7`), "verdict"},
		{scan(pressed), "verdict"},
		{scan(`"judge_busy":false,"proof":true,"judge_failed":false,"tested":"down","test_count":8`), "carry"},
	}
	for name, line := range clients(t) {
		c := exec.CommandContext(t.Context(), "sh", "-c", line)
		var text strings.Builder
		for _, l := range lines {
			text.WriteString(l.line + "\n")
		}
		c.Stdin = strings.NewReader(text.String())
		out, err := c.Output()
		require.NoError(t, err, name)
		answers := strings.Split(strings.TrimSpace(string(out)), "\n")
		require.Len(t, answers, len(lines), name)
		for i, l := range lines {
			var a struct{ State string }
			require.NoError(t, json.Unmarshal([]byte(answers[i]), &a), answers[i])
			assert.Equal(t, l.state, a.State, "%s, line %d", name, i)
		}
	}
}

// everyScenario lets [TestTheSameBytes] take the whole suite.
const everyScenario = "HOLDBENCH_WHOLE_SUITE"

// The suite gives the same bytes whether the reference runs as a document or as a process, with any
// number of workers. HOLDBENCH_WHOLE_SUITE=1 takes all scenarios of the reference.
func TestTheSameBytes(t *testing.T) {
	t.Parallel()
	paths := []string{"healthy-down", "lining-worn-thin"}
	if os.Getenv(everyScenario) != "" {
		paths = runBy(t, func(name string) bool { return slices.Contains(scenarios.Names(scenarios.SequenceKind), name) })
	}
	want := holdbench(t, append([]string{"check", "--json"}, paths...)...)
	got := holdbench(t, append([]string{"check", "--json", "--workers", "2", "--controller", "talker"}, paths...)...)
	lines, same := strings.Split(want.stdout, "\n"), strings.Split(got.stdout, "\n")
	require.Equal(t, len(lines), len(same), got.stderr) //nolint:testifylint // Len prints megabytes
	require.Len(t, paths, len(lines)-1, want.stderr)
	for i, line := range lines {
		assert.Equal(t, asOutside(line), same[i])
	}
	t.Log(len(paths), "runs compared")
}

// asOutside is the result of a sequence as that of a controller without a name that does the same.
func asOutside(line string) string {
	line = regexp.MustCompile(`"sequence":"[^"]*"`).ReplaceAllString(line, `"sequence":"controller outside"`)
	return strings.ReplaceAll(line, `{"kind":"sequence"`, `{"kind":"replaced sequence"`)
}

// withoutSources is a result without the documents that it was read from.
func withoutSources(line string) string {
	result, _, _ := strings.Cut(line, `,"sources":`)
	return result
}

// The suite gives the same bytes, but for the name and the sources, whether the reference runs as a document or as the
// program that is written after it. HOLDBENCH_WHOLE_SUITE=1 takes all scenarios of the reference.
func TestTheSameBytesOfAProgram(t *testing.T) {
	t.Parallel()
	paths := []string{"healthy-down", "lining-worn-thin"}
	if os.Getenv(everyScenario) != "" {
		paths = runBy(t, func(name string) bool { return name == "reference" })
	}
	want := holdbench(t, append([]string{"check", "--json", "--sequence", "reference"}, paths...)...)
	got := holdbench(t, append([]string{"check", "--json", "--workers", "2", "--sequence", "reference-case"}, paths...)...)
	lines := strings.Split(want.stdout, "\n")
	same := strings.Split(strings.ReplaceAll(got.stdout, `"sequence":"reference-case"`, `"sequence":"reference"`), "\n")
	require.Len(t, lines, len(paths)+1, want.stderr)
	require.Len(t, same, len(lines), got.stderr)
	for i, line := range lines {
		require.Equal(t, withoutSources(line), withoutSources(same[i]))
	}
	t.Log(len(paths), "runs compared")
}

// runBy are the built-in scenarios that run certain sequences. A process finds those that are built in, and
// ends where a scenario has one of its own, so that another would have to be started for each of these.
func runBy(t *testing.T, wanted func(sequence string) bool) []string {
	t.Helper()
	var names []string
	for _, e := range scenarios.Builtin(scenarios.ScenarioKind) {
		c, _, err := scenarios.LoadCase(e.Name, scenarios.Overrides{})
		require.NoError(t, err)
		if wanted(c.Sequence.Name) {
			names = append(names, e.Name)
		}
	}
	return names
}

// Probe, sweep and life take a process as well, and name it in the commands that repeat a run.
func TestOtherCommandsWithAProcess(t *testing.T) {
	t.Parallel()
	line, ok := clients(t)["c"]
	if !ok {
		t.Skip("there is no cc, and the others are slow")
	}
	got := holdbench(t, "probe", "healthy-down", "--fault", "lining-worn", "--state", "press", "--through", "link-down", "--controller", line)
	assert.Contains(t, got.stdout, "--controller ")
	assert.Contains(t, got.stderr, "scans were exchanged again")
	assert.Equal(t, command.ExitBroken, got.code, "it has no reaction to most faults")
	got = holdbench(t, "sweep", "healthy-down", "--runs", "2", "--controller", line)
	assert.Equal(t, command.ExitOK, got.code, got.stderr)
	got = holdbench(t, "life", "pane-hoist", "--histories", "1", "--span", "1d", "--runs", "1", "--intervals", "none", "--controller", line)
	assert.Equal(t, command.ExitOK, got.code, got.stderr)
}

// What cannot be used is told with the flag and the reason.
func TestWrongControllers(t *testing.T) {
	t.Parallel()
	for line, want := range map[string]string{
		"nosuch":                        "--controller nosuch: it cannot be started: nosuch: executable file not found in $PATH",
		"false":                         "--controller false: its process ended, exit status 1",
		"sh -c 'read x; echo nonsense'": `its answer to hello is "nonsense"`,
		"sleep 60":                      "--controller sleep 60: it did not answer hello, the first line, within 700ms (--start-within)",
		"head -c 100000 /dev/zero":      "its answer is longer than 65536 bytes",
		"yes {}":                        "it answered with more than one line",
		"":                              "--controller is empty",
		"'a":                            "--controller has a quote that is not closed",
	} {
		t.Run(line, func(t *testing.T) {
			t.Parallel()
			args := []string{"run", "healthy-down", "--controller", line}
			if line == "sleep 60" {
				args = append(args, "--start-within", "700ms")
			}
			got := holdbench(t, args...)
			assert.Equal(t, command.ExitWrong, got.code)
			assert.Contains(t, got.stderr, want)
			assert.Empty(t, got.stdout)
		})
	}
	got := holdbench(t, "check", "--mutate", "--controller", "talker")
	assert.Contains(t, got.stderr, "--controller is not for --mutate")
	for _, flag := range []string{"--start-within", "--answer-within"} {
		got = holdbench(t, "run", "healthy-down", flag, "1s")
		assert.Contains(t, got.stderr, flag+" is for --controller; must be with it")
		got = holdbench(t, "check", "--mutate", flag, "1s")
		assert.Contains(t, got.stderr, flag+" is not for --mutate")
		got = holdbench(t, "attach", "--modbus", "127.0.0.1:0", flag, "1s")
		assert.Contains(t, got.stderr, flag+" is for --listen; must be --silent-after with --modbus")
		for wrong, want := range map[string]string{
			"-1s": "must be a time from 0s to 24h", "25h": "must be a time from 0s to 24h",
			"1us": "must be from 1ms to 24h, such as 500ms or 10s, or 0 for no limit",
		} {
			got = holdbench(t, "run", "healthy-down", "--controller", "talker", flag, wrong)
			assert.Equal(t, command.ExitWrong, got.code)
			assert.Contains(t, got.stderr, want)
		}
	}
}

// answersFor is a shell script that answers so many lines.
func answersFor(lines string) string {
	return "#!/bin/sh\nread -r x\necho '{\"inputs\":[\"trigger\"]}'\nn=0\n" +
		"while [ $n -lt " + lines + " ] && read -r x; do echo '{}'; n=$((n+1)); done\n"
}

// A controller that ends in the middle costs that run and no other: the suite goes on with a new one.
func TestTheSuiteGoesOn(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "dies")
	require.NoError(t, os.WriteFile(file, []byte(answersFor("60")+"echo out of order >&2\nexit 7\n"), 0o755))
	got := holdbench(t, "check", "healthy", "--json", "--workers", "1", "--controller", file)
	lines := strings.Split(strings.TrimSpace(got.stdout), "\n")
	require.Greater(t, len(lines), 2, got.stderr)
	for _, line := range lines {
		assert.Contains(t, line, `controller stopped: its process ended, exit status 7; last line of its standard error: \"out of order\"`)
	}
}

// started is a holdbench that runs.
type started struct {
	*exec.Cmd
	stdout, stderr bytes.Buffer
	errors         *bufio.Reader
}

func start(t *testing.T, args ...string) *started {
	t.Helper()
	s := &started{Cmd: exec.CommandContext(t.Context(), "holdbench", args...)}
	s.Stdout = &s.stdout
	pipe, err := s.StderrPipe()
	require.NoError(t, err)
	s.errors = bufio.NewReader(io.TeeReader(pipe, &s.stderr))
	require.NoError(t, s.Start())
	return s
}

// says reads standard error up to a line with a text and gives what follows it.
func (s *started) says(t *testing.T, text string) string {
	t.Helper()
	for {
		line, err := s.errors.ReadString('\n')
		require.NoError(t, err, s.stderr.String())
		if _, rest, ok := strings.Cut(line, text); ok {
			return strings.TrimSpace(rest)
		}
	}
}

// ends waits for the end and gives the exit code.
func (s *started) ends(t *testing.T) int {
	t.Helper()
	_, _ = io.Copy(io.Discard, s.errors)
	done := make(chan struct{})
	go func() { _ = s.Wait(); close(done) }()
	select {
	case <-done:
	case <-time.After(patience):
		_ = s.Process.Kill()
		require.Fail(t, "it does not end", s.stderr.String())
	}
	return s.ProcessState.ExitCode()
}

// An interrupt in the middle ends the controller, whatever it is at: exit code 3, and what was complete
// is written.
func TestInterruptWithAController(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	file := filepath.Join(folder, "stops")
	// It answers for one run and then says nothing more.
	require.NoError(t, os.WriteFile(file, []byte(answersFor("1200")+"echo $$ >'"+folder+"/pid'\necho asleep >&2\nexec sleep 600\n"), 0o755))
	s := start(t, "check", "healthy", "--json", "--workers", "1", "--answer-within", "0", "--controller", file)
	s.says(t, "asleep")
	require.NoError(t, s.Process.Signal(os.Interrupt))
	require.Equal(t, command.ExitInterrupted, s.ends(t), s.stderr.String())
	require.Contains(t, s.stderr.String(), "interrupted; not run:")
	pid, err := os.ReadFile(filepath.Join(folder, "pid"))
	require.NoError(t, err)
	require.Error(t, exec.Command("kill", "-0", strings.TrimSpace(string(pid))).Run(), "the controller has ended")
}

// connect connects to a holdbench that waits.
func connect(t *testing.T, address string) net.Conn {
	t.Helper()
	c, err := net.Dial("tcp", address)
	require.NoError(t, err)
	t.Cleanup(func() { _ = c.Close() })
	return c
}

// A controller that connects runs scenario after scenario, one client at a time; one that leaves costs
// the run, and the next one may come.
func TestAttach(t *testing.T) {
	t.Parallel()
	s := start(t, "attach", "--listen", "127.0.0.1:0", "--json", "healthy-down", "oil-on-the-lining", "lining-worn-thin")
	address := s.says(t, "waiting for a controller on ")
	first := connect(t, address)
	told := bufio.NewReader(first)
	hello, err := told.ReadString('\n')
	require.NoError(t, err)
	require.Contains(t, hello, `"type":"hello"`)
	refused, err := io.ReadAll(connect(t, address))
	require.NoError(t, err)
	require.Contains(t, string(refused), `"because":"another controller is connected"`)
	for range 5 {
		_, err = io.WriteString(first, "{}\n")
		require.NoError(t, err)
		_, err = told.ReadString('\n')
		require.NoError(t, err)
	}
	require.NoError(t, first.(*net.TCPConn).CloseWrite(), "half closed")
	require.Equal(t, address, s.says(t, "waiting for a controller on "))
	talks(t, connect(t, address))
	require.Equal(t, command.ExitBroken, s.ends(t), "the first run is not as expected: "+s.stderr.String())
	lines := strings.Split(strings.TrimSpace(s.stdout.String()), "\n")
	require.Len(t, lines, 3)
	require.Contains(t, lines[0], "controller stopped: it has closed the connection")
	require.Equal(t, "caught", string(decoded(t, lines[1]).Class))
	require.Equal(t, "caught", string(decoded(t, lines[2]).Class))
	require.Contains(t, s.stderr.String(), "An attached controller must not be wired to a machine")
}

// Whatever finds the port ahead of the controller does not end the runs: each such connection is told
// once, and the controller is served after it. Another version of the protocol is refused.
func TestAttachWaitsOn(t *testing.T) {
	t.Parallel()
	s := start(t, "attach", "--listen", "127.0.0.1:0", "--json", "healthy-down")
	address := s.says(t, "waiting for a controller on ")
	const ended = "a connection has ended ahead of a valid answer: "
	for _, c := range []struct{ sent, want, told string }{
		{"", "it has closed the connection", ""},
		{"GET / HTTP/1.1\r\n", "its answer to hello is \"GET / HTTP/1.1\\r\"", ""},
		{`{"version":99,"speed":"high"}` + "\n", "it speaks version 99 of the protocol, and the bench speaks version 1", `{"type":"refused","because":"it speaks version 99 of the protocol, and the bench speaks version 1"}`},
	} {
		stray := connect(t, address)
		_, err := io.WriteString(stray, c.sent)
		require.NoError(t, err)
		require.NoError(t, stray.(*net.TCPConn).CloseWrite())
		require.Contains(t, s.says(t, ended), c.want)
		text, _ := io.ReadAll(stray) // it may have been reset
		require.Contains(t, string(text), c.told)
		s.says(t, "waiting for a controller on ")
	}
	talks(t, connect(t, address))
	require.Equal(t, command.ExitOK, s.ends(t), s.stderr.String())
	require.Equal(t, 3, strings.Count(s.stderr.String(), ended), s.stderr.String())
	require.Equal(t, "sound-pass", string(decoded(t, s.stdout.String()).Class))
}

// talks lets the reference answer on a connection, until its end.
func talks(t *testing.T, c net.Conn) {
	t.Helper()
	file, err := c.(*net.TCPConn).File()
	require.NoError(t, err)
	talker := exec.CommandContext(t.Context(), "talker")
	talker.Stdin, talker.Stdout = file, file
	require.NoError(t, talker.Run())
}

// Ports in use, addresses that others can reach, nobody who comes: each is told, and nothing hangs.
func TestAttachRefuses(t *testing.T) {
	t.Parallel()
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer func() { _ = taken.Close() }()
	for _, c := range []struct{ address, want string }{
		{taken.Addr().String(), "address already in use"},
		{"0.0.0.0:0", "which other machines can reach; must be of this machine such as 127.0.0.1:4000, or with --from-network"},
		{":4000", "--listen is \":4000\"; must be HOST:PORT"},
		{"127.0.0.1:x", "has the port \"x\""},
		{"127.0.0.1:70000", "has the port \"70000\""},
	} {
		got := holdbench(t, "attach", "--listen", c.address)
		assert.Equal(t, command.ExitWrong, got.code, c.address)
		assert.Contains(t, got.stderr, c.want)
	}
	s := start(t, "attach", "--listen", "127.0.0.1:0")
	s.says(t, "waiting for a controller on ")
	require.NoError(t, s.Process.Signal(syscall.SIGTERM))
	require.Equal(t, command.ExitInterrupted, s.ends(t), s.stderr.String())

	s = start(t, "attach", "--listen", "0.0.0.0:0", "--from-network", "--start-within", "200ms")
	s.says(t, "warning: whoever reaches 0.0.0.0:0 can take part")
	_, port, err := net.SplitHostPort(s.says(t, "waiting for a controller on "))
	require.NoError(t, err)
	connect(t, net.JoinHostPort("127.0.0.1", port)) // and says nothing
	require.Equal(t, command.ExitWrong, s.ends(t))
	require.Contains(t, s.stderr.String(), "it did not answer hello, the first line, within 200ms (--start-within)")
}
