package player

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim"
	"holdbench/sim/history"
)

// tick is one of a run at 4 kHz.
const tick = 250 * time.Microsecond

// at shows a moment of a run of 1000 ticks that goes on.
func at(cursor int64) Progress { return Progress{Cursor: cursor, Ticks: 1000} }

// loaded is an idle player that shows tick 500.
func loaded() *Player {
	p := New()
	p.Load(at(500))
	return p
}

// begin takes the next job, which must be there.
func begin(t *testing.T, p *Player) Job {
	t.Helper()
	task, due := p.Next()
	require.True(t, due, "a job is due")
	require.Nil(t, task.Errand)
	require.True(t, p.Busy())
	return task.Job
}

// rests wants nothing to be due.
func rests(t *testing.T, p *Player) {
	t.Helper()
	_, due := p.Next()
	require.False(t, due)
}

func nothing(*sim.Bench) error { return nil }

// plays lets a frame come that is worth 100 ticks at the speed of real time.
func plays(p *Player) {
	p.Play()
	now := time.Unix(0, 0)
	p.Frame(now, tick)
	p.Frame(now.Add(100*tick), tick)
}

// in brings a player into a state, with its job under way.
func in(t *testing.T, s State) *Player {
	t.Helper()
	p := loaded()
	switch s {
	case Playing:
		plays(p)
	case Seeking:
		p.GoTo(700)
	case Running:
		p.RunTo(Place{})
	case Idle:
		return p
	}
	begin(t, p)
	require.Equal(t, s, p.State())
	return p
}

// states are all of them.
func states() []State { return []State{Idle, Playing, Seeking, Running} }

// Each order leads from each state to the same one, but for pausing and changing, which let
// a moment that was asked for stand.
func TestOrders(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		order func(*Player)
		want  [4]State // from Idle, Playing, Seeking, Running
	}{
		{"Play", (*Player).Play, [4]State{Playing, Playing, Playing, Playing}},
		{"Pause", (*Player).Pause, [4]State{Idle, Idle, Seeking, Idle}},
		{"GoTo", func(p *Player) { p.GoTo(300) }, [4]State{Seeking, Seeking, Seeking, Seeking}},
		{"RunTo", func(p *Player) { p.RunTo(Place{}) }, [4]State{Running, Running, Running, Running}},
		{"Change", func(p *Player) { p.Change(nothing) }, [4]State{Seeking, Playing, Seeking, Seeking}},
		{"WhenFree", func(p *Player) { p.WhenFree("errand") }, [4]State{Idle, Playing, Seeking, Running}},
		{"Load", func(p *Player) { p.Load(at(Newest)) }, [4]State{Idle, Idle, Idle, Idle}},
		{"Faster", (*Player).Faster, [4]State{Idle, Playing, Seeking, Running}},
	} {
		for i, s := range states() {
			p := in(t, s)
			c.order(p)
			assert.Equal(t, c.want[i], p.State(), "%s in state %d", c.name, s)
		}
	}
}

// What comes of a job ends a state or does not.
func TestOutcomes(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		got  Progress
		want [4]State // from Idle, Playing, Seeking, Running; Idle has no job, and so no outcome
	}{
		{"goes on", at(600), [4]State{Idle, Playing, Idle, Running}},
		{"too slow", Progress{Cursor: Newest, Ticks: 600, Late: true}, [4]State{Idle, Playing, Seeking, Running}},
		{"held at the place", Progress{Cursor: Newest, Ticks: 1100, Held: true}, [4]State{Idle, Playing, Idle, Idle}},
		{"a stop of the lesson", Progress{Cursor: Newest, Ticks: 1100, Stopped: true}, [4]State{Idle, Idle, Idle, Idle}},
		{"the end", Progress{Cursor: Newest, Ticks: 1100, Over: true}, [4]State{Idle, Idle, Idle, Idle}},
		{"in the past of a run that is over", Progress{Cursor: 600, Ticks: 1100, Over: true}, [4]State{Idle, Playing, Idle, Idle}},
		{"an error", Progress{Cursor: 600, Ticks: 1100, Err: assert.AnError}, [4]State{Idle, Idle, Idle, Idle}},
	} {
		for i, s := range states()[1:] {
			p := in(t, s)
			p.Done(c.got)
			assert.Equal(t, c.want[i+1], p.State(), "%s in state %d", c.name, s)
			assert.Equal(t, c.got, *p.Shown(), c.name)
			assert.False(t, p.Busy(), c.name)
		}
	}
}

