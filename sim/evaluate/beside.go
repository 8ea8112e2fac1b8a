package evaluate

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"holdbench/plant"
	"holdbench/plant/recording"
	"holdbench/sequence"
	"holdbench/sim"
)

// Beside is a simulated run of the same test, laid beside the recording.
type Beside struct {
	Scenario string `json:"scenario"`
	Sequence string `json:"sequence"`
	Seed     uint64 `json:"seed"`
	Verdict  string `json:"verdict"` // of the judge of the simulation
	Class    string `json:"class"`

	AlignedBy string  `json:"aligned_by"` // signal whose edge is the same moment in both
	ShiftS    float64 `json:"shift_s"`    // a time of the recording is so much later in the simulation
	FromS     float64 `json:"from_s"`     // compared, in the time of the recording
	ToS       float64 `json:"to_s"`

	Signals []Compared `json:"signals"`
	Figures Figures    `json:"figures"` // of the simulation, found in the same way

	rig       *plant.Rig
	simulated *recording.Recording
	again     *Evaluation // of the simulation
}

// Curves are those of the simulated run at the times of the recording.
func (b *Beside) Curves() (*Curves, error) {
	c, err := CurvesOf(b.rig, b.simulated, b.again)
	if err != nil {
		return nil, err
	}
	times := make([]float64, len(c.Time))
	for i, t := range c.Time {
		times[i] = t - b.ShiftS
	}
	c.Time = times
	return c, nil
}

// Compared is how a recorded signal differs from the simulated one: recorded less simulated.
type Compared struct {
	Signal     string  `json:"signal"`
	Unit       string  `json:"unit"`
	Samples    int     `json:"samples"`
	Mean       float64 `json:"mean"`
	RMS        float64 `json:"rms"`
	Largest    float64 `json:"largest"`
	LargestAtS float64 `json:"largest_at_s"` // time of the recording; from_s if nothing differs
}

// Run simulates a test and compares it with the recording from half a second before the brake closes until it
// opens again. Both are aligned by the closing.
func (e *Evaluation) Run(ctx context.Context, c *sim.Case, r *recording.Recording) (*Beside, error) {
	simulated, result, err := simulate(ctx, c, r)
	if err != nil {
		return nil, err
	}
	b := &Beside{Scenario: c.Scenario.Scenario, Sequence: c.Sequence.Name, Seed: c.Seed, Verdict: result.Verdict, Class: string(result.Class), Signals: []Compared{}}
	again, err := Evaluate(&c.Rig, simulated, Options{Phases: 1})
	if err != nil {
		return nil, fmt.Errorf("the simulated run cannot be judged like the recording: %w", err)
	}
	b.Figures, b.rig, b.simulated, b.again = again.Figures, &c.Rig, simulated, again
	from, to, err := b.align(r, simulated)
	if err != nil {
		return nil, err
	}
	b.compare(r, simulated, from, to, c.Rig.Load.ArmMM > 0)
	return b, nil
}

// simulate runs a case, with those signals of the trace that were recorded.
func simulate(ctx context.Context, c *sim.Case, r *recording.Recording) (*recording.Recording, *sim.Result, error) {
	t := &tracer{}
	for _, column := range sim.Columns(c.Sequence) {
		if r.Channel(column.Name) == nil || column.Kind == sequence.KindWord && column.Words == nil {
			continue
		}
		t.columns = append(t.columns, column)
		t.out.Channels = append(t.out.Channels, recording.Channel{Signal: column.Name, Words: column.Words})
	}
	result, err := sim.RunUntil(ctx, c, t)
	return &t.out, result, err
}

// tracer keeps a trace as a recording.
type tracer struct {
	columns []sim.Column
	out     recording.Recording
	word    []byte
}

// Row takes one row.
func (t *tracer) Row(row *sim.Row) error {
	t.out.Time = append(t.out.Time, row.TS)
	for i := range t.columns {
		column, channel := &t.columns[i], &t.out.Channels[i]
		x := column.Number(row)
		if column.Kind == sequence.KindWord {
			t.word = column.AppendText(t.word[:0], row)
			x = float64(slices.Index(column.Words, string(t.word)))
		}
		channel.Values = append(channel.Values, x)
	}
	return nil
}

// The time around the closed brake that is compared, in s.
const (
	compareBefore = 0.5
	compareAtMost = 60
)

// align finds the first closing of the brake in both.
func (b *Beside) align(r, simulated *recording.Recording) (from, to float64, err error) {
	for _, signal := range []string{"brake_closed", "brake"} {
		recorded, run := closings(r, signal), closings(simulated, signal)
		if recorded == nil || run == nil {
			continue
		}
		b.AlignedBy, b.ShiftS = signal, tidy(run[0]-recorded[0])
		b.FromS, b.ToS = tidy(recorded[0]-compareBefore), tidy(min(recorded[1], recorded[0]+run[1]-run[0], recorded[0]+compareAtMost))
		return b.FromS, b.ToS, nil
	}
	return 0, 0, errors.New("the brake does not close in both the recording and the simulation, so that they cannot be laid beside each other")
}

// closings is the first moment at which a brake closes, and when it opens again or the recording ends; nil if
// it never closes.
func closings(r *recording.Recording, signal string) []float64 {
	t := wordTrack(r, signal, "closed")
	if c := r.Channel(signal); c != nil && c.Words == nil {
		t = trackOf(r, signal, 1)
	}
	if t == nil {
		return nil
	}
	var found []float64
	before := math.NaN()
	for at, now := range t.samples() {
		if rose := is(now) && !math.IsNaN(before) && !is(before); rose && found == nil || !rose && found != nil && !is(now) {
			found = append(found, at)
		}
		if len(found) == 2 {
			return found
		}
		before = now
	}
	if found == nil {
		return nil
	}
	return append(found, r.Time[len(r.Time)-1])
}

// compare compares the numbers that both have. Angles of the load are those of an arm; elsewhere a run has them as 0.
func (b *Beside) compare(r, simulated *recording.Recording, from, to float64, arm bool) {
	for i := range r.Channels {
		channel := &r.Channels[i]
		run := simulated.Values(channel.Signal)
		if run == nil || channel.Words != nil || channel.Unit == "" || channel.Unit == "deg" && !arm {
			continue
		}
		var times, values []float64
		for k, t := range r.Time {
			if t >= from && t <= to && !math.IsNaN(channel.Values[k]) {
				times, values = append(times, t), append(values, channel.Values[k])
			}
		}
		d := recording.Compare(times, values, &recording.Curve{Time: simulated.Time, Values: run}, b.ShiftS)
		if d.Samples == 0 {
			continue
		}
		at := from
		if d.Largest != 0 {
			at = tidy(d.LargestAt - b.ShiftS)
		}
		b.Signals = append(b.Signals, Compared{channel.Signal, channel.Unit, d.Samples, d.Mean, d.RMS, d.Largest, at})
	}
}
