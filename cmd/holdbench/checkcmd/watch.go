package checkcmd

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
)

// watchEvery is how often files are looked at. They are looked at and not subscribed to, as shared folders
// and containers report no changes, and as an editor that replaces a file ends a subscription.
const watchEvery = 250 * time.Millisecond

// validateWatch refuses what does not go with --watch.
func (f *checkFlags) validateWatch(c *cobra.Command) error {
	if !f.watch {
		return nil
	}
	for _, name := range []string{"json", "tap", "junit", "mutate", "controller"} {
		if c.Flags().Changed(name) {
			return command.WrongUse(c, "--watch is for the page and not with --%s; must be one of them", name)
		}
	}
	return nil
}

// watchPaths checks the paths, and again what changes, until it is interrupted.
func watchPaths(a *command.App, c *cobra.Command, paths []string, f *checkFlags) error {
	if err := f.validate(c); err != nil {
		return err
	}
	overrides, err := f.overrides(c)
	if err != nil {
		return err
	}
	w := &watch{app: a, flags: f, paths: paths, overrides: overrides, files: fileWatch{reach: overrides.Reach}}
	if err := w.run(c.Context(), nil); err != nil {
		return err
	}
	if w.files.nothing() {
		return command.WrongUse(c, "--watch has no file to watch; must have a scenario's file or a folder, or --sequence FILE")
	}
	ticker := time.NewTicker(watchEvery)
	defer ticker.Stop()
	for {
		select {
		case <-c.Context().Done():
			return command.Exit(command.ExitInterrupted)
		case <-ticker.C:
			if changed := w.files.settled(); len(changed) > 0 {
				if err := w.run(c.Context(), changed); err != nil {
					return err
				}
			}
		}
	}
}

// watch is a check that goes on.
type watch struct {
	app       *command.App
	flags     *checkFlags
	paths     []string
	overrides scenarios.Overrides
	items     []*item
	contents  []scenarios.Contents // of the folders, at the newest check
	files     fileWatch
}

// run checks what is new or was read from other bytes than before, and shows it. The error is that of an
// output that cannot be written, or of an interruption.
func (w *watch) run(ctx context.Context, changed []string) error {
	before := map[string]*item{}
	for _, i := range w.items {
		before[i.name] = i
	}
	items, folders := load(ctx, w.paths, w.flags.workers, w.overrides)
	var again []*item
	for n, i := range items {
		if old := before[i.name]; old != nil && old.sameAs(i) {
			items[n] = old
			continue
		}
		again = append(again, i)
	}
	w.items, w.contents = items, folders
	w.files.follow(w.paths, items)
	if changed != nil {
		if err := w.head(changed, len(again)); err != nil {
			return err
		}
	}
	runErr := runItems(ctx, w.app, again, w.flags)
	err := w.show(again)
	reportNotRun(w.app, again)
	switch {
	case err != nil:
		return err
	case ctx.Err() != nil:
		return command.Exit(command.ExitInterrupted)
	}
	return runErr
}

// sameAs is whether an item that was run was read from the same bytes, or could not be read for the same
// reason.
func (i *item) sameAs(anew *item) bool {
	if i.err != nil || anew.err != nil {
		return i.err != nil && anew.err != nil && i.err.Error() == anew.err.Error() && slices.Equal(i.sources, anew.sources)
	}
	return slices.Equal(i.sources, anew.sources)
}

// head is the first line of a check again: what changed, and how much of it is run.
func (w *watch) head(changed []string, again int) error {
	for i, file := range changed {
		changed[i] = page.CleanLine(file)
	}
	const most = 3
	text := strings.Join(changed[:min(len(changed), most)], ", ")
	if more := len(changed) - most; more > 0 {
		text += fmt.Sprintf(" and %d more", more)
	}
	return w.app.Printed(func(to io.Writer) error {
		_, err := fmt.Fprintf(to, "\nchanged: %s; %d of %s again\n", text, again, page.Count(len(w.items), "scenario", "scenarios"))
		return err
	})
}

// show prints what was run, and where all stands.
func (w *watch) show(again []*item) error {
	return w.app.Printed(func(to io.Writer) error {
		if len(again) > 0 {
			if _, err := io.WriteString(to, checkText(w.app.Screen(w.flags.ascii), again)+contentsText(w.app.Screen(w.flags.ascii), w.contents)); err != nil {
				return err
			}
		}
		counts := map[string]int{}
		for _, i := range w.items {
			counts[i.word()]++
		}
		_, err := fmt.Fprintf(to, "watching %s: %d as expected, %d other than expected, %d unusable\n",
			page.Count(len(w.items), "scenario", "scenarios"), counts["ok"], counts["DIFFERS"], counts["unusable"])
		return err
	})
}
