// Package sweepcmd has the commands sweep and merge: a scenario many times, with spreads, whole
// or in parts.
package sweepcmd

import (
	"runtime"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sim"
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
	shard       string
	workers     int
	keep        string
	anew        bool
	out         sweepOutputs
}

// sweepOutputs is what becomes of a sweep, run or merged.
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
		Long: page.Prose(`Runs a scenario many times. Each run draws what nobody knows exactly: the true capacity of
the brake, the load, friction, magnets, delays, temperature, and the noise of the sensors.
Out come the operating curve, which is the chance of a proof against the true capacity over the
required torque; how many brakes that are not fit are missed, and how many fit ones are
refused, with intervals; and what moves these rates.`,
			`A spread is KEY=DISTRIBUTION. A KEY is one of holdbench list settings, or `+"capacity"+`, the true
capacity of the brake over the required torque, or `+"friction"+`, all of the guide's. A DISTRIBUTION is
normal(MEAN, DEVIATION), the same with LOWEST and HIGHEST behind, uniform(LOWEST, HIGHEST),
triangular(LOWEST, LIKELIEST, HIGHEST) or table(VALUE: WEIGHT, ...), in the unit of the
key, durations with theirs, or in per cent of what the rig has (of the required torque for the capacity). Without any, some are assumed; KEY=fixed takes one of
these away, and none takes all of them.`,
			`--map tries windows with dwells instead; --windows and --dwells say which. --rare missed or
--rare false-alarm estimates a chance that is too small to count, by drawing such runs more often and
weighting them (importance sampling). --shard I/N does one part of N, anywhere; holdbench merge puts the files
of --keep together as if one had done it all. Exit code 2 if something
cannot be used, 3 if interrupted.`),
		Example: `  holdbench sweep healthy-down-and-up
  holdbench sweep healthy-down-and-up --runs 100000 --until 0.05
  holdbench sweep healthy-down --runs 200 --spread 'capacity=normal(1.1,0.1)'
  holdbench sweep healthy-down --runs 20 --map --plot map.svg
  holdbench sweep healthy-down --rare missed --spread 'capacity=normal(1.6,.15)'
  holdbench sweep healthy-down --runs 200 --table runs.csv --plot curve.png`,
		Args:              command.OneArgument("SCENARIO"),
		ValidArgsFunction: command.FirstOnly(command.CompleteNames(scenarios.ScenarioKind)),
		RunE:              func(c *cobra.Command, args []string) error { return sweepScenario(a, c, args, f) },
	}
	f.add(c)
	return c
}

func (f *sweepFlags) add(c *cobra.Command) {
	f.overrides.Add(c)
	flags := c.Flags()
	flags.Lookup("seed").Usage = "another `seed` of draws and noise, from 1"
	flags.StringArrayVar(&f.spreads, "spread", nil, "what differs from run to run, `KEY=DISTRIBUTION`")
	flags.StringVar(&f.spreadsFile, "spreads", "", "spreads from `FILE`, one a line; # is a remark")
	flags.IntVar(&f.runs, "runs", 1000, "runs, in each cell of a map")
	flags.Float64Var(&f.until, "until", 0, "stop when both intervals are within `SHARE`")
	flags.Float64Var(&f.confidence, "confidence", 0.95, "of intervals, as `SHARE`")
	flags.BoolVar(&f.exact, "exact", false, "Clopper-Pearson intervals in place of Wilson's")
	flags.BoolVar(&f.grid, "map", false, "try windows and dwells around the rig's")
	flags.Float64SliceVar(&f.windows, "windows", nil, "windows of the map, `DEG,DEG,...`")
	flags.DurationSliceVar(&f.dwells, "dwells", nil, "dwells of the map, `TIME,TIME,...`")
	flags.Lookup("windows").DefValue, flags.Lookup("dwells").DefValue = "", ""
	flags.StringVar(&f.rare, "rare", "", "chance of a `CLASS`: missed or false-alarm")
	flags.StringVar(&f.shard, "shard", "", "only part `I/N` of the runs")
	flags.IntVar(&f.workers, "workers", runtime.NumCPU(), "how many runs go on at once")
	flags.StringVar(&f.keep, "keep", "", "keep runs in `FILE`, to go on or to merge")
	flags.BoolVar(&f.anew, "anew", false, "start over what --keep has kept")
	f.out.add(c)
	command.Complete(c, "rare", cobra.FixedCompletions([]cobra.Completion{string(sim.Missed), string(sim.FalseAlarm)}, cobra.ShellCompDirectiveNoFileComp))
	command.Complete(c, "spread", completeSpreads)
	for _, name := range []string{"runs", "until", "confidence", "windows", "dwells", "shard", "workers"} {
		command.Complete(c, name, cobra.NoFileCompletions)
	}
}

func (f *sweepOutputs) add(c *cobra.Command) {
	flags := c.Flags()
	flags.BoolVar(&f.json, "json", false, "one object with everything, on one line")
	flags.BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	flags.StringVar(&f.table, "table", "", "write a row a run to `FILE` .csv or .parquet")
	flags.StringVar(&f.plot, "plot", "", "draw the curve or map to `FILE` .svg or .png")
	flags.StringVar(&f.plotAlarms, "plot-alarms", "", "draw false alarms of a map, `FILE` .svg or .png")
	command.Complete(c, "plot-alarms", command.CompleteFiles("svg", "png"))
	command.Complete(c, "table", command.CompleteFiles("csv", "parquet"))
	command.Complete(c, "plot", command.CompleteFiles("svg", "png"))
}
