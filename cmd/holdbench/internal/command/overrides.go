package command

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/problem"
	"holdbench/scenarios"
	"holdbench/sim"
)

// OverrideFlags put other values in place of a scenario's own.
type OverrideFlags struct {
	Set           []string
	Rig, Sequence string
	Seed          uint64
	Outside       OutsideFlags // those commands have it that call its Add

	reach scenarios.Reach // as it was read
}

// Add adds the flags to a command.
func (f *OverrideFlags) Add(c *cobra.Command) {
	flags := c.Flags()
	flags.StringArrayVar(&f.Set, "set", nil, "set a value, `KEY=VALUE` as judge.dwell=2s")
	flags.StringVar(&f.Rig, "rig", "", "another rig, `NAME or FILE`")
	flags.StringVar(&f.Sequence, "sequence", "", "another sequence, `NAME or FILE`")
	flags.Uint64Var(&f.Seed, "seed", 0, "`seed` of the sensor noise, from 1")
	Complete(c, "set", CompleteSettings)
	Complete(c, "rig", CompleteNames(scenarios.RigKind))
	Complete(c, "sequence", CompleteNames(scenarios.SequenceKind))
}

// SequenceFlag adds the sequence that tests a rig, see [scenarios.SequenceFor].
func (f *OverrideFlags) SequenceFlag(c *cobra.Command) {
	c.Flags().StringVar(&f.Sequence, "sequence", "", "the sequence that tests, `NAME or FILE`; without it reference, and two-brakes for a rig with two brakes")
	Complete(c, "sequence", CompleteNames(scenarios.SequenceKind))
}

// Read turns the flags into overrides.
func (f *OverrideFlags) Read(c *cobra.Command) (scenarios.Overrides, error) {
	f.reach = reachOf(c)
	o := scenarios.Overrides{Rig: f.Rig, Sequence: f.Sequence, Seed: f.Seed, Set: map[string]string{}, Reach: f.reach}
	if c.Flags().Changed("seed") && f.Seed == 0 {
		return o, WrongUse(c, "--seed is 0; must be at least 1")
	}
	for _, name := range []string{"rig", "sequence"} {
		if flag := c.Flags().Lookup(name); flag != nil && flag.Changed && flag.Value.String() == "" {
			return o, WrongUse(c, "--%s is empty; must be a built-in name or a file", name)
		}
	}
	for _, text := range f.Set {
		key, value, ok := strings.Cut(text, "=")
		key, value = strings.TrimSpace(key), strings.TrimSpace(value)
		if !ok || key == "" {
			return o, WrongUse(c, "--set is %q; must be KEY=VALUE such as rig.load.mass_kg=210", text)
		}
		if _, twice := o.Set[key]; twice {
			return o, WrongUse(c, "--set gives %s twice; must be once", key)
		}
		o.Set[key] = value
	}
	return o, nil
}

// Open reads the overrides and puts the program of --controller among them, see [OutsideFlags.Open].
func (f *OverrideFlags) Open(a *App, c *cobra.Command, workers int) (o scenarios.Overrides, end func(), err error) {
	if o, err = f.Read(c); err != nil {
		return o, nil, err
	}
	end, err = f.Outside.Open(a, c, workers, a.Stderr, &o)
	return o, end, err
}

// Demo is the default scenario.
const Demo = "healthy-down-and-up"

// Given is whether any of the flags is on the command line.
func (f *OverrideFlags) Given(c *cobra.Command) bool {
	for _, name := range []string{"set", "rig", "sequence", "seed"} {
		if c.Flags().Changed(name) {
			return true
		}
	}
	return false
}

// LoadCase loads a scenario and prints its warnings to standard error.
func (a *App) LoadCase(reference string, o scenarios.Overrides) (*sim.Case, error) {
	ready, warnings, err := scenarios.LoadCase(reference, o)
	if err != nil {
		return nil, err
	}
	if err := a.RefuseRead(ready.Sources); err != nil {
		return nil, err
	}
	a.TellWarnings(warnings)
	return ready, nil
}

// TellWarnings prints warnings to standard error.
func (a *App) TellWarnings(warnings problem.List) {
	for _, w := range warnings {
		_, _ = fmt.Fprintln(a.Stderr, page.Clean(w.Error()))
	}
}

// tellWrapped prints warnings that are sentences to standard error, in lines as narrow as those of a page.
func (a *App) tellWrapped(warnings problem.List) {
	const below = "  "
	for _, w := range warnings {
		_, _ = fmt.Fprintln(a.Stderr, strings.Join(page.Wrap(page.Clean(w.Error()), page.Narrow-len(below)), "\n"+below))
	}
}

// TellProblems writes warnings about a rig and its settings to standard error, and gives the
// error its place.
func (a *App) TellProblems(reference string, o scenarios.Overrides, warnings problem.List, err error) error {
	a.TellWarnings(placed(reference, o, warnings))
	return placed(reference, o, problem.Of(err)).OrNil()
}

// placed adds to each problem the flag or the document that caused it.
func placed(reference string, o scenarios.Overrides, found problem.List) problem.List {
	found = slices.Clone(found)
	for i := range found {
		if found[i].File != "" {
			continue
		}
		found[i].File = cmp.Or(o.Flag(found[i].Path), reference)
	}
	return found
}
