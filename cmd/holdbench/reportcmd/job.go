package reportcmd

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/cmd/holdbench/report"
	"holdbench/plant"
	"holdbench/plant/recording"
	"holdbench/plant/sizing"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/evaluate"
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

func hashOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
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

// onlyOne ties a recording to its run: there must be one.
func (j *job) onlyOne(ctx context.Context) error {
	if j.flags.against == "" {
		return nil
	}
	if len(j.runs) != 1 {
		return fmt.Errorf("--against is for one scenario, and there are %d; must be the one that was recorded", len(j.runs))
	}
	measured, err := command.ReadRecording(ctx, j.flags.against, j.flags.reading)
	if err != nil {
		return err
	}
	if j.recorded, err = report.NewRecorded(measured); err != nil {
		return err
	}
	if ready := j.runs[0].Ready; ready != nil {
		if _, err := j.flags.recording.Doubts(ctx, j.app, measured, &ready.Rig); err != nil {
			return err
		}
	}
	j.runs[0].Recorded = j.recorded
	j.judge(ctx, measured)
	for _, name := range j.recorded.Unknown(j.runs[0].Judged != nil) {
		_, _ = fmt.Fprintf(j.app.Stderr, "%s: column %s is not known, and is not compared\n", page.CleanLine(j.flags.against), name)
	}
	return nil
}

