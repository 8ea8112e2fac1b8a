package runcmd

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/recording"
	"holdbench/sequence"
	"holdbench/sim"
)

// The words of --align.
const (
	alignTime  = "time"
	alignBest  = "best"
	alignAsk   = "ask"
	alignBrake = "brake"
)

func alignments() []string { return []string{alignTime, alignBest, alignAsk, alignBrake} }

// againstFlags lay a recording over the run.
type againstFlags struct {
	file, align string
	recording   command.RecordingFlags
	reading     recording.Options // what these say
}

func (f *againstFlags) add(c *cobra.Command) {
	c.Flags().StringVar(&f.file, "against", "", "compare with signals of the real axis, a `FILE` .csv")
	c.Flags().StringVar(&f.align, "align", alignTime, "how their time is aligned, a `WORD`: "+strings.Join(alignments(), ", "))
	f.recording.Add(c)
	command.Complete(c, "against", command.CompleteFiles("csv"))
	command.Complete(c, "align", cobra.FixedCompletions(alignments(), cobra.ShellCompDirectiveNoFileComp))
}

func (f *againstFlags) read(c *cobra.Command) error {
	given := f.recording.Given(c)
	if given == "" && c.Flags().Changed("align") {
		given = "align"
	}
	switch {
	case c.Flags().Changed("against") && f.file == "":
		return command.WrongUse(c, "--against is empty; must be a recording of the axis, such as measured.csv")
	case f.file == "" && given != "":
		return command.WrongUse(c, "--%s is for --against, which is missing; must be with it", given)
	case f.file != "" && !slices.Contains(alignments(), f.align):
		return command.WrongUse(c, "--align is %q; %s", f.align, sequence.Suggest(f.align, alignments()))
	}
	if f.file == "" {
		return nil
	}
	var err error
	f.reading, err = f.recording.Read(c)
	return err
}

// against is a recording with what the run has of its signals.
type against struct {
	*recording.Recording
	align   string
	scans   []float64 // s, times of the run, which all signals share
	signals []comparedSignal
	shift   float64 // the time t of the recording is t + shift of the run
	best    float64 // the shift that fits best; NaN: there is none
	fits    float64 // the correlation there
	without []string
}

// comparedSignal is a channel with the signal of the run. It is filled by the trace.
type comparedSignal struct {
	*recording.Channel
	column sim.Column
	curve  *recording.Curve
	word   []byte
}

// mostReserved is for how many scans of a run lists are made at once, which are then not copied as they grow.
const mostReserved = 2_000_000

// newAgainst reads the recording that a run is compared with; nil without one.
func newAgainst(ctx context.Context, a *command.App, f *againstFlags, ready *sim.Case) (*against, error) {
	if f.file == "" {
		return nil, nil
	}
	r, err := command.ReadRecording(ctx, f.file, f.reading)
	if err != nil {
		return nil, err
	}
	if _, err := f.recording.Doubts(ctx, a, r, &ready.Rig); err != nil {
		return nil, err
	}
	clock := &ready.Rig.Clock
	longest := min(int(clock.RunLimit/clock.FunctionalScan)+1, mostReserved)
	g := &against{Recording: r, align: f.align, scans: make([]float64, 0, longest)}
	columns := sim.Columns(ready.Sequence)
	for i := range r.Channels {
		channel := &r.Channels[i]
		k := slices.IndexFunc(columns, func(c sim.Column) bool { return c.Name == channel.Signal })
		if k < 0 || channel.Unit == "deg" && ready.Rig.Load.ArmMM == 0 { // angles are those of an arm
			g.without = append(g.without, channel.Signal)
			continue
		}
		held := columns[k].Kind != sequence.KindNumber
		g.signals = append(g.signals, comparedSignal{Channel: channel, column: columns[k], curve: &recording.Curve{Held: held, Values: make([]float64, 0, longest)}})
	}
	return g, nil
}

// Row takes one scan.
func (g *against) Row(r *sim.Row) error {
	g.scans = append(g.scans, r.TS)
	for i := range g.signals {
		s := &g.signals[i]
		s.curve.Time = g.scans
		s.curve.Values = append(s.curve.Values, s.simulated(r))
	}
	return nil
}

// simulated is the value of the run as the channel has it: of a word its place in the channel's list, -1 for one
// that the channel does not have.
func (s *comparedSignal) simulated(r *sim.Row) float64 {
	if s.column.Kind != sequence.KindWord {
		return s.column.Number(r)
	}
	s.word = s.column.AppendText(s.word[:0], r)
	return float64(slices.Index(s.Words, string(s.word)))
}

// aligned sets the shift, once the run is over.
func (g *against) aligned() error {
	if g == nil {
		return nil
	}
	g.best, g.fits = g.bestShift()
	switch g.align {
	case alignBest:
		if math.IsNaN(g.best) {
			return fmt.Errorf("%s: --align best: no shift leaves half of the samples in common with a signal that moves; must be a recording of this run", g.Source)
		}
		g.shift = g.best
	case alignAsk:
		return g.alignedAt("rises for the first time", "ask")
	case alignBrake:
		return g.alignedAt("closes for the first time", "brake", "brake_closed")
	}
	return nil
}

// apart is an error if not one sample of the recording lies within the time of the run.
func (g *against) apart() error {
	if g == nil || len(g.signals) == 0 {
		return nil
	}
	for i := range g.signals {
		if s := &g.signals[i]; recording.Compare(g.Time, s.Values, s.curve, g.shift).Samples > 0 {
			return nil
		}
	}
	run := g.signals[0].curve.Time
	return fmt.Errorf("%s: the recording from %s to %s has no sample in common with the run from %s to %s; its time must count from the start of the run, or --align must find it",
		g.Source, page.Seconds(g.Time[0]+g.shift), page.Seconds(g.Time[len(g.Time)-1]+g.shift), page.Seconds(run[0]), page.Seconds(run[len(run)-1]))
}

// bestShift is the one at which the numbers correlate best, among those with half of the recording within the run.
func (g *against) bestShift() (shift, correlation float64) {
	var pairs []recording.Pair
	for _, s := range g.signals {
		if !s.curve.Held && len(s.curve.Time) > 0 {
			pairs = append(pairs, recording.Pair{Values: s.Values, Curve: s.curve})
		}
	}
	if len(pairs) == 0 {
		return math.NaN(), math.NaN()
	}
	run := pairs[0].Curve.Time
	return recording.BestShift(g.Time, pairs, run[0]-g.Time[len(g.Time)-1], run[len(run)-1]-g.Time[0])
}

// alignedAt lays the first rise of a signal in the recording on the first in the run.
func (g *against) alignedAt(what string, names ...string) error {
	for _, name := range names {
		i := slices.IndexFunc(g.signals, func(s comparedSignal) bool { return s.Signal == name })
		if i < 0 {
			continue
		}
		recorded, ok := firstRise(g.Time, g.signals[i].Values)
		simulated, ok2 := firstRise(g.signals[i].curve.Time, g.signals[i].curve.Values)
		if ok && ok2 {
			g.shift = simulated - recorded
			return nil
		}
	}
	return fmt.Errorf("%s: --align %s: there is no %s that %s, in the recording and in the run; must be recorded from before on", g.Source, g.align, strings.Join(names, " or "), what)
}

// firstRise is when a signal leaves 0, after it has been 0.
func firstRise(times, values []float64) (float64, bool) {
	was := math.NaN()
	for i, x := range values {
		if math.IsNaN(x) {
			continue
		}
		if was == 0 && x != 0 {
			return times[i], true
		}
		was = x
	}
	return 0, false
}
