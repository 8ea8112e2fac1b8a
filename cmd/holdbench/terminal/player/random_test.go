package player

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/sim"
)

// model is a run of some length that does what jobs ask for, as far as a draw lets it.
type model struct {
	*rapid.T
	p       *Player
	now     time.Time
	length  int64
	ticks   int64
	under   *Job
	ordered []int // changes, in the order in which they were asked for
	made    []int
}

func (m *model) number(least, most int, what string) int {
	return rapid.IntRange(least, most).Draw(m.T, what)
}

// order gives one of the orders.
func (m *model) order() {
	switch p := m.p; m.number(0, 9, "order") {
	case 0:
		p.Play()
	case 1:
		p.Pause()
	case 2, 3:
		p.GoTo(int64(m.number(-5, 1200, "ticks")))
	case 4:
		p.RunTo(Place{})
	case 5, 6:
		n := len(m.ordered)
		m.ordered = append(m.ordered, n)
		p.Change(func(*sim.Bench) error { m.made = append(m.made, n); return nil })
	case 7:
		p.WhenFree("errand")
	case 8:
		p.Faster()
	default:
		m.now = m.now.Add(time.Duration(m.number(0, 400, "ms")) * time.Millisecond)
		p.Frame(m.now, tick)
	}
}

// begin takes the next task, which is none while a job is under way.
func (m *model) begin() bool {
	task, due := m.p.Next()
	if m.under != nil {
		require.False(m, due, "two jobs at once")
	}
	if due && task.Errand == nil {
		m.under = &task.Job
	}
	return due
}

// end ends the job that is under way, complete or not.
func (m *model) end(whole bool) {
	j := m.under
	m.under = nil
	r := Progress{Kind: j.Kind, Cursor: Newest}
	goal := min(max(j.To, m.ticks), m.length)
	switch {
	case j.Kind == Show:
	case j.Kind == Change:
		require.NoError(m, j.change(nil))
		m.ticks = min(m.length, m.ticks+1)
	case whole:
		m.ticks = goal
		r.Stopped = rapid.Bool().Draw(m.T, "a stop")
	default:
		m.ticks += (goal - m.ticks) / 2
		r.Late = true
	}
	if j.Kind != Change && j.To >= 0 && j.To < m.ticks {
		r.Cursor = j.To
	}
	r.Ticks, r.Over = m.ticks, m.ticks == m.length
	m.p.Done(r)
}

// drain lets all work come to an end.
func (m *model) drain() {
	for steps := 0; m.under != nil || m.begin(); steps++ {
		require.Less(m, steps, 200, "it comes to no end")
		if m.under != nil {
			m.end(steps > 20)
		}
	}
}

// Whatever is asked for in whatever order, jobs are never two at once, all work comes to an
// end, every change is made once and in order, and the player takes orders afterwards.
func TestPlayerUnderAnything(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := &model{T: t, p: New(), length: 1000, ticks: 1, now: time.Unix(0, 0)}
		m.p.Load(Progress{Cursor: Newest, Ticks: 1})
		for range m.number(0, 40, "steps") {
			switch {
			case m.under != nil && m.number(0, 2, "end") == 0:
				m.end(rapid.Bool().Draw(t, "whole"))
			case m.number(0, 2, "begin") == 0:
				m.begin()
			default:
				m.order()
			}
		}
		m.drain()
		require.Contains(t, []State{Idle, Playing}, m.p.State(), "no moment and no place is left to go to")
		require.False(t, m.p.Changing())
		require.Equal(t, m.ordered, m.made)
		m.p.GoTo(1)
		require.EqualValues(t, 1, m.p.Cursor())
		m.drain()
		require.Equal(t, Idle, m.p.State())
		require.EqualValues(t, 1, m.p.Cursor(), "it is shown")
	})
}
