package checkcmd

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"reflect"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sequence/binding"
	"holdbench/sim"
	"holdbench/sim/mutation"
)

// mutateFlags are those of check that belong to --mutate.
type mutateFlags struct {
	on                    bool
	sequence, equivalents string
	states                []string
	atLeast               float64
}

func (f *mutateFlags) add(c *cobra.Command) {
	c.Flags().BoolVar(&f.on, "mutate", false, "list the small mistakes that no scenario notices")
	c.Flags().StringVar(&f.sequence, "sequence", "", "run or mutate another sequence, a name or `FILE`")
	c.Flags().StringVar(&f.equivalents, "equivalents", "", "`FILE` of mutants without effect")
	c.Flags().StringSliceVar(&f.states, "states", nil, "only mutants of these `STATES`")
	c.Flags().Float64Var(&f.atLeast, "at-least", 90, "required share of noticed, `PERCENT`")
	command.Bound(c, "at-least", 0, 100)
	command.Complete(c, "sequence", command.CompleteNames(scenarios.SequenceKind))
	command.Complete(c, "equivalents", command.CompleteFiles("yaml", "yml"))
	command.Complete(c, "at-least", cobra.NoFileCompletions)
	command.Complete(c, "states", cobra.NoFileCompletions)
}

// validate refuses flags that go with --mutate alone, or not with it.
func (f *mutateFlags) validate(c *cobra.Command) error {
	refused, why := []string{"equivalents", "at-least", "states"}, "is for --mutate only; must be with it"
	if f.on {
		refused, why = []string{"tap", "junit", "controller", "start-within", "answer-within"}, "is not for --mutate, which changes a document and prints a table or --json"
	}
	for _, name := range refused {
		if c.Flags().Changed(name) {
			return command.WrongUse(c, "--%s %s", name, why)
		}
	}
	switch {
	case c.Flags().Changed("equivalents") && f.equivalents == "":
		return command.WrongUse(c, "--equivalents is empty; must be a file")
	case c.Flags().Changed("sequence") && f.sequence == "":
		return command.WrongUse(c, "--sequence is empty; must be a built-in name or a file")
	}
	return nil
}

// anyState stands for the transitions under any, in --states.
const anyState = "any"

// trial is a sequence, its mutants and their outcomes.
type trial struct {
	logic       sequence.Logic
	program     *binding.Logic // nil for a document
	mutants     []mutation.Mutant
	equivalents *scenarios.Equivalents
	file        string // of the document, for messages
	line        func(m *mutation.Mutant) int
	cases       []*sim.Case
	suite       *mutation.Suite
	outcomes    []mutation.Outcome
	check       string   // the command that says of each scenario what is not as expected
	states      []string // the only ones that are mutated; none: all
	settings    []string // KEY=VALUE, in all scenarios
	origin      command.Origin
}

// mutate tests the suite with mistakes in the sequence.
func mutate(a *command.App, c *cobra.Command, paths []string, f *checkFlags) error {
	if err := f.validate(c); err != nil {
		return err
	}
	f.mutate.sequence = cmp.Or(f.mutate.sequence, "reference")
	t, err := newTrial(&f.mutate, a.Reach)
	if err != nil {
		return err
	}
	o, err := f.set.Read(c)
	if err != nil {
		return err
	}
	t.origin = command.Origin{Version: command.Version(), Sources: scenarios.Sources("", f.mutate.sequence, a.Reach)}
	t.states, t.settings = f.mutate.states, command.NewGiven(o, nil).Settings
	t.check = command.ShellLine(append([]string{"holdbench", "check", "--sequence", f.mutate.sequence}, paths...))
	if t.program != nil { // which none of the built-in scenarios names
		o.Sequence = f.mutate.sequence
	}
	items, folders := load(c.Context(), paths, f.workers, o)
	a.TellContents(folders)
	if t.program == nil {
		reportUnusable(a, items)
	}
	if err := t.choose(a, items, f.mutate.sequence); err != nil {
		return err
	}
	if _, err := command.Interruptible(c.Context(), "looking for small mistakes", func() (struct{}, error) { return struct{}{}, t.findMutants(&f.mutate) }); err != nil {
		return err
	}
	runErr := try(c.Context(), a, t, f)
	if runErr != nil && !errors.Is(runErr, context.Canceled) {
		return runErr
	}
	if !f.json {
		err = a.Printed(func(w io.Writer) error {
			_, err := io.WriteString(w, mutateText(a.Screen(f.ascii), t, f.mutate.atLeast))
			return err
		})
	}
	if runErr != nil {
		_, _ = fmt.Fprintf(a.Stderr, "interrupted; %d of %s tried\n", len(t.outcomes), page.Count(len(t.mutants), "mutant", "mutants"))
	}
	return errors.Join(err, mutateExit(a, t, f.mutate.atLeast, runErr))
}

