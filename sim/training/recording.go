// Package training makes riddles of runs: hidden faults, the clues to them in the signals that the sequence can
// read, and answers that look alike. It knows no terminal.
//
// How a riddle is drawn, from its seed alone:
//
//  1. The faults of the catalogue that fit the rig and the level are put in an order by chance, each order as likely as
//     any other; of the level data, chance puts either the wrong data or the defects in front. The first one of which a
//     run proves that it can be seen is taken. So each fault that can be seen is as likely as any other.
//  2. Moments are tried in an order by chance: the start of the run, which comes first in half of the draws, and one in
//     each state of the nominal run, anywhere in it. What wears or loosens over weeks begins at the start, and so does all
//     of the level data. A copy of the nominal run goes on from there with the fault, no further than it takes to be seen in
//     that state; only if it is seen there, the whole run follows. So a fault is drawn for those states in which it acts.
//  3. The severity is any of the scale. The levels mild and masked take the first of five from the mild end on that can
//     be seen: of the first fifth of the scale, and of the whole of it.
//  4. Of two faults the first is drawn so, and the second among those behind it in the order, until each can be seen beside
//     the other and the test has entered half of its states.
//  5. The other answers are other faults of which a run shows, at that moment and level, that they could be right as well:
//     those whose runs are nearest, and by chance of those about as near; of the level data, at that severity at which they
//     are nearest. Each is run at severities over its whole scale, and is no answer if one of them cannot be told from the
//     right one, or if its nearest run cannot be told from that of another answer of its group. No answer is alone in its
//     group; of the level masked, if it can be avoided.
//  6. Of two faults, see [Riddle.Causes], all answers are the pairs of four: the two, and the nearest look-alike of each.
//  7. Of the level data, three answers are wrong data and three are defects.
//
// A series leaves out the seeds that would repeat a fault. The answers tell nothing by themselves: their order is by chance.
package training

import (
	"errors"
	"fmt"
	"math"
	"slices"
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
	two        bool // the axis has two brakes
}

// scan is one functional scan.
type scan struct {
	atS   float64
	state string
	alarm string
	in    sequence.Inputs
}

// Record runs a case to its end and keeps what the sequence read.
func Record(c *sim.Case) (*Recording, error) {
	r := newRecording(c, 0)
	return r, r.runOut(sim.NewBench(c, nil))
}

// errEnough ends a run of which enough is kept.
var errEnough = errors.New("enough is recorded")

// runOut records a run to its end, or until enough is kept, then without a result.
func (r *Recording) runOut(b *sim.Bench) (err error) {
	const manyTicks = 1 << 20
	b.Trace(traceBuffer{r})
	for b.Advance(manyTicks) {
	}
	if r.Result, err = b.Result(); err != nil && !errors.Is(err, errEnough) {
		return fmt.Errorf("record: %w", err)
	}
	return nil
}

// record runs a case with the faults of a hypothesis and keeps at most so many scans, 0 for all, in a buffer that
// [drawing.reuse] takes back.
func (d *drawing) record(h Hypothesis, c *sim.Case, most int) (*Recording, error) {
	buffer, ok := d.buffers.Get().(*[]scan)
	if !ok {
		list := make([]scan, 0, d.healthy.mostScans())
		buffer = &list
	}
	b, scans, err := d.begin(h, c)
	if err != nil {
		return nil, err
	}
	r := newRecording(c, most)
	r.scans = (*buffer)[:0]
	r.scans = append(r.scans, d.healthy.scans[:scans]...)
	return r, r.runOut(b)
}

// begin is a run with the faults of a hypothesis where it can begin to differ from the nominal one, and how many scans
// are done: a copy of the nominal run in the state before the first one in which a fault begins.
func (d *drawing) begin(h Hypothesis, c *sim.Case) (b *sim.Bench, scans int, err error) {
	place := len(d.visits)
	for _, f := range c.Scenario.Faults {
		place = min(place, slices.IndexFunc(d.visits, func(v stateVisit) bool { return v.state == f.When.State })-1)
	}
	if place < 0 || len(c.Scenario.Faults) < len(h) || d.visits[place].copy == nil { // with wrong data it differs from its start
		return sim.NewBench(c, nil), 0, nil
	}
	b = d.visits[place].copy.Clone()
	for _, f := range c.Scenario.Faults {
		if err := b.Inject(f); err != nil {
			return nil, 0, fmt.Errorf("record: %w", err)
		}
	}
	return b, d.visits[place].scans, nil
}

// reuse gives the buffer of a recording that is no longer read to the next one.
func (d *drawing) reuse(r *Recording) { d.buffers.Put(&r.scans) }

func newRecording(c *sim.Case, most int) *Recording {
	return &Recording{
		slackScans: slackOf(c.Rig.Clock.FunctionalScan, c.Rig.Clock.SafetyScan), scanS: c.Rig.Clock.FunctionalScan.Seconds(), most: most,
		sequence: c.Sequence, two: c.Rig.Brake2.Exists(),
	}
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
	t.r.scans = append(t.r.scans, scan{atS: row.TS, state: row.State, alarm: row.Out.Alarm, in: *row.In})
	return nil
}

// endedS is when the sequence entered its end, +Inf for a run without one.
func (r *Recording) endedS() float64 {
	if r.Result != nil {
		for i := range r.Result.Events {
			if e := &r.Result.Events[i]; e.Type == sim.EventEnded {
				return e.TS
			}
		}
	}
	return math.Inf(1)
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

// stage is a state, and the alarm in it.
type stage struct{ state, alarm string }

// path lists the states that a run was in, in order, with their alarms.
func (r *Recording) path() []stage {
	var list []stage
	for i := range r.scans {
		if now := (stage{r.scans[i].state, r.scans[i].alarm}); len(list) == 0 || list[len(list)-1] != now {
			list = append(list, now)
		}
	}
	return list
}

// visits lists the first visit of each state that a run entered, in order, without the last
// state, with copies of the run at their beginnings.
func (r *Recording) visits(at map[string]keptMoment) []stateVisit {
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
			list = append(list, stateVisit{state, from, i, at[state]})
		}
		from = i
	}
	return list
}
