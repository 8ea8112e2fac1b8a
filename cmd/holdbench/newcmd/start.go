package newcmd

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// startFlags are those of new rig, sequence, scenario and suite; each has those that it needs.
type startFlags struct {
	set                       []string
	from, rig, sequence, spec string
	out                       string
	overwrite                 bool
}

// given is whether a flag gives a value that would be asked for.
func given(c *cobra.Command) bool {
	return slices.ContainsFunc([]string{"set", "from", "rig", "sequence", "fault"}, func(name string) bool {
		return c.Flags().Lookup(name) != nil && c.Flags().Changed(name)
	})
}

const asked = "On a terminal it asks for values, each with a default; with a flag for one of them, or without a terminal, it asks nothing and takes the defaults for the rest."

// addFile adds the flags of a document in one file.
func (f *startFlags) addFile(c *cobra.Command) {
	c.Flags().StringVarP(&f.out, "out", "o", "", "write to `FILE` in place of NAME.yaml; - is stdout")
	c.Flags().BoolVar(&f.overwrite, "overwrite", false, "replace a file that is there")
	command.Complete(c, "out", command.CompleteFiles("yaml", "yml"))
}

// addSet adds the flag for the values of a rig.
func (f *startFlags) addSet(c *cobra.Command) {
	c.Flags().StringArrayVar(&f.set, "set", nil, "a value of the rig, `KEY=VALUE` as load.mass_kg=210")
	var keys []string
	for _, q := range questions() {
		keys = append(keys, q.path+"=")
	}
	command.Complete(c, "set", cobra.FixedCompletions(keys, cobra.ShellCompDirectiveNoFileComp|cobra.ShellCompDirectiveNoSpace))
}

// values reads --set; only what is asked for can be set.
func (f *startFlags) values(c *cobra.Command) (map[string]string, error) {
	var keys []string
	for _, q := range questions() {
		keys = append(keys, q.path)
	}
	set := map[string]string{}
	for _, text := range f.set {
		key, value, ok := strings.Cut(text, "=")
		key = strings.TrimPrefix(strings.TrimSpace(key), "rig.")
		switch {
		case !ok:
			return nil, command.WrongUse(c, "--set is %q; must be KEY=VALUE such as load.mass_kg=210", text)
		case !slices.Contains(keys, key):
			return nil, command.WrongUse(c, "a new rig has no value %q to set; %s", key, sequence.Suggest(key, keys))
		}
		set[key] = strings.TrimSpace(value)
	}
	return set, nil
}

// longestName keeps names short enough for a file and a heading.
const longestName = 60

// documentName is the rule for the name of a new document, which is none of the built-in documents of some kinds:
// of two with one name the built-in one would be read.
func documentName(c *cobra.Command, name string, kinds ...scenarios.Kind) error {
	if len(name) > longestName || !regexp.MustCompile(`^[a-z][a-z0-9]*([-_][a-z0-9]+)*$`).MatchString(name) {
		return command.WrongUse(c, "NAME is %q; must be lower-case letters and digits with single hyphens, beginning with a letter, at most %d characters", name, longestName)
	}
	for _, kind := range kinds {
		for _, e := range scenarios.Builtin(kind) {
			switch name {
			case e.Name:
				return command.WrongUse(c, "NAME is %q, the name of a built-in %s, which would be read in its place; must be another name", name, kind)
			case e.Group:
				return command.WrongUse(c, "NAME is %q, the name of a group of built-in %ss, which would be read in its place; must be another name", name, kind)
			}
		}
	}
	return nil
}

