package player

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/history"
)

// beyond is more ticks than any run of these tests has.
const beyond = 1 << 40

func newRun(t *testing.T) *history.Run {
	t.Helper()
	c, _, err := scenarios.LoadCase("lining-worn-thin", scenarios.Overrides{})
	require.NoError(t, err)
	return history.New(c)
}

// after tells once so many ticks are done.
func after(ticks int64) func(*sim.Bench) bool {
	return func(b *sim.Bench) bool { return b.Ticks() == ticks }
}

func TestJobGoesOn(t *testing.T) {
	t.Parallel()
	run := newRun(t)
	to := func(place int64) Job { return Job{Kind: Run, To: beyond, place: Place{Reached: after(place)}} }
	p := to(100).Do(run, Limits{Stop: after(300)})
	assert.True(t, p.Held)
	assert.False(t, p.GaveUp)
	assert.False(t, p.Stopped)
	assert.EqualValues(t, 100, p.Ticks)
	p = to(300).Do(run, Limits{Stop: after(300)})
	assert.True(t, p.Stopped, "the lesson's stops come first")
	assert.False(t, p.Held)
	p = Job{Kind: Seek, To: 200}.Do(run, Limits{Stop: after(200)})
	assert.False(t, p.Stopped, "in the past nothing holds")
	assert.EqualValues(t, 200, p.Cursor)
	assert.EqualValues(t, 200, p.View.Tick)
	assert.EqualValues(t, 300, p.Ticks)
	p = Job{Kind: Seek, To: beyond}.Do(run, Limits{})
	assert.Equal(t, Newest, p.Cursor)
	assert.True(t, p.AtEnd())
	require.NotNil(t, p.Result)
}

func TestJobGivesUpAPlace(t *testing.T) {
	t.Parallel()
	run := newRun(t)
	never := func(*sim.Bench) bool { return false }
	p := Job{Kind: Run, To: beyond, place: Place{Reached: never, GiveUp: 500}}.Do(run, Limits{})
	assert.True(t, p.Held)
	assert.True(t, p.GaveUp)
	assert.EqualValues(t, 500, p.Ticks)
}

func TestJobIsLate(t *testing.T) {
	t.Parallel()
	run, ticks := newRun(t), 0
	late := func() bool { ticks++; return ticks == 50 }
	p := Job{Kind: Seek, To: 400}.Do(run, Limits{Late: late})
	assert.True(t, p.Late)
	assert.False(t, p.Held)
	assert.EqualValues(t, 50, p.Ticks)
	assert.Equal(t, Newest, p.Cursor, "it is shown as far as it came")
}

func TestJobChanges(t *testing.T) {
	t.Parallel()
	press := func(b *sim.Bench) error { return b.SetButton("estop", true) }
	for name, c := range map[string]struct {
		to     int64
		branch bool
		ticks  int64
	}{
		"at the newest moment": {Newest, false, 401},
		"in the past":          {300, true, 301},
		"beyond":               {900, false, 401},
	} {
		t.Run(name, func(t *testing.T) {
			run := newRun(t)
			run.Advance(400, nil)
			p := Job{Kind: Change, To: c.to, change: press}.Do(run, Limits{})
			require.NoError(t, p.Err)
			assert.Equal(t, c.branch, p.Branch)
			assert.Equal(t, c.branch, p.Run != run)
			assert.Same(t, run, p.Of)
			assert.Equal(t, c.ticks, p.Ticks)
			assert.True(t, p.View.Buttons["estop"])
			assert.Equal(t, c.branch, !run.View().Buttons["estop"], "a branch leaves the run as it was")
		})
	}
	run := newRun(t)
	p := Job{Kind: Change, To: Newest, change: func(*sim.Bench) error { return assert.AnError }}.Do(run, Limits{})
	require.ErrorIs(t, p.Err, assert.AnError)
	assert.Zero(t, p.Ticks)
	assert.Equal(t, Change, p.Kind)
}
