package remote_test

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/remote"
)

// script is a client that answers each line by its number.
func script(answer func(n int, line string) string) func(io.ReadWriter) {
	return func(conn io.ReadWriter) {
		in := bufio.NewReader(conn)
		for n := 0; ; n++ {
			line, err := in.ReadString('\n')
			if err != nil {
				return
			}
			text := answer(n, line)
			if text == "" {
				return
			}
			if _, err := io.WriteString(conn, text); err != nil || !strings.HasSuffix(text, "\n") {
				return
			}
		}
	}
}

// short is a case that ends soon.
func short(tb testing.TB) *sim.Case {
	tb.Helper()
	return load(tb, "healthy-down", scenarios.Overrides{Set: map[string]string{"rig.clock.run_limit": "1s"}})
}

// stopped is the reason for which the controller of a run was stopped; empty if it was not.
func stopped(r *sim.Result) string {
	for i := range r.Events {
		if r.Events[i].Type == sim.EventControllerStopped {
			return r.Events[i].What
		}
	}
	return ""
}

// A controller that does not answer as it should is one without power from then on: the drive is off,
// the brake closed, and the run tells why and goes on to its end.
func TestBadClients(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		answer func(n int, line string) string
		want   string
	}{
		"dies":            {func(n int, _ string) string { return []string{"{}\n", "{}\n", "{}\n", ""}[min(n, 3)] }, "it ended without an answer"},
		"dies in a line":  {after(5, "{\"outputs\":"), "it ended in the middle of the line \"{\\\"outputs\\\":\""},
		"nonsense":        {after(5, "what?\n"), "its answer is \"what?\": character 1 is 'w', where an object is expected"},
		"empty line":      {after(5, "\n"), "it ends where an object is expected"},
		"two lines":       {after(5, "{}\n{}\n"), "it answered with more than one line"},
		"flood":           {after(5, strings.Repeat("x", 1<<20)), "its answer is longer than 65536 bytes"},
		"wrong number":    {after(5, "{\"n\":3}\n"), "it answered line 3, and line 5 was sent"},
		"unknown state":   {after(5, "{\"state\":\"nowhere\"}\n"), "there is no state \"nowhere\""},
		"enormous torque": {after(5, "{\"outputs\":{\"press_torque_nm\":1e300}}\n"), "must be from -1,000,000 to 1,000,000"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p := answers(t, 1, script(c.answer))
			r, err := sim.Run(with(t, short(t), p), nil)
			require.NoError(t, err)
			require.Contains(t, stopped(r), "controller stopped: ")
			require.Contains(t, stopped(r), c.want)
			require.Less(t, r.SupportShare, 1.0)
			last := r.Events[len(r.Events)-1].Snapshot
			require.InDelta(t, 1, last.Engagement, 1e-9, "the brake is closed")
		})
	}
}

// after answers well until a line, and then with something else, after which it ends.
func after(lines int, text string) func(int, string) string {
	return func(n int, _ string) string {
		switch {
		case n < lines:
			return "{}\n"
		case n == lines:
			return text
		}
		return ""
	}
}

// The next run has a new controller, and one that was lost between two runs is replaced.
func TestTheNextRunHasANewController(t *testing.T) {
	t.Parallel()
	var connections atomic.Int32
	dies := answers(t, 1, func(conn io.ReadWriter) {
		connections.Add(1)
		script(after(5, ""))(conn)
	})
	for range 3 {
		r, err := sim.Run(with(t, short(t), dies), nil)
		require.NoError(t, err)
		require.Contains(t, stopped(r), "it ended without an answer")
	}
	require.EqualValues(t, 3, connections.Load())

	var resets atomic.Int32
	leaves := answers(t, 1, func(conn io.ReadWriter) {
		connections.Add(1)
		script(func(_ int, line string) string {
			if strings.Contains(line, `"type":"reset"`) {
				if resets.Add(1)%2 == 0 {
					return ""
				}
			}
			return "{}\n"
		})(conn)
	})
	for range 2 {
		r, err := sim.Run(with(t, short(t), leaves), nil)
		require.NoError(t, err)
		require.Empty(t, stopped(r), "a new connection is made")
	}
	require.EqualValues(t, 5, connections.Load())
}

// What one client may send and the plant has to bear: every output at random, within what is allowed.
func TestNoOutputsHarmTheBench(t *testing.T) {
	t.Parallel()
	seeds := uint64(10)
	if testing.Short() {
		seeds = 2
	}
	for seed := range seeds {
		draw := rand.New(rand.NewPCG(seed, 1))
		p := answers(t, 1, script(func(n int, _ string) string {
			if n == 0 {
				return "{\"outputs\":[\"target_mm\",\"drive\",\"brake\"]}\n"
			}
			number := func() float64 { return []float64{0, -1, 1, 1e6, -1e6, draw.NormFloat64() * 1000}[draw.IntN(6)] }
			word := func(words ...string) string { return words[draw.IntN(len(words))] }
			text, err := json.Marshal(map[string]any{"outputs": map[string]any{
				"drive": word("off", "hold", "move", "press"), "target_mm": number(), "move_speed_mm_s": number(), "press_torque_nm": number(),
				"press_rate_nm_s": number(), "torque_limit_nm": number(), "required_current_a": number(), "brake": word("open", "closed"),
				"decouple": draw.IntN(2) == 0, "operation": word("allowed", "inhibited"), "alarm": word("", "x"),
			}})
			if err != nil {
				panic(err)
			}
			return string(text) + "\n"
		}))
		r, err := sim.Run(with(t, short(t), p), nil)
		require.NoError(t, err)
		require.Empty(t, stopped(r))
		_, err = json.Marshal(r)
		require.NoError(t, err, "every figure is a number")
	}
}

