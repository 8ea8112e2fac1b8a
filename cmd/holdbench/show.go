package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sim/catalogue"
)

type showFlags struct {
	derived, accuracy, resolved bool
	overrides                   overrideFlags
}

func (a *app) showCommand() *cobra.Command {
	f := &showFlags{}
	c := &cobra.Command{
		Use:   "show DOCUMENT | show fault NAME",
		Short: "Print a document, what follows from it, or a fault",
		Long: prose(`Prints a scenario, a rig or a sequence as it is written; it can be saved and changed.
For a rig, --derived prints what follows from its figures, and --accuracy how far its
tick is from a hundredth of it. For a scenario, --resolved prints what it comes to once
its settings are applied.

Of a named fault it tells what it is, what it sets on a rig from mild to severe, who
could notice it, and how to try it; the word fault may be left out where no document
has the name.`),
		Example: `  holdbench show pane-hoist
  holdbench show pane-hoist --derived
  holdbench show pane-hoist --accuracy
  holdbench show lining-worn-thin --resolved --set rig.load.mass_kg=210
  holdbench show healthy-down > mine.yaml
  holdbench show fault lining-worn --rig kiln-gate`,
		Args:              documentOrFault,
		ValidArgsFunction: completeShown,
		RunE:              func(c *cobra.Command, args []string) error { return a.showOne(c, args, f) },
	}
	c.Flags().BoolVar(&f.derived, "derived", false, "what follows from a rig, with formulas")
	c.Flags().BoolVar(&f.accuracy, "accuracy", false, "the error of a rig's tick, measured")
	c.Flags().BoolVar(&f.resolved, "resolved", false, "the final values of a scenario")
	f.overrides.add(c)
	return c
}

// documentOrFault wants a document, or the word fault and a name.
func documentOrFault(c *cobra.Command, args []string) error {
	switch {
	case len(args) == 2 && args[0] == faultWord:
		return nil
	case len(args) == 1 && args[0] == faultWord:
		return usage(c, "show fault wants a NAME; see holdbench list faults")
	}
	return oneArgument("DOCUMENT")(c, args)
}

// showOne shows a fault, if it is said or nothing else has the name, or a document.
func (a *app) showOne(c *cobra.Command, args []string, f *showFlags) error {
	if len(args) == 2 {
		return a.showFault(c, args[1], f)
	}
	_, _, none := scenarios.Vet(args[0])
	if _, err := catalogue.Find(args[0]); none != nil && err == nil {
		return a.showFault(c, args[0], f)
	}
	return a.show(c, args[0], f)
}

func (a *app) show(c *cobra.Command, reference string, f *showFlags) error {
	kind, _, err := scenarios.Vet(reference)
	if err != nil {
		return err
	}
	switch {
	case (f.derived || f.accuracy) && f.resolved:
		return usage(c, "--derived and --accuracy are for rigs and --resolved for scenarios; must be one of them")
	case f.derived && f.accuracy:
		return usage(c, "--derived and --accuracy are two pages; must be one of them")
	case (f.derived || f.accuracy) && kind != scenarios.RigKind:
		return usage(c, "--derived and --accuracy are for rigs; %s is a %s", reference, kind)
	case f.resolved && kind != scenarios.ScenarioKind:
		return usage(c, "--resolved is for scenarios; %s is a %s", reference, kind)
	case !f.resolved && f.overrides.given(c):
		return usage(c, "--set, --rig, --sequence and --seed need --resolved; the document is printed as written")
	case f.derived:
		return a.showRig(reference, derivedText)
	case f.accuracy:
		return a.showRig(reference, accuracyText)
	case f.resolved:
		return a.showResolved(c, reference, &f.overrides)
	}
	_, text, err := scenarios.Text(kind, reference)
	if err != nil {
		return err
	}
	if _, err := a.stdout.Write(text); err != nil {
		return cannotPrint(err)
	}
	return nil
}

// given tells whether any of the flags stands on the command line.
func (f *overrideFlags) given(c *cobra.Command) bool {
	for _, name := range []string{"set", "rig", "sequence", "seed"} {
		if c.Flags().Changed(name) {
			return true
		}
	}
	return false
}

// showRig prints a page on a rig and what is doubtful about it.
func (a *app) showRig(reference string, page func(*screen, *plant.Rig) string) error {
	rig, doubts, err := scenarios.LoadRig(reference)
	if err != nil {
		return err
	}
	s := a.screen(false)
	var b strings.Builder
	b.WriteString(s.style.strong.Render(cleanLine(rig.Rig)) + "\n")
	b.WriteString(paragraph(clean(rig.Title), "", s.width) + "\n")
	b.WriteString(page(s, rig))
	for _, d := range doubts {
		b.WriteString("\n" + clean(d.Error()) + "\n")
	}
	return a.printed(func(w io.Writer) error {
		_, err := io.WriteString(w, b.String())
		return err
	})
}

// showResolved prints a scenario's final values.
func (a *app) showResolved(c *cobra.Command, reference string, f *overrideFlags) error {
	overrides, err := f.read(c)
	if err != nil {
		return err
	}
	ready, err := a.loadCase(reference, overrides)
	if err != nil {
		return err
	}
	s := a.screen(false)
	return a.printed(func(w io.Writer) error {
		_, err := fmt.Fprint(w, resolvedText(s, ready))
		return err
	})
}