// newTrial reads the sequence that the command line names.
func newTrial(f *mutateFlags, reach scenarios.Reach) (*trial, error) {
	logic, _, err := scenarios.LoadLogic(f.sequence, reach)
	if err != nil {
		return nil, err
	}
	t := &trial{logic: logic}
	switch made := logic.(type) {
	case *sequence.Program:
		err = t.ofDocument(f.sequence)
	case *binding.Logic:
		t.program, t.file = made, made.File()
		t.line = func(m *mutation.Mutant) int { return m.Line }
	default:
		err = fmt.Errorf("sequence %s has no text that can be changed; must be a document or a program", logic.About().Name)
	}
	if err != nil {
		return nil, err
	}
	if f.equivalents != "" { // it is read when the mutants are known
		if _, err := os.Stat(f.equivalents); err != nil {
			return nil, fmt.Errorf("cannot read equivalents: %w", err)
		}
	}
	return t, nil
}

// findMutants makes the mutants and reads what is known of them. That takes a second, so that all
// that can be wrong without them is found before.
func (t *trial) findMutants(f *mutateFlags) (err error) {
	if t.program != nil {
		t.mutants = mutation.ProgramMutants(t.program)
	} else if p, ok := t.logic.(*sequence.Program); ok {
		t.mutants, err = mutation.Mutants(p.Document())
	}
	if err != nil {
		return err
	}
	name := t.logic.About().Name
	switch {
	case f.equivalents != "":
		t.equivalents, err = scenarios.LoadEquivalents(f.equivalents, name, t.mutants)
	case strings.HasPrefix(t.file, "builtin:"):
		t.equivalents, err = scenarios.BuiltinEquivalents(name, t.mutants)
	default:
		t.equivalents = &scenarios.Equivalents{}
	}
	return errors.Join(err, t.only(f.states))
}

// only leaves the mutants of some states; of all, if none is named.
func (t *trial) only(states []string) error {
	about := t.logic.About()
	for _, name := range states {
		if _, ok := about.StateIndex(name); !ok && name != anyState {
			return fmt.Errorf("sequence %s has no state %q; %s", about.Name, name, sequence.Suggest(name, append(about.StateNames(), anyState)))
		}
	}
	if len(states) > 0 {
		t.mutants = slices.DeleteFunc(t.mutants, func(m mutation.Mutant) bool { return !slices.Contains(states, cmp.Or(m.State, anyState)) })
	}
	return nil
}

// ofDocument finds the lines of a document.
func (t *trial) ofDocument(reference string) error {
	file, line, err := scenarios.Lines(scenarios.SequenceKind, reference)
	t.file, t.line = file, func(m *mutation.Mutant) int { return line(m.Path) }
	return err
}

// choose takes the scenarios that use the sequence. What cannot be used was reported; a program is
// tried on all that it can be used for.
func (t *trial) choose(a *command.App, items []*item, sequence string) error {
	unfit := 0
	for _, i := range items {
		switch {
		case i.err != nil && t.program != nil:
			unfit++
		case i.err != nil:
			return command.Exit(command.ExitWrong)
		case i.ready == nil:
			return command.Interrupted("interrupted while scenarios were read")
		case t.program != nil || reflect.DeepEqual(i.ready.Sequence.Source, t.logic.About().Source):
			t.cases = append(t.cases, i.ready)
		}
	}
	if unfit > 0 {
		_, _ = fmt.Fprintf(a.Stderr, "left out, as they name states or values that the program does not have: %s\n", page.Count(unfit, "scenario", "scenarios"))
	}
	if len(t.cases) == 0 && unfit > 0 {
		return fmt.Errorf("none of these scenarios can be used with %s; %s gives the causes", sequence, t.check)
	}
	if len(t.cases) == 0 {
		return fmt.Errorf("none of these scenarios uses sequence %s; must be other paths, or another --sequence", sequence)
	}
	return nil
}