// The cause that was told stays up to the next one, and a pass has none: a failure that was made good is
// not why the run ended.
func TestThePassHasNoCause(t *testing.T) {
	t.Parallel()
	told := map[int]string{
		3: `"state":"bad","cause":"slipped"`,
		5: `"state":"good"`,
	}
	for last, want := range map[int][2]string{4: {"fail", "slipped"}, 1000: {"pass", ""}} {
		p := answers(t, 1, script(func(n int, _ string) string {
			switch {
			case n == 0:
				return `{"states":[{"name":"ready"},{"name":"bad","end":"fail"},{"name":"good","end":"pass"}]}` + "\n"
			case n <= last:
				return "{" + told[n] + "}\n"
			}
			return "{}\n"
		}))
		r, err := sim.Run(with(t, short(t), p), nil)
		require.NoError(t, err)
		require.Equal(t, want, [2]string{r.End, r.Cause})
	}
}

// A client that depends on more than what it is told cannot be told again: the run is lost, with the
// reason.
func TestAClientThatDoesNotRepeat(t *testing.T) {
	t.Parallel()
	scans := 0
	p := answers(t, 1, script(func(n int, _ string) string {
		if scans++; n == 0 {
			return "{}\n"
		}
		return fmt.Sprintf("{\"outputs\":{\"torque_limit_nm\":%d}}\n", scans)
	}))
	b := sim.NewBench(with(t, short(t), p), nil)
	for b.Ticks() < 400 && b.Tick() {
	}
	c := b.Clone()
	for c.Tick() {
	}
	_, err := c.Result()
	require.ErrorContains(t, err, "did not answer as before when it was told the same again")
}

// A client that says something else of itself than the one before is refused.
func TestGreetings(t *testing.T) {
	t.Parallel()
	var names atomic.Int32
	p := answers(t, 2, script(func(n int, _ string) string {
		if name := names.Add(1); n == 0 {
			return fmt.Sprintf("{\"name\":\"number %d\"}\n", name)
		}
		return ""
	}))
	_, err := sim.Run(with(t, short(t), p), nil)
	require.NoError(t, err)
	r, err := sim.Run(with(t, short(t), p), nil)
	require.NoError(t, err)
	require.Contains(t, stopped(r), "its answer to hello differs from that of the connection before")

	for line, want := range map[string]string{
		"\n":                               "it is no complete object of JSON",
		"[1]\n":                            "the line is of the kind array; must be what the protocol says",
		"{\"nme\":1}\n":                    "unknown field \"nme\"",
		"{\"states\":[{\"name\":\"\"}]}\n": "states[0] has the name \"\"",
		"{\"states\":[{\"name\":\"a\"},{\"name\":\"a\"}]}\n": "state \"a\" is there twice",
		"{\"states\":[{\"name\":\"a\",\"end\":\"good\"}]}\n": "state \"a\" ends as \"good\"; must be pass, fail or stop",
		"{\"start\":\"a\"}\n":                                "must come with states",
		"{\"states\":[{\"name\":\"a\"}],\"start\":\"b\"}\n":  "start is \"b\", which is no state",
		"{\"inputs\":[\"trigger\",\"torque\"]}\n":            "inputs[1] is \"torque\", which is no signal; the nearest valid one is",
		"{\"version\":99,\"speed\":1}\n":                     "it speaks version 99 of the protocol, and the bench speaks version 1",
		"{\"version\":0}\n":                                  "it speaks version 0",
		"{\"version\":\"1\"}\n":                              "version is of the kind string",
		"{\"version\":1,\"speed\":\"1\"}\n":                  "unknown field \"speed\"",
		"{\"n\":4}\n":                                        "it answered line 4, and line 0 was sent",
		"{} {}\n":                                            "must be one object",
	} {
		p := answers(t, 1, script(func(int, string) string { return line }))
		c := short(t)
		_, err := p.Logic(c.Logic, "rig", c.Rig.Clock.FunctionalScan)
		require.ErrorContains(t, err, want, line)
	}
	right := answers(t, 1, script(func(int, string) string { return "{\"version\":1}\n" }))
	c := short(t)
	_, err = right.Logic(c.Logic, "rig", c.Rig.Clock.FunctionalScan)
	require.NoError(t, err)
	none := remote.NewPool(remote.Options{Connect: func() (io.ReadWriteCloser, error) { return nil, errors.New("there is none") }})
	_, err = none.Logic(c.Logic, "rig", c.Rig.Clock.FunctionalScan)
	require.EqualError(t, err, "there is none")
}
