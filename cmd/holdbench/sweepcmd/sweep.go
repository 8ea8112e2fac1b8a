// Package sweepcmd has the commands sweep and merge: a scenario many times, with spreads, whole
// or in parts.
package sweepcmd

import (
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/sweep"
)

type sweepFlags struct {
	overrides   command.OverrideFlags
	spreads     []string
	spreadsFile string
	runs        int
	windows     []float64
	dwells      []time.Duration
	grid        bool
	until       float64
	confidence  float64
	exact       bool
	rare        string
	workers     int
	keep        command.KeepFlags
	out         sweepOutputs
}

// sweepOutputs are the outputs of a sweep, run or merged.
type sweepOutputs struct {
	json, ascii             bool
	table, plot, plotAlarms string
}

// New is the command sweep.
func New(a *command.App) *cobra.Command {
	f := &sweepFlags{}
	c := &cobra.Command{
		Use:   "sweep SCENARIO",
		Short: "Run a scenario many times, with spreads",
		Long: page.Prose(`Runs a scenario many times. Each run draws what is not known exactly: the true capacity of the
brake, the load, friction, magnets, delays, temperature, and the noise of the sensors. The result is the
operating characteristic (OC curve), which is the probability of a proof over the ratio of true capacity to
required torque, fitted with lapse rates at both ends, or without a shape, and drawn only if it goes
through the counts; runs that end for a cause other than the brake stand beside it; the rates at which brakes with insufficient torque are missed and other brakes are refused,
with confidence intervals; and which of the drawn values affect these rates.`,
			`A spread is KEY=DISTRIBUTION. A KEY is one of holdbench list settings, or capacity (the true capacity of
the brake over the required torque), or friction (all of the guide's). A DISTRIBUTION is
normal(MEAN, DEVIATION), normal(MEAN, DEVIATION, LOWEST, HIGHEST), uniform(LOWEST, HIGHEST),
triangular(LOWEST, LIKELIEST, HIGHEST) or table(VALUE: WEIGHT, ...), in the unit of the key, durations with
their unit, or in per cent of the rig's value (of the required torque for the capacity). Without --spread,
some spreads are assumed; KEY=fixed removes one of them, none removes all.`,
			`--map tries windows with dwells instead; --windows and --dwells list them. --rare missed or
--rare false-alarm estimates a probability that is too small to count, by importance sampling: such runs are
drawn more often and weighted. --shard I/N runs one part of N, on any machine; holdbench merge combines the
files of --keep into the whole sweep. Exit code 2 if a flag or a document cannot be used, 3 if interrupted.`),
		Example: `  holdbench sweep healthy-down-and-up
  holdbench sweep healthy-down-and-up --runs 100000 --until 0.05
  holdbench sweep healthy-down --runs 200 --spread 'capacity=normal(1.1,0.1)'
  holdbench sweep healthy-down --runs 20 --map --plot map.svg
  holdbench sweep healthy-down --rare false-alarm --spread capacity=fixed
  holdbench sweep healthy-down --runs 200 --table runs.csv --plot curve.png`,
		Args:              command.OneArgument("SCENARIO"),
		ValidArgsFunction: command.FirstOnly(command.CompleteNames(scenarios.ScenarioKind)),
		RunE:              func(c *cobra.Command, args []string) error { return sweepScenario(a, c, args, f) },
	}
	f.add(c)
	a.AddReach(c)
	return c
}

func (f *sweepFlags) add(c *cobra.Command) {
	f.overrides.Add(c)
	f.overrides.Outside.Add(c)
	flags := c.Flags()
	flags.Lookup("seed").Usage = "`seed` of draws and noise, from 1"
	flags.StringArrayVar(&f.spreads, "spread", nil, "a varied value, `KEY=DISTRIBUTION`; repeatable")
	flags.StringVar(&f.spreadsFile, "spreads", "", "spreads from `FILE`, one a line; # for comments")
	flags.IntVar(&f.runs, "runs", 1000, "runs, in each cell of a map")
	flags.Float64Var(&f.until, "until", 0, "stop when both intervals are within ± `SHARE`")
	flags.Float64Var(&f.confidence, "confidence", 0.95, "confidence level, a `SHARE`")
	flags.BoolVar(&f.exact, "exact", false, "Clopper-Pearson intervals instead of Wilson")
	flags.BoolVar(&f.grid, "map", false, "try windows and dwells around the rig's")
	flags.Float64SliceVar(&f.windows, "windows", nil, "windows of the map, `DEG,DEG,...`")
	flags.DurationSliceVar(&f.dwells, "dwells", nil, "dwells of the map, `TIME,TIME,...`")
	command.Bound(c, "runs", 1, sweep.MaxRuns)
	command.Bound(c, "until", 0, 0.5)
	command.Bound(c, "confidence", 0, 1)
	command.Bound(c, "windows", 0, 180)
	command.BoundTime(c, "dwells", time.Millisecond, 24*time.Hour)
	flags.Lookup("windows").DefValue, flags.Lookup("dwells").DefValue = "", ""
	flags.StringVar(&f.rare, "rare", "", "probability of a `CLASS`: missed or false-alarm")
	command.AddWorkers(c, &f.workers)
	f.keep.Add(c, "runs")
	f.out.add(c)
	command.Complete(c, "rare", cobra.FixedCompletions([]cobra.Completion{string(sim.Missed), string(sim.FalseAlarm)}, cobra.ShellCompDirectiveNoFileComp))
	command.Complete(c, "spread", completeSpreads)
	for _, name := range []string{"runs", "until", "confidence", "windows", "dwells", "workers"} {
		command.Complete(c, name, cobra.NoFileCompletions)
	}
}

func (f *sweepOutputs) add(c *cobra.Command) {
	flags := c.Flags()
	flags.BoolVar(&f.json, "json", false, "print one JSON object on one line")
	flags.BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	flags.StringVar(&f.table, "table", "", "write one row a run to `FILE` .csv or .parquet")
	flags.StringVar(&f.plot, "plot", "", "draw the curve or the map, `FILE` .svg or .png")
	flags.StringVar(&f.plotAlarms, "plot-alarms", "", "draw false alarms of a map, `FILE` .svg or .png")
	command.Complete(c, "plot-alarms", command.CompleteFiles("svg", "png"))
	command.Complete(c, "table", command.CompleteFiles("csv", "parquet"))
	command.Complete(c, "plot", command.CompleteFiles("svg", "png"))
}