// try runs the scenarios as they are and then on each mutant. JSON lines go out as they
// come. The error is that of the context, or of a closed standard output.
func try(ctx context.Context, a *command.App, t *trial, f *checkFlags) error {
	bar, done := a.Progress("running", 0), 0
	defer bar.Done()
	step := func() {
		done++
		bar.At(done, len(t.cases)+len(t.mutants))
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	var err error
	if t.suite, err = mutation.NewSuite(ctx, t.cases, f.workers, step); err != nil {
		return err
	}
	if out := t.suite.LeftOut(); len(out) > 0 {
		names := page.Paragraph(page.CleanLine(strings.Join(out, ", ")), "  ", page.Narrow)
		_, _ = fmt.Fprintf(a.Stderr, "left out, not as expected with the original sequence: %s\n%s", page.Count(len(out), "scenario", "scenarios"), names)
	}
	if t.suite.Len() == 0 {
		return fmt.Errorf("no scenario is as expected with the original sequence, so that none can notice a mistake in it. %s says what differs. Begin with a scenario of which you have reviewed what it expects of this sequence; the bench keeps a run as one (key k)", t.check)
	}
	var writeErr error
	err = t.suite.Try(ctx, t.mutants, t.equivalents.Arguments, f.workers, func(o mutation.Outcome) {
		t.outcomes = append(t.outcomes, o)
		step()
		if !f.json || writeErr != nil {
			return
		}
		if writeErr = files.WriteJSON(a.Stdout, t.object(&o)); writeErr != nil {
			cancel() // output is closed: the rest is not run
		}
	})
	if writeErr != nil {
		return files.CannotPrint(writeErr)
	}
	return err
}

// mutateExit reports the entries of the equivalents that do not apply any more, and gives the exit
// code; as in a check, a wrong document has precedence over a difference.
func mutateExit(a *command.App, t *trial, atLeast float64, runErr error) error {
	stale := false
	for i := range t.outcomes {
		if p := t.equivalents.Stale(&t.outcomes[i]); p != nil {
			stale = true
			_, _ = fmt.Fprintln(a.Stderr, "holdbench: "+page.Clean(p.Error()))
		}
	}
	_, all := mutation.Tally(t.outcomes)
	switch {
	case runErr != nil:
		return command.Exit(command.ExitInterrupted)
	case stale:
		return command.Exit(command.ExitWrong)
	case 100*all.DetectedShare() < atLeast:
		return command.Exit(command.ExitBroken)
	}
	return nil
}

// mutantObject is a mutant and what came of it as a line of JSON.
type mutantObject struct {
	Mutant   string `json:"mutant"`
	Operator string `json:"operator"`
	State    string `json:"state"` // empty for a transition under any
	File     string `json:"file"`
	Line     int    `json:"line"`
	Was      string `json:"was"`
	Now      string `json:"now"`
	Fate     string `json:"fate"`
	By       string `json:"by,omitempty"`
	Because  string `json:"because,omitempty"`
	Passing  int    `json:"passing,omitempty"`
	Nearest  string `json:"nearest,omitempty"`
	Missing  string `json:"missing,omitempty"`

	States   []string `json:"states,omitempty"`   // of --states: mutants of these alone were made
	Settings []string `json:"settings,omitempty"` // KEY=VALUE, in all scenarios
	command.Origin
}

func (t *trial) object(o *mutation.Outcome) *mutantObject {
	m := o.Mutant
	return &mutantObject{
		Mutant: m.ID, Operator: string(m.Operator), State: m.State, File: t.file, Line: t.line(m),
		Was: m.Was, Now: m.Now, Fate: string(o.Status), By: o.By, Because: o.Reason,
		Passing: o.Candidates, Nearest: o.Nearest, Missing: o.Missing, States: t.states, Settings: t.settings, Origin: t.origin,
	}
}

// MutantJSON is a line of check --mutate --json, for its schema.
func MutantJSON() any { return mutantObject{} }
