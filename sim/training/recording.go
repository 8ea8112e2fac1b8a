// Package training makes riddles of runs: hidden faults, the clues to them in the signals that the sequence can
// read, and answers that look alike. It knows no terminal.
package training

import (
	"errors"
	"fmt"
	"time"

	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/compare"
)

// Recording is what the sequence read in a run, scan by scan.
type Recording struct {
	Result *sim.Result

	scans      []scan
	slackScans int     // scans by which chance alone can shift an event
	scanS      float64 // s, of a functional scan
	most       int     // scans that are kept, 0 for all
	sequence   *sequence.Description
}

// scan is one functional scan.
type scan struct {
	atS   float64
	state string
	in    sequence.Inputs
}

// Record runs a case to its end and keeps what the sequence read.
func Record(c *sim.Case) (*Recording, error) { return record(c, 0) }

// errEnough ends a run of which enough is kept.
var errEnough = errors.New("enough is recorded")

// record keeps at most so many scans and ends the run behind them, then without a result; 0 is the whole run.
func record(c *sim.Case, most int) (*Recording, error) {
	r := &Recording{
		slackScans: slackOf(c.Rig.Clock.FunctionalScan, c.Rig.Clock.SafetyScan), scanS: c.Rig.Clock.FunctionalScan.Seconds(), most: most,
		sequence: c.Sequence,
	}
	result, err := sim.Run(c, traceBuffer{r})
	if err != nil && !errors.Is(err, errEnough) {
		return nil, fmt.Errorf("record: %w", err)
	}
	r.Result = result
	return r, nil
}

// slackOf is how many functional scans an event may be early or late by chance; see [compare.Slack].
func slackOf(functional, safety time.Duration) int {
	return int((compare.Slack(functional, safety) + functional - 1) / functional)
}

// traceBuffer is a tracer that fills a recording.
type traceBuffer struct{ r *Recording }

// Row takes one scan.
func (t traceBuffer) Row(row *sim.Row) error {
	if t.r.most > 0 && len(t.r.scans) >= t.r.most {
		return errEnough
	}
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

// path lists the states that a run was in, in order.
func (r *Recording) path() []string {
	var list []string
	for i := range r.scans {
		if n := len(list); n == 0 || list[n-1] != r.scans[i].state {
			list = append(list, r.scans[i].state)
		}
	}
	return list
}

// stateVisit is one visit of a state.
type stateVisit struct {
	state    string
	duration time.Duration
}

// visits lists the first visit of each state that a run entered, in order, without the last
// state.
func (r *Recording) visits(every time.Duration) []stateVisit {
	var list []stateVisit
	seen := map[string]bool{}
	from := 0
	for i := 1; i < len(r.scans); i++ {
		state := r.scans[from].state
		if r.scans[i].state == state {
			continue
		}
		if !seen[state] {
			seen[state] = true
			list = append(list, stateVisit{state, time.Duration(i-from) * every})
		}
		from = i
	}
	return list
}
