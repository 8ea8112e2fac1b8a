// Package recordcmd has the command record: the screen of the bench as a recording.
package recordcmd

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/cmd/holdbench/terminal/screencast"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

type recordFlags struct {
	overrides            command.OverrideFlags
	faults               []string
	out, as, size, theme string
	overwrite            bool
	options              screencast.Options
}

// The formats, which are the endings of their files.
const (
	formatCast = "cast"
	formatSVG  = "svg"
)

func formats() []string { return []string{formatCast, formatSVG} }

func themes() []string { return []string{"dark", "light"} }

// New is the command record.
func New(a *command.App) *cobra.Command {
	f := &recordFlags{}
	c := &cobra.Command{
		Use:   "record SCENARIO -o FILE",
		Short: "Record the bench's screen, for slides and players",
		Long: page.Prose(`Plays a scenario and writes what the bench shows of it: a .cast for players of terminal recordings (asciicast,
version 2), or an .svg that moves in a browser and in slides that a browser shows. Where nothing moves, as on paper, the
picture shows the last frame.`,
			`Frames are taken by the time of the run, not by a clock: the same command gives the same bytes. --speed is
simulated over real time, as on the bench. Only what changes is written: at 80x24 and 10 frames a second an .svg grows by
80 kB for each second in which much moves, and a .cast by 40 kB; --fps 5 halves both. Compressed, as a server sends it,
an .svg has a twentieth of that.`,
			`--large shows one thing at a time, as the bench does on a projector; --view is which: `+strings.Join(screencast.Views(), ", ")+`.`,
			`A recording has 20000 frames and 64 MB at most.`),
		Example: `  holdbench record lining-worn-thin -o worn.cast
  holdbench record lining-worn-thin -o worn.svg
  holdbench record healthy-down --fault lining-worn --size 120x40 -o worn_2.svg
  holdbench record lining-worn-thin --from 3s --to 4s --speed 0.2 -o slow.cast
  holdbench record lining-worn-thin --hide-truth -o hidden.svg
  holdbench record healthy-down --theme light --fps 5 -o healthy.svg
  holdbench record lining-worn-thin --large --view judge -o judge.svg
  holdbench record healthy-down --as cast -o - | asciinema play -`,
		Args:              command.OneArgument("SCENARIO"),
		ValidArgsFunction: command.FirstOnly(command.CompleteNames(scenarios.ScenarioKind)),
		RunE:              func(c *cobra.Command, args []string) error { return record(a, c, args[0], f) },
	}
	f.add(c)
	a.AddReach(c)
	return c
}

func (f *recordFlags) add(c *cobra.Command) {
	f.overrides.Add(c)
	o, flags := &f.options, c.Flags()
	flags.StringVarP(&f.out, "out", "o", "", "write to `FILE`, .cast or .svg; - is stdout")
	flags.BoolVar(&f.overwrite, "overwrite", false, "replace a file that is there")
	flags.StringVar(&f.as, "as", "", "`FORMAT`, cast or svg, for any ending")
	flags.StringArrayVar(&f.faults, "fault", nil, command.FaultUsage)
	flags.StringVar(&f.size, "size", "80x24", "columns and rows, `WxH`")
	flags.IntVar(&o.FPS, "fps", 10, "frames a second")
	flags.Float64Var(&o.Speed, "speed", 1, "simulated over real time")
	flags.DurationVar(&o.From, "from", 0, "begin at a `TIME` of the run")
	flags.DurationVar(&o.To, "to", 0, "end at a `TIME`, not at its end")
	flags.BoolVar(&o.HideTruth, "hide-truth", false, "show what the sequence can know, and no more")
	flags.StringVar(&f.theme, "theme", "dark", "`THEME`, dark or light")
	flags.BoolVar(&o.ASCII, "ascii", false, "draw with ASCII characters")
	flags.BoolVar(&o.Large, "large", false, "draw in block letters, for a projector")
	flags.StringVar(&o.View, "view", screencast.Views()[0], "with --large, the `VIEW`")
	command.Bound(c, "fps", 1, 30)
	command.Bound(c, "speed", 0.01, 1000)
	command.BoundTime(c, "from", 0, 24*time.Hour)
	command.BoundTime(c, "to", time.Millisecond, 24*time.Hour)
	command.Complete(c, "out", command.CompleteFiles(formats()...))
	command.Complete(c, "as", cobra.FixedCompletions(formats(), cobra.ShellCompDirectiveNoFileComp))
	command.Complete(c, "theme", cobra.FixedCompletions(themes(), cobra.ShellCompDirectiveNoFileComp))
	command.Complete(c, "view", cobra.FixedCompletions(screencast.Views(), cobra.ShellCompDirectiveNoFileComp))
	command.Complete(c, "size", cobra.FixedCompletions([]string{"80x24", "120x40", "200x60"}, cobra.ShellCompDirectiveNoFileComp))
	command.Complete(c, "fault", command.CompleteFaults)
	command.Complete(c, "from", cobra.NoFileCompletions)
	command.Complete(c, "to", cobra.NoFileCompletions)
}