// While a job has the run, orders wait.
func TestOneJobAtATime(t *testing.T) {
	t.Parallel()
	for _, s := range states()[1:] {
		p := in(t, s)
		p.Change(nothing)
		p.GoTo(300)
		p.WhenFree("errand")
		p.RunTo(Place{})
		rests(t, p)
		assert.True(t, p.Busy())
	}
}

// What waits is done in order: changes and errands, then the moment, then the place.
func TestOrderOfWhatWaits(t *testing.T) {
	t.Parallel()
	p := in(t, Seeking)
	p.Change(nothing)
	p.GoTo(300)
	p.WhenFree("errand")
	p.RunTo(Place{})
	p.Done(at(700))
	assert.Equal(t, Change, begin(t, p).Kind)
	p.Done(at(Newest))
	task, due := p.Next()
	require.True(t, due)
	assert.Equal(t, "errand", task.Errand)
	assert.False(t, p.Busy(), "an errand is the owner's own")
	got := begin(t, p)
	assert.Equal(t, Seek, got.Kind)
	assert.EqualValues(t, 300, got.To)
	p.Done(at(300))
	assert.Equal(t, Run, begin(t, p).Kind)
}

// Of several moments asked for in a hurry the last counts, and the others cost nothing.
func TestLastMomentCounts(t *testing.T) {
	t.Parallel()
	p := in(t, Seeking)
	p.GoTo(300)
	p.GoTo(200)
	assert.EqualValues(t, 200, p.Cursor(), "before it is shown")
	p.Done(at(700))
	assert.EqualValues(t, 200, p.Cursor())
	assert.EqualValues(t, 200, begin(t, p).To)
	p.Done(at(200))
	rests(t, p)
	assert.Equal(t, Idle, p.State())
	p.GoTo(-5)
	assert.EqualValues(t, 1, p.Cursor(), "there is no moment before the first tick")
}

// A job that was too slow is followed by another, unless something else was asked for.
func TestRestOfTheWay(t *testing.T) {
	t.Parallel()
	late := Progress{Cursor: Newest, Ticks: 600, Late: true}
	for name, c := range map[string]struct {
		order func(*Player)
		want  int64
	}{
		"nothing else": {func(*Player) {}, 700},
		"another":      {func(p *Player) { p.GoTo(900) }, 900},
		"changed":      {func(p *Player) { p.Change(nothing) }, 700},
		"paused":       {(*Player).Pause, 700},
	} {
		p := in(t, Seeking)
		c.order(p)
		p.Done(late)
		got := begin(t, p)
		assert.Equal(t, Seek, got.Kind, name)
		assert.Equal(t, c.want, got.To, name)
	}
	p := in(t, Seeking)
	p.Play()
	p.Done(late)
	rests(t, p)
	assert.EqualValues(t, 600, p.Cursor(), "a run that plays goes on from where it is")
}

// A run that is paused is not brought to its end by the job that was under way.
func TestPauseEndsRunning(t *testing.T) {
	t.Parallel()
	p := in(t, Running)
	p.Pause()
	p.Done(Progress{Cursor: Newest, Ticks: 1200, Late: true})
	rests(t, p)
	assert.Equal(t, Idle, p.State())
	assert.EqualValues(t, 1200, p.Cursor())
}

// A change is made at the moment that the orders before it lead to.
func TestWhereAChangeIsMade(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		before func(*Player)
		want   int64
	}{
		"in the past":          {func(*Player) {}, 500},
		"at the newest moment": {func(p *Player) { p.Load(at(Newest)) }, Newest},
		"on the way":           {func(p *Player) { p.GoTo(700) }, 700},
		"after a change":       {func(p *Player) { p.Change(nothing) }, 501},
	} {
		p := loaded()
		c.before(p)
		p.Change(nothing)
		require.True(t, p.Changing(), name)
		var last Job
		for p.Changing() {
			last = begin(t, p)
			p.Done(at(last.To + 1))
		}
		assert.Equal(t, Change, last.Kind, name)
		assert.Equal(t, c.want, last.To, name)
	}
}

