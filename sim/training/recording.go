// Package training makes riddles of runs: a fault that is not told, and what would give
// it away in the signals that the sequence can see. It knows no terminal.
package training

import (
	"fmt"
	"time"

	"holdbench/sequence"
	"holdbench/sim"
)

// Recording is what the sequence could see in a run, one scan after the other.
type Recording struct {
	Result *sim.Result

	scans []scan
	slack int // scans by which chance alone can shift what happens
}

// scan is one functional scan.
type scan struct {
	atS   float64
	state string
	in    sequence.Inputs
}

// Record runs a case to its end and keeps what the sequence saw.
func Record(c *sim.Case) (*Recording, error) {
	r := &Recording{slack: slackOf(c.Rig.Clock.FunctionalScan, c.Rig.Clock.SafetyScan)}
	result, err := sim.Run(c, tape{r})
	if err != nil {
		return nil, fmt.Errorf("record: %w", err)
	}
	r.Result = result
	return r, nil
}

// slackOf is how many functional scans an event may come sooner or later by chance: two,
// for a signal that trembles about a limit, and one safety scan, in which the judge
// looks.
func slackOf(functional, safety time.Duration) int {
	const trembling = 2
	return trembling + int((safety+functional-1)/functional)
}

// tape writes a recording.
type tape struct{ r *Recording }

// Row takes one scan.
func (t tape) Row(row *sim.Row) error {
	t.r.scans = append(t.r.scans, scan{atS: row.TS, state: row.State, in: *row.In})
	return nil
}

// at is a scan of the run; past its end the last one stays.
func (r *Recording) at(i int) *scan { return &r.scans[max(0, min(i, len(r.scans)-1))] }

// numbers is one signal in every scan.
func (r *Recording) numbers(s *sequence.Signal) []float64 {
	list := make([]float64, len(r.scans))
	for i := range r.scans {
		list[i] = s.InputNumber(&r.scans[i].in)
	}
	return list
}

// stay is one visit of a state.
type stay struct {
	state string
	lasts time.Duration
}

// stays lists the states that a run entered, each with its first visit, in order. The
// last one is left out: nothing follows in it.
func (r *Recording) stays(every time.Duration) []stay {
	var list []stay
	seen := map[string]bool{}
	from := 0
	for i := 1; i < len(r.scans); i++ {
		state := r.scans[from].state
		if r.scans[i].state == state {
			continue
		}
		if !seen[state] {
			seen[state] = true
			list = append(list, stay{state, time.Duration(i-from) * every})
		}
		from = i
	}
	return list
}