// read refuses flags that mean nothing before anything runs.
func (f *recordFlags) read(c *cobra.Command) (faults []catalogue.Selection, err error) {
	o := &f.options
	if err := f.format(c); err != nil {
		return nil, err
	}
	if o.Width, o.Height, err = sizeOf(f.size); err != nil {
		return nil, command.WrongUse(c, "--size is %q; %v", f.size, err)
	}
	if !slices.Contains(themes(), f.theme) {
		return nil, command.WrongUse(c, "--theme is %q; must be dark or light", f.theme)
	}
	o.Dark = f.theme == "dark"
	switch {
	case !slices.Contains(screencast.Views(), o.View):
		return nil, command.WrongUse(c, "--view is %q; must be one of %s", o.View, strings.Join(screencast.Views(), ", "))
	case c.Flags().Changed("view") && !o.Large:
		return nil, command.WrongUse(c, "--view is of the large screen; must have --large beside it")
	}
	if o.To > 0 && o.To <= o.From {
		return nil, command.WrongUse(c, "--to is %s and --from %s; --to must be later", o.To, o.From)
	}
	if o.Overrides, err = f.overrides.Read(c); err != nil {
		return nil, err
	}
	return command.ReadFaults(c, f.faults)
}

// format finds out what is written.
func (f *recordFlags) format(c *cobra.Command) error {
	if f.out == "" {
		return command.WrongUse(c, "--out is missing; must be a file that ends in .cast or .svg, or - for stdout")
	}
	if f.as == "" {
		if files.IsDevice(f.out) {
			return command.WrongUse(c, "--out %s has no ending; must have the format beside it, --as cast or --as svg", f.out)
		}
		ending := filepath.Ext(f.out)
		if f.as = strings.ToLower(strings.TrimPrefix(ending, ".")); !slices.Contains(formats(), f.as) {
			return command.WrongUse(c, "--out is %q, which ends in %q; must end in .cast or .svg, or have --as", f.out, ending)
		}
	}
	if !slices.Contains(formats(), f.as) {
		return command.WrongUse(c, "--as is %q; must be cast or svg", f.as)
	}
	return nil
}

// The bounds of a screen: the least on which the bench shows its panes, and more than a slide has room for.
const (
	leastWidth, leastHeight = 40, 16
	mostWidth, mostHeight   = 300, 100
)

func sizeOf(text string) (width, height int, err error) {
	w, h, _ := strings.Cut(strings.ToLower(text), "x")
	width, wrongWidth := strconv.Atoi(w)
	height, wrongHeight := strconv.Atoi(h)
	if wrongWidth != nil || wrongHeight != nil || width < leastWidth || width > mostWidth || height < leastHeight || height > mostHeight {
		return 0, 0, fmt.Errorf("must be columns from %d to %d and rows from %d to %d, such as 80x24", leastWidth, mostWidth, leastHeight, mostHeight)
	}
	return width, height, nil
}

func record(a *command.App, c *cobra.Command, reference string, f *recordFlags) error {
	faults, err := f.read(c)
	if err != nil {
		return err
	}
	if err := f.refuse(); err != nil {
		return err
	}
	f.options.Reference = reference
	ready, err := a.LoadCase(reference, f.options.Overrides)
	if err != nil {
		return err
	}
	if ready, err = command.WithFaults(ready, faults); err != nil {
		return err
	}
	made, err := f.recorded(c.Context(), ready)
	if err != nil {
		return err
	}
	return f.deliver(a, made)
}

// refuse refuses a file that is there before anything runs.
func (f *recordFlags) refuse() error {
	if _, err := os.Lstat(f.out); err == nil && !f.overwrite && !files.IsDevice(f.out) {
		return fmt.Errorf("%s exists already; choose another name for --out, or give --overwrite", f.out)
	}
	return nil
}

func (f *recordFlags) recorded(ctx context.Context, ready *sim.Case) (*screencast.Recording, error) {
	if f.as == formatSVG {
		return screencast.SVG(ctx, ready, &f.options)
	}
	return screencast.Cast(ctx, ready, &f.options)
}

// deliver writes the recording, all of it or nothing.
func (f *recordFlags) deliver(a *command.App, made *screencast.Recording) error {
	if err := files.WriteWhole(f.out, a.Stdout, made.Text); err != nil || files.IsStdout(f.out) {
		return err
	}
	return a.Printed(func(w io.Writer) error {
		_, err := fmt.Fprintf(w, "wrote %s: %d frames, %.1f s\n", page.CleanLine(f.out), made.Frames, made.LengthS)
		return err
	})
}