// A moment that was asked for before a change is gone to before it, so that the change is
// made in a run that has come there.
func TestChangeComesAfterTheWay(t *testing.T) {
	t.Parallel()
	p := in(t, Playing)
	p.GoTo(1500)
	p.Change(nothing)
	p.Done(at(600))
	got := begin(t, p)
	assert.Equal(t, Seek, got.Kind)
	assert.EqualValues(t, 1500, got.To)
	p.Done(Progress{Cursor: Newest, Ticks: 1500})
	got = begin(t, p)
	assert.Equal(t, Change, got.Kind)
	assert.EqualValues(t, 1500, got.To)
}

func TestSwap(t *testing.T) {
	t.Parallel()
	p := loaded()
	p.WhenFree("swap")
	p.WhenFree("another")
	task, _ := p.Next()
	require.Equal(t, "swap", task.Errand)
	other := &history.Run{}
	p.Swap(other)
	assert.Same(t, other, p.Shown().Run)
	assert.Equal(t, Newest, p.Shown().Cursor)
	assert.Equal(t, Show, begin(t, p).Kind, "what is on the bench is shown before anything else is done with it")
}

// Before a run is loaded there is nothing to do with it.
func TestOrdersWithoutARun(t *testing.T) {
	t.Parallel()
	for name, order := range map[string]func(*Player){
		"Play": (*Player).Play, "Pause": (*Player).Pause, "GoTo": func(p *Player) { p.GoTo(3) },
		"RunTo": func(p *Player) { p.RunTo(Place{}) }, "Change": func(p *Player) { p.Change(nothing) },
	} {
		p := New()
		order(p)
		rests(t, p)
		assert.Equal(t, Idle, p.State(), name)
		assert.False(t, p.AskFrame(), name)
		assert.False(t, p.Done(Progress{Ticks: 5}), name)
	}
}

// What comes of a job of another run is ignored.
func TestProgressOfAnotherRun(t *testing.T) {
	t.Parallel()
	p := in(t, Running)
	assert.False(t, p.Done(Progress{Of: &history.Run{}, Over: true}))
	assert.Equal(t, Running, p.State())
	assert.True(t, p.Busy())
	assert.EqualValues(t, 1000, p.Shown().Ticks)
}

func TestFrames(t *testing.T) {
	t.Parallel()
	now := time.Unix(0, 0)
	p := loaded()
	assert.False(t, p.AskFrame(), "none while the run is idle")
	p.Play()
	assert.True(t, p.AskFrame())
	assert.False(t, p.AskFrame(), "one at a time")
	p.Frame(now, tick)
	rests(t, p)
	assert.True(t, p.AskFrame())
	for speed, want := range map[float64]int64{0.01: 1, 0.5: 50, 1: 100, 2: 200, 1000: 100_000} {
		q := loaded()
		for q.Speed() < speed {
			q.Faster()
		}
		for q.Speed() > speed {
			q.Slower()
		}
		plays(q)
		assert.Equal(t, 500+want, begin(t, q).To, "100 ticks of time at %v×", speed)
	}
}

func TestLateFrames(t *testing.T) {
	t.Parallel()
	now := time.Unix(0, 0)
	p := loaded()
	p.Play()
	p.Frame(now, tick)
	p.Frame(now.Add(time.Hour), tick)
	assert.EqualValues(t, 500+1000, begin(t, p).To, "a frame is worth a quarter of a second at most")
	p.Frame(now.Add(time.Hour+100*tick), tick)
	p.Done(at(Newest))
	rests(t, p)
	p.Pause()
	p.Frame(now.Add(time.Hour+200*tick), tick)
	p.Play()
	p.Frame(now.Add(2*time.Hour), tick)
	rests(t, p)
}

// Fractions of a tick add up.
func TestDebt(t *testing.T) {
	t.Parallel()
	p := loaded()
	for p.Speed() > 0.1 {
		p.Slower()
	}
	p.Play()
	now := time.Unix(0, 0)
	var jobs int64
	for i := range 1001 {
		p.Frame(now.Add(time.Duration(i)*tick), tick)
		if _, due := p.Next(); due {
			jobs++
			p.Done(at(500 + jobs))
		}
	}
	assert.InDelta(t, 100, jobs, 1, "1000 ticks of time at 0.1×")
}
