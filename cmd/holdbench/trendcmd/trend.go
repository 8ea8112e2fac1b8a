// Package trendcmd has the command trend: the figures of many recorded tests of one axis over months.
package trendcmd

import (
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sim/trend"
)

type trendFlags struct {
	rig, since, asOf string
	limits, dates    []string
	horizon          float64
	byNumber         bool
	reading          command.RecordingFlags
	plot             string
	json, ascii      bool

	period trend.Period
	given  map[string]*trend.Limit
	dateOf map[string]time.Time
}

// followed is a history with what was found in it.
type followed struct {
	history *trend.History
	report  *trend.Report
	since   string // as it was given
}

// New is the command trend.
func New(a *command.App) *cobra.Command {
	f := &trendFlags{}
	c := &cobra.Command{
		Use:   "trend FOLDER|FILE…",
		Short: "Follow the figures of many recorded tests over months",
		Long: page.Prose(`Reads many tests of one axis: what evaluate --json printed (.json, .jsonl, one object or many), and
recordings (.csv), which are evaluated with --rig; of a folder all that is in it. For wind-up, movement in the
dwell, closing time, stopping distance and holding current it prints changes of level (Pettitt), the slope of a robust
line (Theil and Sen), whether values rise or fall (Mann and Kendall), when they come to a limit, and one advice:
no trend; trend: it rises or falls, and does not come to a limit; watch: more tests are needed, or some have passed the limit; service before a DATE, the earliest that is in keeping with the tests;
limit reached.`,
			fmt.Sprintf(`The trend is taken of what came after the last change of level; --since says when a brake was serviced or
exchanged. A trend needs %d tests. Of all quantities together, one without a trend is found to have one in at most one
of %.0f looks (Holm). Neighbouring tests that depend on each other are reported.`, trend.LeastTests, 1/trend.Level),
			`Limits come with --limit; that of the movement is otherwise the window of the judge. Other quantities have none
of their own: no figure of the wind-up says how much torque is left, and a stopping distance depends on speed and load.`,
			`Dates are those of the evaluations, of --date, or in the names of files (2026-11-28); if no test has one, tests
are counted. There is no clock in it: the horizon begins at the newest test, or at --as-of.`,
			command.RecordingHelp(),
			`Exit code 1 if the newest test has no proof, a limit is reached, or a service is due within the horizon, 2 if
the tests cannot be used together.`),
		Example: `  holdbench trend tests
  holdbench trend tests --limit closing_ms=60 --limit stopping_mm=25
  holdbench trend tests --limit closing_ms=60 --since 2026-03-01 --horizon 90
  holdbench trend tests --as-of 2026-05-31 --plot trend.svg
  holdbench trend 2026-11-21.csv 2026-11-28.csv --rig pane-hoist
  holdbench trend tests --json`,
		Args:              command.SomeArguments("FOLDER or FILE"),
		ValidArgsFunction: command.CompleteFiles("json", "jsonl", "csv"),
		RunE:              func(c *cobra.Command, args []string) error { return follow(a, c, args, f) },
	}
	f.add(c)
	a.AddReach(c)
	c.SetHelpTemplate(c.HelpTemplate() + "\n" + caution.Short)
	return c
}

func (f *trendFlags) add(c *cobra.Command) {
	flags := c.Flags()
	flags.SortFlags = false
	flags.StringArrayVar(&f.limits, "limit", nil, "a limit, `QUANTITY=VALUE` as closing_ms=60, or QUANTITY=LOW..HIGH")
	flags.StringVar(&f.since, "since", "", "`DATE` of a service or a new brake: earlier tests do not count")
	flags.StringVar(&f.asOf, "as-of", "", "`DATE` of the look: later tests do not count; without it that of the newest test")
	flags.Float64Var(&f.horizon, "horizon", 0, "`DAYS` in which a service is a finding, or tests without dates; without it 180 days, or 100 tests")
	command.Bound(c, "horizon", 0, 36500)
	flags.StringArrayVar(&f.dates, "date", nil, "date of a test, `NAME=DATE` by the name of its file")
	flags.BoolVar(&f.byNumber, "by-number", false, "count tests in the order in which they are named, whatever their dates")
	flags.StringVar(&f.rig, "rig", "", "the rig that recordings are evaluated with, `NAME or FILE`")
	flags.StringVar(&f.plot, "plot", "", "draw all quantities over time to `FILE` .svg or .png")
	flags.BoolVar(&f.json, "json", false, "print one JSON object on one line")
	flags.BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	f.reading.Add(c)
	command.Complete(c, "rig", command.CompleteNames(scenarios.RigKind))
	command.Complete(c, "plot", command.CompleteFiles("svg", "png"))
	for _, name := range []string{"limit", "since", "as-of", "horizon", "date"} {
		command.Complete(c, name, cobra.NoFileCompletions)
	}
}