func newRigCommand(a *command.App) *cobra.Command {
	f := &startFlags{}
	c := &cobra.Command{
		Use:   "rig NAME",
		Short: "Write a first rig",
		Long: page.Prose(`Writes a rig with comments: a vertical axis with a screw, the values that are asked for, and the engineering
data of its brake test as size works them out for the sequence reference. For another kind of axis begin with a copy
of a built-in rig, such as holdbench show tilt-arm.`, asked),
		Example: `  holdbench new rig my-hoist
  holdbench new rig slide --set load.mass_kg=420 --set transmission.gear_ratio=2`,
		Args: command.OneArgument("NAME"),
	}
	f.addSet(c)
	f.addFile(c)
	c.RunE = func(c *cobra.Command, args []string) error {
		if err := documentName(c, args[0], scenarios.RigKind); err != nil {
			return err
		}
		set, err := f.values(c)
		if err != nil {
			return err
		}
		text, err := newRig(c.Context(), newAsker(a, given(c)), args[0], set)
		if err != nil {
			return err
		}
		return f.write(a, args[0], text, "holdbench size")
	}
	return c
}

func newSequenceCommand(a *command.App) *cobra.Command {
	f := &startFlags{}
	c := &cobra.Command{
		Use:   "sequence NAME",
		Short: "Write a first sequence",
		Long:  page.Prose(`Writes a sequence as a copy of a built-in one, with its comments, under a name of its own.`, asked),
		Example: `  holdbench new sequence my-test
  holdbench new sequence my-test-down --from down-only`,
		Args: command.OneArgument("NAME"),
	}
	c.Flags().StringVar(&f.from, "from", "reference", "the built-in sequence to copy, `NAME`")
	command.Complete(c, "from", command.CompleteNames(scenarios.SequenceKind))
	f.addFile(c)
	c.RunE = func(c *cobra.Command, args []string) error {
		if err := documentName(c, args[0], scenarios.SequenceKind); err != nil {
			return err
		}
		from, err := newAsker(a, given(c)).ask(c.Context(), "built-in sequence to begin with", f.from, isSequence)
		if err != nil {
			return err
		}
		text, err := newSequence(args[0], from)
		if err != nil {
			return err
		}
		return f.write(a, args[0], text, "holdbench vet")
	}
	return c
}

// isSequence refuses what is no built-in sequence document.
func isSequence(name string) error {
	_, err := newSequence("x", name)
	return err
}

// newSequence is a built-in sequence under another name.
func newSequence(name, from string) ([]byte, error) {
	if !slices.Contains(scenarios.Names(scenarios.SequenceKind), from) {
		return nil, fmt.Errorf("there is no built-in sequence %q; %s", from, sequence.Suggest(from, scenarios.Names(scenarios.SequenceKind)))
	}
	if _, _, err := scenarios.LoadSequence(from); err != nil {
		return nil, err
	}
	_, text, err := scenarios.Text(scenarios.SequenceKind, from)
	if err != nil {
		return nil, err
	}
	head, err := fill("sequence.txt", map[string]string{"From": from})
	if err != nil {
		return nil, err
	}
	named := regexp.MustCompile(`(?m)^sequence: .*$`).ReplaceAll(text, []byte("sequence: "+name))
	return append(head, named...), nil
}

func newScenarioCommand(a *command.App) *cobra.Command {
	f := &startFlags{}
	c := &cobra.Command{
		Use:   "scenario NAME",
		Short: "Write a first scenario",
		Long: page.Prose(`Writes a scenario with a rig, a sequence and perhaps a fault, and with expectations recorded from one run. Review
them: they say what the run gave, not what is right.`, asked),
		Example: `  holdbench new scenario healthy-night
  holdbench new scenario oil-in-winter --rig kiln-gate --fault oil-on-lining=0.5`,
		Args: command.OneArgument("NAME"),
	}
	c.Flags().StringVar(&f.rig, "rig", "pane-hoist", "the rig, `NAME or FILE`")
	c.Flags().StringVar(&f.sequence, "sequence", "reference", "the sequence, `NAME or FILE`")
	c.Flags().StringVar(&f.spec, "fault", "", "a fault from the start on, `NAME[=NUMBER]`")
	command.Complete(c, "rig", command.CompleteNames(scenarios.RigKind))
	command.Complete(c, "sequence", command.CompleteNames(scenarios.SequenceKind))
	command.Complete(c, "fault", cobra.FixedCompletions(catalogue.Names(), cobra.ShellCompDirectiveNoFileComp))
	f.addFile(c)
	a.AddReach(c)
	c.RunE = func(c *cobra.Command, args []string) error {
		if err := documentName(c, args[0], scenarios.ScenarioKind); err != nil {
			return err
		}
		if err := f.askScenario(c.Context(), newAsker(a, given(c)), a.Reach); err != nil {
			return err
		}
		folder := ""
		if f.out != "" && f.out != "-" {
			folder = filepath.Dir(f.out)
		}
		text, r, err := newScenario(c.Context(), args[0], f, "", folder)
		if err != nil {
			return err
		}
		_, _ = fmt.Fprintf(a.Stderr, "recorded from one run: %s, %s\n", r.Class, r.End)
		return f.write(a, args[0], text, "holdbench run")
	}
	return c
}

