package trendcmd

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/problem"
	"holdbench/plant/recording"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/evaluate"
	"holdbench/sim/trend"
)

// reader reads tests from evaluations and recordings.
type reader struct {
	app     *command.App
	flags   *trendFlags
	options recording.Options
	ready   *sim.Case // of --rig; nil without it
	tests   []trend.Test
	notes   []string
	byName  int      // tests with the date in the name of their file
	named   []string // files that the command line names, and does not find in a folder
}

// read reads all files, and says all that is wrong with them at once.
func (r *reader) read(c *cobra.Command, args []string) error {
	if err := r.prepare(c); err != nil {
		return err
	}
	r.named = args
	paths, leftOut, err := filesBelow(args)
	if err != nil {
		return err
	}
	for _, line := range leftOut {
		_, _ = fmt.Fprintln(r.app.Stderr, page.CleanLine(line))
	}
	bar := r.app.Progress("file", 0)
	defer bar.Done()
	var list problem.List
	for i, path := range paths {
		if c.Context().Err() != nil {
			return command.Interrupted("interrupted while tests were read; nothing to show")
		}
		bar.At(i, len(paths))
		if err := r.readFile(c.Context(), path); err != nil {
			if errors.Is(err, context.Canceled) {
				return err
			}
			list = append(list, problem.Of(err)...)
			if len(problem.Of(err)) == 0 {
				list = append(list, problem.Problem{Message: err.Error()})
			}
		}
	}
	if len(list) > 0 {
		return list
	}
	return r.giveDates(c)
}

func (r *reader) prepare(c *cobra.Command) (err error) {
	if r.options, err = r.flags.reading.Read(c); err != nil || r.flags.rig == "" {
		return err
	}
	r.ready, err = r.app.LoadRigCase(scenarios.Overrides{Rig: r.flags.rig})
	return err
}

// filesBelow lists files, and those in folders that may be tests, by their names, with a line for each folder
// of which something is left out.
func filesBelow(args []string) (paths, leftOut []string, err error) {
	for _, arg := range args {
		about, err := os.Stat(arg)
		if err != nil {
			return nil, nil, files.CannotRead(arg, err)
		}
		if !about.IsDir() {
			paths = append(paths, arg)
			continue
		}
		inside, err := os.ReadDir(arg)
		if err != nil {
			return nil, nil, files.CannotRead(arg, err)
		}
		before := len(paths)
		var others []string
		for _, entry := range inside {
			if !entry.IsDir() && (isEvaluation(entry.Name()) || ending(entry.Name()) == ".csv") {
				paths = append(paths, filepath.Join(arg, entry.Name()))
			} else {
				others = append(others, entry.Name())
			}
		}
		if len(paths) == before {
			return nil, nil, problem.List{{File: arg, Message: "has no test in it; must have evaluations (.json, .jsonl) or recordings (.csv)"}}
		}
		if len(others) > 0 {
			leftOut = append(leftOut, fmt.Sprintf("folder %s: %d seen, %d taken, %d left out: %s", arg, len(inside), len(paths)-before, len(others), strings.Join(others, ", ")))
		}
	}
	return slices.Compact(paths), leftOut, nil
}

func ending(path string) string { return strings.ToLower(filepath.Ext(path)) }

func isEvaluation(path string) bool {
	return slices.Contains([]string{".json", ".jsonl", ".ndjson"}, ending(path))
}

func (r *reader) readFile(ctx context.Context, path string) error {
	if isEvaluation(path) {
		return r.readEvaluations(path)
	}
	return r.readRecording(ctx, path)
}

// readRecording evaluates a recording; what is not plausible in it is told.
func (r *reader) readRecording(ctx context.Context, path string) error {
	if r.ready == nil {
		return problem.List{{File: path, Message: "is a recording, and --rig is missing; must be the rig that it is evaluated with"}}
	}
	recorded, err := command.ReadRecording(ctx, path, r.options)
	if err != nil {
		return err
	}
	rig := &r.ready.Rig
	if _, err := r.flags.reading.Doubts(ctx, r.app, recorded, rig); err != nil {
		return err
	}
	e, err := command.EvaluateRecording(ctx, rig, recorded, evaluate.Options{})
	if err != nil {
		return command.Unusable(path, err)
	}
	if len(e.Checks) == 0 && !slices.Contains(r.named, path) { // such as travel that was recorded for identify
		r.notes = append(r.notes, filepath.Base(path)+" is left out: the recording has no check of the brake; name the file to have it count as a test without a verdict")
		return nil
	}
	return r.add(path, path, e, command.NewOrigin(r.ready), nil)
}

// add adds a test by an evaluation.
func (r *reader) add(name, path string, e *evaluate.Evaluation, from command.Origin, settings []string) error {
	t := trend.Test{Name: page.CleanLine(name), Recording: e.SHA256, Rig: e.Rig, Version: from.Version, Verdict: e.Verdict, Cause: e.Cause, Requirement: e.Requirement, Reserved: len(e.Reservations) > 0, Settings: settings, Figures: e.Figures, Figures2: e.Figures2}
	for _, d := range from.Sources {
		if d.Kind == "rig" {
			t.RigSHA256 = d.SHA256
		}
	}
	for i := range e.Checks {
		if m := e.Checks[i].Movement; m != nil {
			t.WindowDeg = m.WindowDeg
		}
	}
	if e.Date != "" {
		at, ok := parseDate(e.Date)
		if !ok {
			return fmt.Errorf("the date is %q; must be one such as 2026-11-28", e.Date)
		}
		t.At = at
	} else if at, ok := dateInName(filepath.Base(path)); ok {
		t.At = at
		r.byName++
	}
	r.tests = append(r.tests, t)
	return nil
}

// giveDates puts the dates of the command line in place of others.
func (r *reader) giveDates(c *cobra.Command) error {
	if r.byName > 0 {
		r.notes = append(r.notes, fmt.Sprintf("the date of %s is that in the name of the file", page.Count(r.byName, "test", "tests")))
	}
	for _, name := range r.flags.dates {
		name, _, _ = strings.Cut(name, "=")
		i := slices.IndexFunc(r.tests, func(t trend.Test) bool { return t.Name == name || filepath.Base(t.Name) == name })
		if i < 0 {
			return command.WrongUse(c, "--date names %q, and no test is called that; must be the name of a file, as %s", name, filepath.Base(r.tests[0].Name))
		}
		r.tests[i].At = r.flags.dateOf[name]
	}
	return nil
}

// parseDate reads a date with or without a time.
func parseDate(text string) (time.Time, bool) {
	for _, layout := range []string{time.DateOnly, "2006-01-02T15:04:05", time.RFC3339} {
		if at, err := time.Parse(layout, text); err == nil {
			return at, true
		}
	}
	return time.Time{}, false
}

// dateInName finds a date such as 2026-11-28 in the name of a file, with a time if one follows as T06-30.
func dateInName(name string) (time.Time, bool) {
	for i := range name {
		if i > 0 && isDigit(name[i-1]) {
			continue // the end of a longer number
		}
		for _, layout := range []string{"2006-01-02T15-04-05", "2006-01-02T15-04", time.DateOnly} {
			end := i + len(layout)
			if end > len(name) || end < len(name) && isDigit(name[end]) {
				continue
			}
			if at, err := time.Parse(layout, name[i:end]); err == nil {
				return at, true
			}
		}
	}
	return time.Time{}, false
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }
