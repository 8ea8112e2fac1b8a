//go:build unix

package controller

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim/remote"
)

// part is what the test's own binary does when it is started as a controller.
const part = "HOLDBENCH_TEST_CONTROLLER"

func TestMain(m *testing.M) {
	play, ok := parts[os.Getenv(part)]
	if !ok {
		os.Exit(m.Run())
	}
	play(bufio.NewReaderSize(os.Stdin, 1<<16))
}

// parts are controllers, good and bad.
var parts = map[string]func(in *bufio.Reader){
	"answers": func(in *bufio.Reader) {
		hear(in)
		say("{}")
		for _, err := in.ReadSlice('\n'); err == nil; _, err = in.ReadSlice('\n') {
			say(`{"outputs":{"drive":"hold","brake":"open"},"state":"ready"}`)
		}
	},
	"exits":  func(in *bufio.Reader) { hear(in); _, _ = io.WriteString(os.Stderr, "no axis\n\n"); os.Exit(3) },
	"sleeps": func(*bufio.Reader) { time.Sleep(time.Hour) },
	"starts slowly": func(in *bufio.Reader) {
		time.Sleep(700 * time.Millisecond)
		for range 2 {
			hear(in)
			say("{}")
		}
		time.Sleep(time.Hour)
	},
	"trickles": func(in *bufio.Reader) {
		for hear(in); ; time.Sleep(5 * time.Millisecond) {
			_, _ = io.WriteString(os.Stdout, " ")
		}
	},
	"half closed": func(in *bufio.Reader) { hear(in); _ = os.Stdout.Close(); time.Sleep(time.Hour) },
	"deaf":        func(*bufio.Reader) { _ = os.Stdin.Close(); time.Sleep(time.Hour) },
	"floods": func(*bufio.Reader) {
		for text := bytes.Repeat([]byte("x"), 1<<16); ; {
			_, _ = os.Stdout.Write(text)
		}
	},
	"floods errors": func(in *bufio.Reader) {
		text := bytes.Repeat([]byte("y"), 1<<16)
		for range 64 {
			_, _ = os.Stderr.Write(text)
		}
		hear(in)
		say("{}")
	},
	"stays": func(in *bufio.Reader) { hear(in); say("{}"); hear(in); time.Sleep(time.Hour) },
	"has a child": func(in *bufio.Reader) {
		c := exec.Command(os.Args[0])
		c.Env = append(os.Environ(), part+"=sleeps")
		c.Stdout = os.Stdout
		_ = c.Start()
		hear(in)
		say(`{"name":"` + strconv.Itoa(c.Process.Pid) + `"}`)
		hear(in)
		os.Exit(0)
	},
}

func hear(in *bufio.Reader) { _, _ = in.ReadSlice('\n') }

func say(line string) { _, _ = io.WriteString(os.Stdout, line+"\n") }

// program is the test's binary in one of its parts.
func program(tb testing.TB, name string, limits Limits) *Program {
	tb.Helper()
	self, err := os.Executable()
	require.NoError(tb, err)
	tb.Setenv(part, name)
	return &Program{Context: tb.Context(), Words: []string{self}, Limits: limits}
}

// talk sends a line and reads the answer.
func talk(c io.ReadWriter) (string, error) {
	if _, err := io.WriteString(c, "{}\n"); err != nil {
		return "", err
	}
	return bufio.NewReader(c).ReadString('\n')
}

const lateHello = "it did not answer hello, the first line, within 300ms (--start-within)"

// The start of a process has a limit of its own, and so has each answer after the first, also where
// several lines went out at once.
func TestLimits(t *testing.T) {
	c, err := program(t, "starts slowly", Limits{Start: 20 * time.Second, Answer: 600 * time.Millisecond}).Connect()
	require.NoError(t, err)
	_, err = talk(c)
	require.NoError(t, err, "it takes longer than an answer may")
	_, err = io.WriteString(c, "{}\n{}\n")
	require.NoError(t, err)
	answers, err := io.ReadAll(c)
	require.Equal(t, "{}\n", string(answers))
	require.EqualError(t, err, "it did not answer within 600ms (--answer-within)")
	require.NoError(t, c.Close())
}

// Whatever a process does, an answer or the reason why there is none comes, the process ends, and
// nothing stays behind.
func TestProcesses(t *testing.T) {
	for name, want := range map[string]string{
		"answers": "", "exits": `its process ended, exit status 3; last line of its standard error: "no axis"`,
		"sleeps": lateHello, "trickles": lateHello,
		"half closed": "it has closed its standard output", "floods errors": "", "stays": "",
	} {
		t.Run(name, func(t *testing.T) {
			requireNoneLeft(t, func() *process {
				limits := DefaultLimits()
				if want == lateHello {
					limits.Start = 300 * time.Millisecond
				}
				p := program(t, name, limits)
				c, err := p.Connect()
				require.NoError(t, err)
				_, err = talk(c)
				if want == "" {
					require.NoError(t, err)
				} else {
					require.EqualError(t, err, want)
				}
				require.NoError(t, c.Close())
				return c.(*process)
			})
		})
	}
}