// judge judges the recorded test again; where its signals do not do for that the column measured stays empty, as
// it does for the trace of a run, which is no measurement.
func (j *job) judge(ctx context.Context, measured *recording.Recording) {
	r := j.runs[0]
	if r.Ready == nil || measured.Simulated {
		return
	}
	e, err := command.EvaluateRecording(ctx, &r.Ready.Rig, measured, evaluate.Options{})
	if err != nil {
		for line := range strings.Lines(err.Error()) {
			_, _ = fmt.Fprintf(j.app.Stderr, "%s: not judged again: %s\n", page.CleanLine(j.flags.against), strings.TrimSpace(line))
		}
		return
	}
	r.Judged = &report.Judged{Evaluation: e}
	if beside, err := e.Run(ctx, r.Ready, measured); err == nil {
		r.Judged.Simulated = &beside.Figures
	}
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

// document finds the rig and the sequence of each run, each once.
func (j *job) document() error {
	for _, r := range j.runs {
		if r.Err != nil {
			continue
		}
		rig, err := j.rigOf(r)
		if err != nil {
			return err
		}
		s, err := j.sequenceOf(r)
		if err != nil {
			return err
		}
		r.Rig, r.Sequence = rig, s
		rig.Runs++
		s.Runs++
	}
	return nil
}

// rigOf is the rig of a run as its document has it, without the values that the scenario sets.
func (j *job) rigOf(r *report.Run) (*report.Rig, error) {
	_, name, text, err := j.find(r, scenarios.RigKind, r.Ready.Scenario.Rig)
	if err != nil {
		return nil, err
	}
	sha := hashOf(text)
	for _, have := range j.rigs {
		if have.SHA256 == sha && have.Rig.Rig == r.Ready.Rig.Rig {
			return have, nil
		}
	}
	rig, _, err := scenarios.ParseRig(name, text)
	if err != nil {
		return nil, err
	}
	made := &report.Rig{Number: len(j.rigs) + 1, Reference: j.short(name, r), SHA256: sha, Rig: *rig}
	j.rigs = append(j.rigs, made)
	return made, nil
}

// find is the document that a scenario names or holds; it is loaded again by its reference, which is
// empty for one that is held.
func (j *job) find(r *report.Run, kind scenarios.Kind, ref sim.Reference) (reference, name string, text []byte, err error) {
	if ref.Text != "" {
		return "", j.places[r].reference, []byte(ref.Text), nil
	}
	reference = ref.Name
	if kind == scenarios.SequenceKind && strings.EqualFold(filepath.Ext(reference), ".st") {
		reference = scenarios.BindingBeside(reference)
	}
	overridden := kind == scenarios.SequenceKind && j.overrides.Sequence != ""
	if !overridden && !slices.Contains(scenarios.Names(kind), reference) && !filepath.IsAbs(reference) {
		reference = filepath.Join(j.places[r].folder, reference)
	}
	name, text, err = scenarios.Text(kind, reference)
	return reference, name, text, err
}

// short is how the record refers to a document: its built-in name, or its file without folders of this machine.
func (j *job) short(name string, r *report.Run) string {
	if builtin, ok := strings.CutPrefix(name, "builtin:"); ok {
		return "built in, " + builtin
	}
	if name == j.places[r].reference {
		return filepath.Base(name) + ", written in place"
	}
	return filepath.Base(name)
}

func (j *job) sequenceOf(r *report.Run) (*report.Sequence, error) {
	ref := r.Ready.Scenario.Sequence
	if j.overrides.Sequence != "" {
		ref = sim.Reference{Name: j.overrides.Sequence}
	}
	reference, name, text, err := j.find(r, scenarios.SequenceKind, ref)
	if err != nil {
		return nil, err
	}
	sha := hashOf(text)
	for _, have := range j.sequences {
		if have.SHA256 == sha && have.Logic.About().Name == r.Ready.Sequence.Name {
			return have, nil
		}
	}
	made := &report.Sequence{Number: len(j.sequences) + 1, Reference: j.short(name, r), SHA256: sha, Logic: r.Ready.Logic, ValuesOf: "test case T" + strconv.Itoa(r.Number)}
	if reference == "" {
		made.In = r.Ready.Scenario.Scenario
	} else {
		made.ValuesOf = ""
		if made.Logic, _, err = scenarios.LoadLogic(reference, j.app.Reach); err != nil {
			return nil, err
		}
	}
	if program, ok := made.Logic.(interface{ File() string }); ok {
		source, err := programText(program.File())
		if err != nil {
			return nil, err
		}
		made.File, made.Text, made.TextSHA, made.Binding = filepath.Base(program.File()), string(source), hashOf(source), string(text)
	}
	j.sequences = append(j.sequences, made)
	return made, nil
}

func programText(file string) ([]byte, error) {
	if strings.HasPrefix(file, "builtin:") {
		if text, ok := scenarios.BuiltinProgram(filepath.Base(file)); ok {
			return text, nil
		}
	}
	return files.ReadFile(file)
}

// prepare sizes the rigs and draws the sequences.
func (j *job) prepare(ctx context.Context) error {
	for _, rig := range j.rigs {
		j.size(rig)
	}
	for _, s := range j.sequences { // one after the other: the library that draws has one error for all
		if ctx.Err() != nil {
			return j.interrupted()
		}
		j.sizeFor(s)
		if err := s.Draw(ctx, command.Version()); err != nil {
			return err
		}
	}
	return nil
}

// mostUsed is of some things the one that most test cases have, the first of several.
func mostUsed[T comparable](runs []*report.Run, things []T, has func(*report.Run, T) bool) T {
	var best T
	most := 0
	for _, x := range things {
		n := 0
		for _, r := range runs {
			if r.Err == nil && has(r, x) {
				n++
			}
		}
		if n > most {
			best, most = x, n
		}
	}
	return best
}

// size sizes a rig with the parameters of the sequence that most of its test cases use.
func (j *job) size(rig *report.Rig) {
	with := mostUsed(j.runs, j.sequences, func(r *report.Run, s *report.Sequence) bool { return r.Rig == rig && r.Sequence == s })
	if with == nil {
		rig.NotSized = "no test case of it could be run"
		return
	}
	rig.With = with.Logic.About().Name
	s, err := sized(rig.Rig, with.Logic)
	if err != nil {
		rig.NotSized = err.Error()
		return
	}
	rig.Sized = s
}

// sizeFor finds the sized values of the parameters of a sequence, for the rig that most of its test cases use.
func (j *job) sizeFor(s *report.Sequence) {
	rig := mostUsed(j.runs, j.rigs, func(r *report.Run, x *report.Rig) bool { return r.Sequence == s && r.Rig == x })
	if rig == nil {
		return
	}
	found, err := sized(rig.Rig, s.Logic)
	if err != nil {
		return // the sizing of the rig says why
	}
	s.Sized, s.SizedFor = map[string]string{}, rig.Rig.Rig
	for _, set := range found.Settings {
		if name, ok := strings.CutPrefix(set.Key, "sequence."); ok && set.Origin == "" {
			s.Sized[name] = set.Value
		}
	}
}

// sized sizes a rig with a sequence as they are, without the values of a scenario.
func sized(rig plant.Rig, logic sequence.Logic) (*sizing.Sizing, error) {
	s := sim.Scenario{Scenario: "report", Title: "report", Rig: sim.Reference{Name: rig.Rig}, Sequence: sim.Reference{Name: logic.About().Name}, Set: map[string]string{}}
	ready, _, err := sim.NewCaseOf(s, rig, logic)
	if err != nil {
		return nil, err
	}
	params := command.SizingParams(ready.Sequence)
	result, err := sizing.Compute(&ready.Rig, params, sizing.DefaultAssumptions(&ready.Rig, params))
	if err != nil {
		return nil, err
	}
	return &result, nil
}
