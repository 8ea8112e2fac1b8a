package command

import (
	"context"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/plant/recording"
	"holdbench/sim/evaluate"
)

// RecordingFlags say how recordings of a real axis are read.
type RecordingFlags struct {
	columns, units, separator, decimal, span, late string
	heading, every                                 int
	simulated, acceptDoubts                        bool
}

// RecordingHelp is what the help of a command says about the recordings that it reads.
func RecordingHelp() string {
	return `A recording is a text file with a column of the time and columns of signals, named as in a trace and with their
units at the end of the name, in brackets, or in a row of units: t_ms, position_mm, speed [rpm]. Separators, the
decimal sign, lines ahead of the heading and the encoding are found. --columns says where signals are,
SIGNAL=COLUMN by the name or the number of the column, with a sign ahead of it and a scale and an offset behind it:
time=t_ms,position=pos,torque=-trq*0.1+2,speed=#4. SIGNAL= leaves one out. --units says what the file does not:
position=um,speed=rpm. A blank or NaN is a gap; nothing is interpolated. A recording that contradicts itself or the rig by far,
as in a unit, a sign or an inverted signal of the brake, is refused with the flag that likely mends it;
--accept-doubts uses it all the same. holdbench list recorded has the signals and
their units.`
}

// mostLines bounds numbers of lines of a recording.
const mostLines = 1_000_000

// Add adds the flags to a command, whose flags then stand within 80 columns.
func (f *RecordingFlags) Add(c *cobra.Command) {
	flags := c.Flags()
	flags.StringVar(&f.columns, "columns", "", "where signals are in a recording, a `LIST` as time=t_ms,torque=-trq*0.1")
	flags.StringVar(&f.units, "units", "", "units of its columns, a `LIST` as position=um,speed=rpm")
	flags.StringVar(&f.separator, "separator", "", "its separator, a `NAME`: comma, semicolon, tab, space or bar")
	flags.StringVar(&f.decimal, "decimal", "", "its decimal sign, a `NAME`: point or comma")
	flags.IntVar(&f.heading, "heading", 0, "`LINE` of its heading, from 1")
	flags.StringVar(&f.span, "span", "", "a part of its time, `FROM..TO` as 10s..60s")
	flags.StringVar(&f.late, "late", "", "signals that were recorded late, a `LIST` as torque=2ms")
	flags.IntVar(&f.every, "keep-every", 1, "keep of so many lines one, a `NUMBER`")
	Bound(c, "heading", 1, mostLines)
	Bound(c, "keep-every", 1, mostLines)
	flags.BoolVar(&f.simulated, "simulated", false, "accept a trace of a run in place of a recording")
	flags.BoolVar(&f.acceptDoubts, "accept-doubts", false, "use a recording that contradicts itself or the rig, with warnings")
	c.SetUsageTemplate(strings.ReplaceAll(c.UsageTemplate(), ".LocalFlags.FlagUsages |", ".LocalFlags.FlagUsagesWrapped 80 |"))
	for _, name := range []string{"columns", "units", "heading", "span", "late", "keep-every"} {
		Complete(c, name, cobra.NoFileCompletions)
	}
	Complete(c, "separator", cobra.FixedCompletions([]string{"comma", "semicolon", "tab", "space", "bar"}, cobra.ShellCompDirectiveNoFileComp))
	Complete(c, "decimal", cobra.FixedCompletions([]string{"point", "comma"}, cobra.ShellCompDirectiveNoFileComp))
}

// AcceptsDoubts is whether a recording is used that contradicts itself or the rig.
func (f *RecordingFlags) AcceptsDoubts() bool { return f.acceptDoubts }

// Given is the name of the first flag that was set, empty without one.
func (f *RecordingFlags) Given(c *cobra.Command) string {
	for _, name := range []string{"columns", "units", "separator", "decimal", "heading", "span", "late", "keep-every", "simulated", "accept-doubts"} {
		if c.Flags().Changed(name) {
			return name
		}
	}
	return ""
}

// Read turns the flags into options of the reader.
func (f *RecordingFlags) Read(c *cobra.Command) (o recording.Options, err error) {
	o = recording.Options{Heading: f.heading, Every: f.every, Simulated: f.simulated}
	wrong := func(name string, found error) {
		if found != nil && err == nil {
			err = WrongUse(c, "--%s: %w", name, found)
		}
	}
	var found error
	o.Columns, found = recording.ParseColumns(f.columns)
	wrong("columns", found)
	o.Units, found = recording.ParseUnits(f.units)
	wrong("units", found)
	o.Late, found = recording.ParseLate(f.late)
	wrong("late", found)
	if c.Flags().Changed("separator") {
		o.Separator, found = recording.ParseSeparator(f.separator)
		wrong("separator", found)
	}
	if c.Flags().Changed("decimal") {
		o.Decimal, found = recording.ParseDecimal(f.decimal)
		wrong("decimal", found)
	}
	if c.Flags().Changed("span") {
		o.Span, found = recording.ParseSpan(f.span)
		wrong("span", found)
	}
	return o, err
}

// A long recording is most of what the process keeps: garbage of the same size, which is the usual, would double it.
const (
	longRecording = 16 << 20 // bytes of the file
	garbageOfLong = 30       // % of what is kept, until it is collected
)

// EvaluateRecording judges a recorded test again, until the context ends.
func EvaluateRecording(ctx context.Context, rig *plant.Rig, r *recording.Recording, o evaluate.Options) (*evaluate.Evaluation, error) {
	return Interruptible(ctx, "evaluating a recording", func() (*evaluate.Evaluation, error) { return evaluate.Evaluate(rig, r, o) })
}

// ReadRecording reads a recording from a file, until the context ends.
func ReadRecording(ctx context.Context, path string, o recording.Options) (*recording.Recording, error) {
	return Interruptible(ctx, "reading a recording", func() (*recording.Recording, error) { return readRecording(path, o) })
}

func readRecording(path string, o recording.Options) (*recording.Recording, error) {
	if path == "-" {
		return nil, problem.List{{File: path, Message: "a recording is not read from standard input; must be a file, whose content hash the result names"}}
	}
	f, err := files.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close() //nolint:errcheck // nothing was written
	about, err := f.Stat()
	switch {
	case err != nil:
		return nil, files.CannotRead(path, err)
	case about.IsDir():
		return nil, problem.List{{File: page.CleanLine(path), Message: "is a folder; must be a recording, such as measured.csv"}}
	case about.Size() > longRecording:
		debug.SetGCPercent(garbageOfLong)
	}
	return recording.Read(page.CleanLine(path), f, o)
}

// Doubts gives and reports what is not plausible in a recording of the axis of a rig, and refuses what contradicts it by
// far.
func (f *RecordingFlags) Doubts(ctx context.Context, a *App, r *recording.Recording, rig *plant.Rig) ([]string, error) {
	list, err := Interruptible(ctx, "checking a recording", func() (problem.List, error) { return recording.Doubts(r, evaluate.Limits(rig)), nil })
	if err != nil {
		return nil, err
	}
	for i := range list {
		switch {
		case list[i].Warning:
		case f.acceptDoubts:
			list[i].Warning = true
		default:
			list[i].Message += "; --accept-doubts uses it as it is"
		}
	}
	warnings, err := list.Split()
	a.tellWrapped(warnings)
	var doubts []string
	for _, w := range warnings {
		doubts = append(doubts, w.Message)
	}
	return doubts, err
}
