package screens

import (
	"context"
	"sync/atomic"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/terminal/player"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/history"
)

// Close waits for the work that is under way, and nothing begins after it.
func TestWorkerCloses(t *testing.T) {
	t.Parallel()
	w := NewWorker(t.Context())
	begun, end := make(chan struct{}), make(chan struct{})
	var done atomic.Bool
	work := w.command(func() tea.Msg {
		close(begun)
		<-w.ctx.Done()
		<-end
		done.Store(true)
		return Leave{}
	})
	answered := make(chan tea.Msg, 1)
	go func() { answered <- work() }()
	<-begun
	closed := make(chan bool)
	go func() {
		w.Close()
		closed <- done.Load()
	}()
	<-w.ctx.Done() // the work is to end
	close(end)
	assert.True(t, <-closed, "the work had ended when Close came back")
	assert.Equal(t, Leave{}, <-answered)

	late := w.command(func() tea.Msg { assert.Fail(t, "nothing runs after Close"); return nil })
	assert.Nil(t, late())
	w.Close() // once more does no harm
}

// What is to be kept is kept although the program is left before its command runs, and Close waits for it.
func TestWorkerKeepsAtOnce(t *testing.T) {
	t.Parallel()
	w := NewWorker(t.Context())
	end := make(chan struct{})
	var kept atomic.Bool
	came := w.atOnce(func() tea.Msg {
		<-end
		kept.Store(true)
		return Leave{}
	})
	closed := make(chan bool)
	go func() {
		w.Close()
		closed <- kept.Load()
	}()
	<-w.ctx.Done() // the program is left
	close(end)
	assert.True(t, <-closed)
	assert.Equal(t, Leave{}, came())
	assert.Nil(t, w.atOnce(func() tea.Msg { assert.Fail(t, "nothing runs after Close"); return nil }))
}

// endless is a case whose run takes an hour, and a worker's slice many times over.
func endless(t *testing.T) *sim.Case {
	t.Helper()
	c := loadCase(t, "healthy-down-and-up")
	s := c.Scenario
	s.Set = map[string]string{"rig.clock.run_limit": "1h"}
	s.Script = []sim.Action{{At: 59 * time.Minute, Set: map[string]bool{"trigger": true}}}
	s.Lesson, s.Expect = nil, sim.Expect{}
	long, _, err := c.With(s)
	require.NoError(t, err)
	return long
}

// A slice of work ends by itself long before the run, and at once when the program ends.
func TestAdvanceInSlices(t *testing.T) {
	t.Parallel()
	w := NewWorker(t.Context())
	w.now = slowClock(10)
	run := history.New(endless(t))
	job := player.Job{Kind: player.Seek, To: 1 << 40}
	p := job.Do(run, player.Limits{Late: w.late()})
	assert.False(t, p.Over)
	assert.False(t, p.Held, "it came to no place")
	assert.True(t, p.Late)
	assert.EqualValues(t, 3*256, p.Ticks, "the clock is read every 256 ticks, and 10 ms later each time; the slice has 25 ms")
	w.Close()
	before := run.Ticks()
	p = job.Do(run, player.Limits{Late: w.late()})
	assert.False(t, p.Over)
	assert.Equal(t, before+256, p.Ticks, "a context that ends is seen after 256 ticks")
}

// The program that is left in the middle of a run to the end, a nominal run or a load ends all of them.
func TestLeaveWhileThereIsWork(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	w := NewWorker(ctx)
	c := endless(t)
	b := NewBench(w, ".", Chosen{}, c, "")
	b.NextFrame = func() tea.Cmd { return nil }
	for _, msg := range results(t, b.Init()) {
		feed(t, b, msg)
	}
	_, toEnd := b.Update(keyOf("end"))
	_, nominal := b.Update(keyOf("o"))
	cancel()
	for _, cmd := range []tea.Cmd{toEnd, nominal, b.load(Chosen{Reference: "healthy-down", Overrides: scenarios.Overrides{}})} {
		require.NotNil(t, cmd)
		assert.Empty(t, results(t, cmd), "nothing begins any more")
	}
	w.Close()
	assert.EqualValues(t, 1, b.runs.now().Ticks())
}

// A slice of time that is too short for a moment is followed by another: on a slow machine
// the keys lead to the same place.
func TestSliceThatIsTooShort(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down-and-up")
	d.bench.player.GoTo(4001)
	_, due := d.bench.player.Next() // a job that brings the run half way
	require.True(t, due)
	run := d.bench.runs.now()
	run.Advance(2000, nil)
	p := player.Observe(run, 4001)
	p.Kind, p.Of, p.Late = player.Seek, run, true
	d.send(p)
	d.shows(4001, "the rest of the way")
}
