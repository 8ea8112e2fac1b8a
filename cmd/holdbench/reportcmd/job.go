package reportcmd

import (
	"cmp"
	"context"
	"errors"
	"path"
	"path/filepath"
	"strings"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/report"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/fanout"
)

// job is a record in the making.
type job struct {
	app       *command.App
	flags     *reportFlags
	overrides scenarios.Overrides
	runs      []*report.Run
	names     names
	replaced  string // the sequence in place of all, as the record refers to it
	places    map[*report.Run]origin
	rigs      []*report.Rig
	sequences []*report.Sequence
	given     report.Studies
	recorded  *report.Recorded
}

// origin is where a scenario was read from.
type origin struct {
	reference string
	folder    string // of the files that it names; empty for a built-in one
	err       error  // with the paths of this machine
}

// input is what the record is made of.
func (j *job) input() *report.Input {
	f := j.flags
	return &report.Input{
		Title: f.title, Machine: f.machine, Author: f.author, Date: f.date, Only: f.only, Replaced: j.replaced,
		Version: command.Version(), Runs: j.runs, Rigs: j.rigs, Sequences: j.sequences, Studies: j.given,
	}
}

// run loads and runs what is below the paths, and prepares rigs and sequences.
func (j *job) run(ctx context.Context, paths []string) error {
	j.expand(ctx, paths)
	if len(j.runs) == 0 {
		return errors.New("there is no scenario below these paths; must be names, groups, files or folders of scenarios")
	}
	if err := j.load(ctx); err != nil {
		return err
	}
	if err := j.document(); err != nil {
		return err
	}
	if err := j.onlyOne(ctx); err != nil {
		return err
	}
	if err := j.runAll(ctx); err != nil {
		return err
	}
	return j.prepare(ctx)
}

func (j *job) interrupted() error {
	return command.Interrupted("interrupted; %s is as it was", j.flags.out)
}

// expand makes a test case of every scenario below the paths, in the order in which they were named.
func (j *job) expand(ctx context.Context, paths []string) {
	whole := make([]string, len(paths))
	for i, given := range paths {
		whole[i] = j.names.add(given, scenarios.Names(scenarios.ScenarioKind))
	}
	j.places = map[*report.Run]origin{}
	wanted, folders := command.WantedBelow(ctx, whole, j.app.Reach)
	j.app.TellContents(folders)
	for _, w := range wanted {
		r := &report.Run{Reference: filepath.ToSlash(j.names.shown(w.Reference)), Err: w.Err, Replaced: j.flags.sequence != ""}
		r.Group = groupOf(r.Reference, w)
		j.places[r] = origin{reference: w.Reference, err: w.Err}
		j.runs = append(j.runs, r)
	}
	for i, r := range j.runs {
		r.Number = i + 1
	}
}

// groupOf is the group of a built-in scenario, or the folder of a file.
func groupOf(reference string, w command.Wanted) string {
	switch folder := path.Dir(reference); {
	case w.Err != nil:
		return "not found"
	case w.Group != "":
		return w.Group
	case folder == ".":
		return "files"
	default:
		return folder
	}
}

// loaded is what a worker has read of a scenario.
type loaded struct {
	ready   *sim.Case
	sources []sim.Document
	text    []byte
	folder  string
	err     error
}

func (j *job) load(ctx context.Context) error {
	read := func(n int) (loaded, bool) {
		r := j.runs[n]
		if r.Err != nil {
			return loaded{err: r.Err}, true
		}
		reference := j.places[r].reference
		name, text, err := scenarios.Text(scenarios.ScenarioKind, reference)
		if err != nil {
			return loaded{err: err}, true
		}
		l := loaded{text: text}
		if !strings.HasPrefix(name, "builtin:") {
			l.folder = filepath.Dir(name)
		}
		l.ready, l.sources, _, l.err = scenarios.LoadCaseFrom(reference, j.overrides)
		return l, true
	}
	var refused error
	err := fanout.InOrder(ctx, len(j.runs), j.flags.workers, read, func(n int, l loaded) {
		j.take(j.runs[n], l)
		refused = cmp.Or(refused, j.app.RefuseRead(l.sources))
	})
	if err != nil {
		return j.interrupted()
	}
	return refused
}

// take keeps what was read. The record has no path of this machine, the person at the terminal has.
func (j *job) take(r *report.Run, l loaded) {
	r.Ready, r.Unreviewed = l.ready, scenarios.Unreviewed(l.text)
	if l.text != nil {
		r.SHA256 = hashOf(l.text)
	}
	if l.err != nil {
		r.Err = errors.New(j.names.shown(l.err.Error()))
	}
	j.places[r] = origin{j.places[r].reference, l.folder, l.err}
}

// runAll runs what can be run, and draws each run where it was run: a trace is not kept.
func (j *job) runAll(ctx context.Context) error {
	bar := j.app.Progress("running", 0)
	defer bar.Done()
	work := func(n int) (drawn, bool) {
		r := *j.runs[n]
		if r.Err != nil {
			return drawn{run: r}, true
		}
		var trace report.Trace
		r.Result, r.Err = sim.RunUntil(ctx, r.Ready, &trace)
		if r.Err != nil {
			r.Result = nil
			return drawn{run: r}, ctx.Err() == nil
		}
		r.Result.CheckDrop()
		err := r.Draw(&trace)
		return drawn{r, err}, true
	}
	var wrong error
	err := fanout.InOrder(ctx, len(j.runs), j.flags.workers, work, func(n int, d drawn) {
		*j.runs[n] = d.run
		wrong = errors.Join(wrong, d.err)
		bar.At(n+1, len(j.runs))
	})
	if err != nil {
		return j.interrupted()
	}
	return wrong
}

// drawn is a run with its figure, or why it cannot be drawn.
type drawn struct {
	run report.Run
	err error
}