// noFault is the answer for a run without a fault.
const noFault = "none"

func (f *startFlags) askScenario(ctx context.Context, k *asker, reach scenarios.Reach) error {
	fault := f.spec
	if fault == "" {
		fault = noFault
	}
	for _, q := range []struct {
		what  string
		into  *string
		check func(string) error
	}{
		{"rig, a built-in name or a file", &f.rig, func(name string) error { _, _, err := scenarios.LoadRig(name); return err }},
		{"sequence, a built-in name or a file", &f.sequence, func(name string) error { _, _, err := scenarios.LoadLogic(name, reach); return err }},
		{"fault of holdbench list faults, or none", &fault, isFault},
	} {
		var err error
		if *q.into, err = k.ask(ctx, q.what, *q.into, q.check); err != nil {
			return err
		}
	}
	if f.spec = fault; fault == noFault {
		f.spec = ""
	}
	return nil
}

func isFault(text string) error {
	if text == noFault {
		return nil
	}
	_, err := catalogue.Parse(text)
	return err
}

const scenarioHead = `All keys of a scenario: holdbench help scenario. Values before the run: set; actions of the operator: script.`

// newScenario writes a scenario that stands in a folder, with what one run of it gave. The files that it
// names are relative to another folder.
func newScenario(ctx context.Context, name string, f *startFlags, from, folder string) ([]byte, *sim.Result, error) {
	s := sim.Scenario{
		Scenario: name, Title: strings.ReplaceAll(name, "-", " "), Teaches: "A test without a fault. " + scenarios.NotReviewed,
		Rig: sim.Reference{Name: f.rig}, Sequence: sim.Reference{Name: f.sequence},
	}
	if f.spec != "" {
		s.Teaches = "A test with the fault " + f.spec + ". " + scenarios.NotReviewed
		s.Faults = []sim.Fault{{When: &sim.Moment{}, Fault: f.spec}}
	}
	scenarios.Rebase(&s, from, folder)
	draft, err := scenarios.Format(&s, "")
	if err != nil {
		return nil, nil, err
	}
	ready, _, err := scenarios.ParseCase(filepath.Join(folder, name+".yaml"), draft, scenarios.Overrides{Reach: scenarios.Anywhere}) // what it names was named by the user
	if err != nil {
		return nil, nil, err
	}
	r, err := sim.RunUntil(ctx, ready, nil)
	if err != nil {
		return nil, nil, err
	}
	text, err := scenarios.FormatTried(&s, r, scenarioHead)
	return text, r, err
}

// write leaves a document in its file, or on standard output.
func (f *startFlags) write(a *command.App, name string, text []byte, next string) error {
	out := f.out
	switch out {
	case "-":
		if _, err := io.Copy(a.Stdout, bytes.NewReader(text)); err != nil {
			return files.CannotPrint(err)
		}
		return nil
	case "":
		out = name + ".yaml"
	}
	if err := scenarios.Save(out, text, f.overwrite); err != nil {
		return err
	}
	return a.Printed(func(w io.Writer) error {
		_, err := fmt.Fprintf(w, "wrote %s; review it, then %s %s\n", page.CleanLine(out), next, page.CleanLine(out))
		return err
	})
}