// parse reads the flags and refuses those that mean nothing.
func (f *trendFlags) parse(c *cobra.Command) error {
	ending := strings.ToLower(filepath.Ext(f.plot))
	switch {
	case c.Flags().Changed("horizon") && !(f.horizon > 0 && f.horizon <= 36500):
		return command.WrongUse(c, "--horizon is %g; must be above 0, at most 36500", f.horizon)
	case c.Flags().Changed("plot") && !files.IsDevice(f.plot) && ending != ".svg" && ending != ".png":
		return command.WrongUse(c, "--plot is %q, which ends in %q; must end in .svg or .png", f.plot, filepath.Ext(f.plot))
	case files.IsStdout(f.plot) && f.json:
		return command.WrongUse(c, "--plot %s and --json both use standard output; must be one of them", f.plot)
	case f.rig == "" && f.reading.Given(c) != "":
		return command.WrongUse(c, "--%s says how recordings are read, and --rig, with which they are evaluated, is missing", f.reading.Given(c))
	}
	if err := f.parseLimits(c); err != nil {
		return err
	}
	return f.parseDates(c)
}

func (f *trendFlags) parseLimits(c *cobra.Command) error {
	f.given = map[string]*trend.Limit{}
	for _, text := range f.limits {
		names, limit, err := trend.ParseLimit(text)
		if err != nil {
			return command.WrongUse(c, "--limit: %w", err)
		}
		for _, name := range names {
			f.given[name] = limit
		}
	}
	return nil
}

func (f *trendFlags) parseDates(c *cobra.Command) error {
	f.period = trend.Period{ByNumber: f.byNumber}
	for _, x := range []struct {
		flag, text string
		to         *time.Time
	}{{"since", f.since, &f.period.Since}, {"as-of", f.asOf, &f.period.AsOf}} {
		if x.text == "" {
			continue
		}
		var ok bool
		if *x.to, ok = parseDate(x.text); !ok {
			return command.WrongUse(c, "--%s is %q; must be a date such as 2026-11-28", x.flag, x.text)
		}
	}
	f.dateOf = map[string]time.Time{}
	for _, text := range f.dates {
		name, date, _ := strings.Cut(text, "=")
		at, ok := parseDate(date)
		if !ok || name == "" {
			return command.WrongUse(c, "--date is %q; must be NAME=DATE such as morning.csv=2026-11-28", text)
		}
		f.dateOf[name] = at
	}
	return nil
}

func follow(a *command.App, c *cobra.Command, args []string, f *trendFlags) error {
	if err := f.parse(c); err != nil {
		return err
	}
	r := &reader{app: a, flags: f}
	if err := r.read(c, args); err != nil {
		return err
	}
	z, err := f.analyse(c, r)
	if err != nil {
		return err
	}
	if err := z.show(a, f); err != nil {
		return err
	}
	if z.finding() {
		return command.Exit(command.ExitBroken)
	}
	return nil
}

// finding is whether somebody has to act.
func (z *followed) finding() bool { return z.report.Finding() || !z.history.NewestProven() }

func (f *trendFlags) analyse(c *cobra.Command, r *reader) (*followed, error) {
	h, err := trend.NewHistory(r.tests, f.period)
	if err != nil {
		return nil, err
	}
	h.Notes = append(r.notes, h.Notes...)
	var rig *plant.Rig
	if r.ready != nil {
		rig = &r.ready.Rig
	}
	series := h.Series(f.limitsOf(h, rig))
	for i := range series {
		note, err := series[i].DoubtLimit()
		if err != nil {
			return nil, command.WrongUse(c, "--limit: %w", err)
		}
		if note != "" {
			h.Notes = append(h.Notes, note)
		}
	}
	return &followed{h, trend.Analyse(series, h.Axis, trend.Options{Horizon: f.horizon, AsOf: h.AsOf}), f.since}, nil
}

// limitsOf are the limits that were given, and the window for the movement.
func (f *trendFlags) limitsOf(h *trend.History, rig *plant.Rig) map[string]*trend.Limit {
	window, same := h.Window()
	if rig != nil {
		window, same = rig.Judge.WindowDeg, true
	}
	if !same {
		h.Notes = append(h.Notes, "the window of the judge was not the same in all tests: that of the newest one counts")
	}
	limits := map[string]*trend.Limit{}
	if window > 0 {
		for _, q := range trend.Quantities() {
			if q.Of == "movement_deg" {
				limits[q.Name] = trend.AtMost(window, "window of the judge")
			}
		}
	}
	for name, limit := range f.given {
		limits[name] = limit
	}
	return limits
}

// show writes the picture, and prints what was found in the format of the flags.
func (z *followed) show(a *command.App, f *trendFlags) error {
	return command.ShowPlotted(a, z, &command.Plotted[*followed]{
		Plot: files.Output[*followed]{Path: f.plot, Write: f.draw}, JSON: f.json, Object: func() any { return z.object() },
		Text: func() string {
			v := &trendPage{Sheet: page.NewSheet(a.Screen(f.ascii)), followed: z}
			return v.text()
		},
	})
}