// requireNoneLeft runs something with a process and looks for what it leaves behind.
func requireNoneLeft(t *testing.T, run func() *process) {
	t.Helper()
	before := runtime.NumGoroutine()
	c := run()
	require.NotNil(t, c.cmd.ProcessState, "the process has ended")
	for end := time.Now().Add(5 * time.Second); runtime.NumGoroutine() > before && time.Now().Before(end); {
		time.Sleep(time.Millisecond)
	}
	require.LessOrEqual(t, runtime.NumGoroutine(), before, "goroutines")
}

// What a process has started itself ends with it.
func TestChildrenEndToo(t *testing.T) {
	c, err := program(t, "has a child", DefaultLimits()).Connect()
	require.NoError(t, err)
	answer, err := talk(c)
	require.NoError(t, err)
	child, err := strconv.Atoi(answer[len(`{"name":"`) : len(answer)-len("\"}\n")])
	require.NoError(t, err)
	require.NoError(t, syscall.Kill(child, 0), "it is there")
	require.NoError(t, c.Close())
	require.Eventually(t, func() bool { return isGone(child) }, 5*time.Second, 5*time.Millisecond)
}

// isGone is whether a process has ended; one that nobody has waited for counts.
func isGone(pid int) bool {
	if syscall.Kill(pid, 0) != nil {
		return true
	}
	state, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/stat")
	return err == nil && bytes.Contains(state, []byte(") Z "))
}

// An interrupt ends the process at once, whatever it does.
func TestInterrupt(t *testing.T) {
	requireNoneLeft(t, func() *process {
		ctx, cancel := context.WithCancel(t.Context())
		p := program(t, "sleeps", Limits{})
		p.Context = ctx
		c, err := p.Connect()
		require.NoError(t, err)
		time.AfterFunc(20*time.Millisecond, cancel)
		_, err = talk(c)
		require.ErrorIs(t, err, context.Canceled)
		require.NoError(t, c.Close())
		_, err = p.Connect()
		require.ErrorIs(t, err, context.Canceled, "none is started any more")
		return c.(*process)
	})
}

func TestWords(t *testing.T) {
	t.Parallel()
	for line, want := range map[string][]string{
		`python3 axis.py`:             {"python3", "axis.py"},
		`  'my axis' --rate=1\ 000 `:  {"my axis", "--rate=1 000"},
		`a "b 'c' \"d\"" '' e"f"'g'h`: {"a", `b 'c' "d"`, "", "efgh"},
	} {
		words, err := Words(line)
		require.NoError(t, err)
		require.Equal(t, want, words)
	}
	for line, want := range map[string]string{
		"": "is empty", "  ": "is empty", "''": "is empty", "a 'b": "has a quote that is not closed", `a \`: "ends with a backslash",
	} {
		_, err := Words(line)
		require.ErrorContains(t, err, want, line)
	}
}

// Scans a second over the pipes of a process, with a client in C where there is a compiler, and one in
// Go. At least 20 000 are wanted.
func BenchmarkProcessScan(b *testing.B) {
	b.Run("go", func(b *testing.B) { benchmarkScan(b, program(b, "answers", DefaultLimits())) })
	b.Run("c", func(b *testing.B) {
		if _, err := exec.LookPath("cc"); err != nil {
			b.Skip("there is no cc")
		}
		made := filepath.Join(b.TempDir(), "press_down")
		out, err := exec.Command("cc", "-O2", "-o", made, "../../../../sim/remote/clients/press_down.c").CombinedOutput()
		require.NoError(b, err, string(out))
		benchmarkScan(b, &Program{Context: b.Context(), Words: []string{made}, Limits: DefaultLimits()})
	})
}

func benchmarkScan(b *testing.B, p *Program) {
	b.Helper()
	pool := remote.NewPool(remote.Options{Connect: p.Connect, Most: 1})
	defer func() { _ = pool.Close() }()
	base, _, err := scenarios.LoadLogic("reference", scenarios.Below)
	require.NoError(b, err)
	logic, err := pool.Logic(base, "bench", 2*time.Millisecond)
	require.NoError(b, err)
	c := logic.New(2 * time.Millisecond)
	in, out := sequence.Inputs{PositionMM: 420.0625, TorqueNM: 2.8125}, sequence.DefaultOutputs()
	b.ReportAllocs()
	b.ResetTimer()
	for range b.N {
		in.Clock += 2 * time.Millisecond
		if _, err := c.Scan(&in, &out); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "scans/s")
}
