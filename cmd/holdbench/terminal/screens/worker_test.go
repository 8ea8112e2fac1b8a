package screens

import (
	"context"
	"sync/atomic"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/history"
)

// Close waits for the work that is under way, and nothing begins after it.
func TestWorkerCloses(t *testing.T) {
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
	<-w.ctx.Done() // the work was told to end
	close(end)
	assert.True(t, <-closed, "the work had ended when Close came back")
	assert.Equal(t, Leave{}, <-answered)

	late := w.command(func() tea.Msg { assert.Fail(t, "nothing runs after Close"); return nil })
	assert.Nil(t, late())
	w.Close() // once more does no harm
}

// endless is a case whose run takes an hour, and a worker's slice many times over.
func endless(t *testing.T) *sim.Case {
	t.Helper()
	c := loadCase(t, "healthy-down-and-up")
	s := c.Scenario
	s.Set = map[string]string{"rig.clock.run_limit": "1h"}
	s.Script = []sim.Action{{At: 59 * time.Minute, Set: map[string]bool{"trigger": true}}}
	s.Lesson, s.Expect = nil, sim.Expect{}
	long, problems := c.With(s)
	require.NotNil(t, long, "%v", problems)
	return long
}

// A slice of work ends by itself long before the run, and at once if nobody wants it.
func TestAdvanceInSlices(t *testing.T) {
	w := NewWorker(t.Context())
	run := history.New(endless(t))
	p := w.advance(1<<40, nil, nil)(run)
	assert.False(t, p.over)
	assert.False(t, p.halted, "it came to no place")
	assert.Positive(t, p.ticks)
	w.Close()
	before := run.Ticks()
	p = w.advance(1<<40, nil, nil)(run)
	assert.False(t, p.over)
	assert.Equal(t, before+256, p.ticks, "a context that ends is seen after 256 ticks")
}

func TestAdvance(t *testing.T) {
	w := NewWorker(t.Context())
	defer w.Close()
	at := func(ticks int64) func(*sim.Bench) bool { return func(b *sim.Bench) bool { return b.Ticks() == ticks } }
	run := history.New(loadCase(t, "lining-worn-thin"))
	p := w.advance(4000, at(100), at(300))(run)
	assert.True(t, p.halted)
	assert.False(t, p.stopped)
	assert.EqualValues(t, 100, p.ticks)
	p = w.advance(4000, at(300), at(300))(run)
	assert.True(t, p.stopped, "the lesson's stops come first")
	assert.False(t, p.halted)
	p = w.advance(200, nil, at(200))(run)
	assert.False(t, p.stopped, "in the past nothing holds")
	assert.EqualValues(t, 200, p.cursor)
	assert.EqualValues(t, 200, p.look.Tick)
	assert.EqualValues(t, 300, p.ticks)
	p = w.advance(1<<40, nil, nil)(run)
	assert.EqualValues(t, atHead, p.cursor)
}

// The program that is left in the middle of a rush, a nominal run or a load ends all of them.
func TestLeaveWhileThereIsWork(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	w := NewWorker(ctx)
	c := endless(t)
	b := NewBench(w, ".", Chosen{}, c, "")
	b.NextFrame = func() tea.Cmd { return nil }
	for _, msg := range results(t, b.Init()) {
		feed(t, b, msg)
	}
	_, rush := b.Update(keyOf("end"))
	_, nominal := b.Update(keyOf("o"))
	cancel()
	for _, cmd := range []tea.Cmd{rush, nominal, b.load(Chosen{Reference: "healthy-down", Overrides: scenarios.Overrides{}})} {
		require.NotNil(t, cmd)
		assert.Empty(t, results(t, cmd), "nothing begins any more")
	}
	w.Close()
	assert.EqualValues(t, 1, b.runs[0].Ticks())
}

// A slice of time that is too short for a moment is followed by another: on a slow machine
// the keys lead to the same place.
func TestSliceThatIsTooShort(t *testing.T) {
	d := newDesk(t, "healthy-down-and-up")
	d.bench.working = true // a job that brings the run half way
	d.bench.heading = 4001
	run := d.bench.runs[0]
	run.Advance(2000, nil)
	p := observe(run, 4001)
	p.of, p.short = run, 4001
	d.tell(p)
	d.shows(4001, "the rest of the way")
}
