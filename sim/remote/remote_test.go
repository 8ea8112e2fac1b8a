package remote_test

import (
	"bufio"
	"errors"
	"io"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/remote"
	"holdbench/sim/remote/talker"
)

// load is a built-in case.
func load(tb testing.TB, name string, o scenarios.Overrides) *sim.Case {
	tb.Helper()
	c, _, err := scenarios.LoadCase(name, o)
	require.NoError(tb, err)
	return c
}

// talks is a pool whose controllers are the reference sequence, each behind a pipe of its own.
func talks(tb testing.TB, most int) *remote.Pool {
	tb.Helper()
	logic, _, err := scenarios.LoadLogic("reference", scenarios.Below)
	require.NoError(tb, err)
	return answers(tb, most, func(conn io.ReadWriter) { _ = talker.Serve(always(logic), conn) })
}

// always finds a sequence by any name.
func always(logic sequence.Logic) func(string) (*sequence.Program, error) {
	return func(string) (*sequence.Program, error) { return logic.(*sequence.Program), nil }
}

// answers is a pool whose controllers are what a test says.
func answers(tb testing.TB, most int, serve func(io.ReadWriter)) *remote.Pool {
	tb.Helper()
	p := remote.NewPool(remote.Options{Most: most, Source: tb.Name(), AnswerWithin: time.Second, Connect: func() (io.ReadWriteCloser, error) {
		ours, theirs, err := pipes()
		if err != nil {
			return nil, err
		}
		go func() {
			defer func() { _ = theirs.Close() }()
			serve(theirs)
		}()
		return ours, nil
	}})
	tb.Cleanup(func() { _ = p.Close() })
	return p
}

// ends is one end of two pipes.
type ends struct {
	io.Reader
	io.Writer
	close func() error
}

func (e ends) Close() error { return e.close() }

// pipes are two pipes as a process has them.
func pipes() (ours, theirs ends, err error) {
	in, theirOut, err := os.Pipe()
	if err != nil {
		return ends{}, ends{}, err
	}
	theirIn, out, err := os.Pipe()
	if err != nil {
		return ends{}, ends{}, err
	}
	ours = ends{in, out, func() error { return errors.Join(in.Close(), out.Close()) }}
	theirs = ends{theirIn, theirOut, func() error { return errors.Join(theirIn.Close(), theirOut.Close()) }}
	return ours, theirs, nil
}

// with is the case with a controller of a pool in place of its sequence.
func with(tb testing.TB, c *sim.Case, p *remote.Pool) *sim.Case {
	tb.Helper()
	n := *c
	logic, err := p.Logic(c.Logic, c.Rig.Rig, c.Rig.Clock.FunctionalScan)
	require.NoError(tb, err)
	n.Logic, n.Sequence = logic, logic.About()
	return &n
}

// A sequence behind the protocol gives the same run as the sequence itself: events, states, kept
// values, figures.
func TestRunsAreTheSame(t *testing.T) {
	t.Parallel()
	p := talks(t, 1)
	for _, name := range []string{"healthy-down-and-up", "lining-worn-thin"} {
		c := load(t, name, scenarios.Overrides{})
		want, err := sim.Run(c, nil)
		require.NoError(t, err)
		got, err := sim.Run(with(t, c, p), nil)
		require.NoError(t, err)
		want.Sequence = "controller outside"
		require.Equal(t, want, got, name)
	}
	all, again := p.Scans()
	require.Positive(t, all)
	require.Zero(t, again, "one run after the other")
}

// Copies of a run go on by themselves, with fewer connections than there are runs.
func TestCopiesShareAConnection(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down", scenarios.Overrides{})
	p := talks(t, 1)
	b, alone := sim.NewBench(with(t, c, p), nil), sim.NewBench(c, nil)
	advance := func(b *sim.Bench, ticks int64) {
		for b.Ticks() < ticks && b.Tick() {
		}
	}
	advance(b, 9000)
	advance(alone, 9000)
	copied := b.Clone()
	require.NoError(t, copied.SetButton("cancel", true))
	for ticks := int64(10_000); ticks < 12_000; ticks += 1500 {
		advance(copied, ticks)
		advance(b, ticks)
	}
	for copied.Tick() {
	}
	for b.Tick() {
	}
	for alone.Tick() {
	}
	want, err := alone.Result()
	require.NoError(t, err)
	got, err := b.Result()
	require.NoError(t, err)
	want.Sequence = "controller outside"
	require.Equal(t, want, got)
	other, err := copied.Result()
	require.NoError(t, err)
	require.Equal(t, "stop", other.End)
	_, again := p.Scans()
	require.Positive(t, again)
}

// Results carry the name of the controller, not that of the sequence that does not run; its notes are
// not the controller's either.
func TestNameOfAController(t *testing.T) {
	t.Parallel()
	for greeting, want := range map[string]string{
		`{}`:                 "controller outside",
		`{"name":"my-axis"}`: "controller my-axis",
		`{"name":"a","states":[{"name":"idle"}]}`: "controller a",
	} {
		p := answers(t, 1, func(conn io.ReadWriter) {
			_, _ = bufio.NewReader(conn).ReadString('\n') // hello
			_, _ = io.WriteString(conn, greeting+"\n")
		})
		d := with(t, load(t, "healthy-down", scenarios.Overrides{}), p).Sequence
		require.Equal(t, want, d.Name)
		require.Equal(t, want, d.Title())
		require.Empty(t, d.Note)
		for _, s := range d.States {
			require.Empty(t, s.Note)
		}
	}
}
