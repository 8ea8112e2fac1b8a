package compare

import (
	"context"
	"fmt"
	"math"
	"sort"
	"strings"
	"time"

	"holdbench/sequence"
	"holdbench/sim"
)

// Run is a run with all signals of its scans.
type Run struct {
	Case   *sim.Case
	Result *sim.Result // of the run as far as it was recorded

	EveryS  float64 // s from one row to the next
	at      []float64
	columns []column
}

// column is one signal in all rows.
type column struct {
	sim.Column
	values     []float64 // of a word its place in texts
	texts      []string
	places     map[string]int
	tolerances map[float64]float64 // of a number, by the value of the state
	ofRun      float64             // shareOfState of a number's range in the whole run
	read       float64             // of a number that is kept or set: the largest tolerance of noise of an input of its unit
}

// maxRows bounds the rows of a run: four minutes of scans of 2 ms. Of a longer run every second, every fourth …
// scan is kept.
const maxRows = 1 << 17

// Record runs a case to its end, or until the context ends.
func Record(ctx context.Context, c *sim.Case) (*Run, error) {
	return record(ctx, c, math.MaxInt64)
}

// RecordTicks records at most so many ticks.
func RecordTicks(ctx context.Context, c *sim.Case, ticks int64) (*Run, error) {
	return record(ctx, c, ticks)
}

func record(ctx context.Context, c *sim.Case, ticks int64) (*Run, error) {
	const ticksBetweenLooks = 4096
	r := &Run{Case: c}
	for _, of := range sim.Columns(c.Sequence) {
		if isOfBrake2(of.Name) && !c.Rig.Brake2.Exists() {
			continue
		}
		r.columns = append(r.columns, column{Column: of, places: map[string]int{}})
	}
	w := &recorder{run: r, stride: 1, most: maxRows}
	b := sim.NewBench(c, w)
	for b.Ticks() < ticks && b.Advance(min(ticksBetweenLooks, ticks-b.Ticks())) {
		if ctx.Err() != nil {
			return nil, fmt.Errorf("run %s: %w", c.Scenario.Scenario, ctx.Err())
		}
	}
	var err error
	if r.Result, err = b.Result(); err != nil {
		return nil, fmt.Errorf("run %s: %w", c.Scenario.Scenario, err)
	}
	r.EveryS = c.Rig.Clock.FunctionalScan.Seconds() * float64(w.stride)
	r.measure()
	return r, nil
}

// isOfBrake2 is whether a signal is the second brake's. In a trace every rig has it, and with one brake it means nothing.
func isOfBrake2(signal string) bool { return strings.HasPrefix(signal, "brake_2") }

// recorder is the tracer that fills a run.
type recorder struct {
	run          *Run
	scans        int
	stride, most int
	word         []byte
}

// Row takes one scan.
func (w *recorder) Row(row *sim.Row) error {
	w.scans++
	if (w.scans-1)%w.stride != 0 {
		return nil
	}
	r := w.run
	r.at = append(r.at, row.TS)
	for i := range r.columns {
		c := &r.columns[i]
		if c.Kind != sequence.KindWord {
			c.values = append(c.values, c.Number(row))
			continue
		}
		w.word = c.AppendText(w.word[:0], row)
		place, ok := c.places[string(w.word)]
		if !ok {
			place = len(c.texts)
			c.texts = append(c.texts, string(w.word))
			c.places[string(w.word)] = place
		}
		c.values = append(c.values, float64(place))
	}
	if len(r.at) > w.most {
		w.thin()
	}
	return nil
}

// thin leaves out every second row.
func (w *recorder) thin() {
	w.stride *= 2
	w.run.at = everySecond(w.run.at)
	for i := range w.run.columns {
		w.run.columns[i].values = everySecond(w.run.columns[i].values)
	}
}

func everySecond(list []float64) []float64 {
	n := 0
	for i := 0; i < len(list); i += 2 {
		list[n] = list[i]
		n++
	}
	return list[:n]
}

// measure finds the tolerances of all numbers.
func (r *Run) measure() {
	states := r.columns[0].values
	noises := map[sequence.Unit]float64{}
	for i := range r.columns {
		c := &r.columns[i]
		if c.Kind != sequence.KindNumber {
			continue
		}
		t := tolerancesOf(c.values, func(scan int) float64 { return states[scan] })
		c.tolerances, c.ofRun = t.of, t.ofRun
		unit := sequence.UnitOf(c.Name)
		switch c.Group {
		case sim.InputGroup:
			noises[unit] = max(noises[unit], t.noise)
		case sim.KeptGroup, sim.OutputGroup: // behind the inputs
			c.read = noises[unit]
		}
	}
}

// row is the last row up to a time, the first one if there is none.
func (r *Run) row(atS float64) int {
	const rounding = 1e-9
	return max(0, sort.SearchFloat64s(r.at, atS+rounding)-1)
}

// EndS is the time of the last row.
func (r *Run) EndS() float64 {
	if len(r.at) == 0 {
		return 0
	}
	return r.at[len(r.at)-1]
}

// State is the state of the sequence at a time.
func (r *Run) State(atS float64) string {
	if len(r.at) == 0 {
		return ""
	}
	return r.columns[0].text(r.row(atS))
}

// Curve is a number in all rows, with their times; nil if there is no such signal.
func (r *Run) Curve(name string) (timesS, values []float64) {
	if c := r.column(name); c != nil {
		return r.at, c.values
	}
	return nil, nil
}

func (r *Run) column(name string) *column {
	for i := range r.columns {
		if r.columns[i].Name == name {
			return &r.columns[i]
		}
	}
	return nil
}

// slackS is by how much chance can shift an event of the run.
func (r *Run) slackS() float64 {
	c := &r.Case.Rig.Clock
	return max(Slack(c.FunctionalScan, c.SafetyScan), time.Duration(2*r.EveryS*float64(time.Second))).Seconds()
}
