// Package showcmd has the commands show, list and vet: what is built in, and whether documents
// are right.
package showcmd

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sim/catalogue"
)

type showFlags struct {
	derived, accuracy, resolved bool
	overrides                   command.OverrideFlags
}

// NewShow is the command show.
func NewShow(a *command.App) *cobra.Command {
	f := &showFlags{}
	c := &cobra.Command{
		Use:   "show DOCUMENT | show fault NAME",
		Short: "Print a document, derived values, or a fault",
		Long: page.Prose(`Prints a scenario, a rig or a sequence as it is written; it can be saved and changed. For a rig, --derived
prints the derived values, and --accuracy the error of its tick compared with a hundredth of it. For a
scenario, --resolved prints the final values with all settings applied.`,
			`Of a sequence that is a program, NAME is the binding and NAME.st the program.`,
			`For a fault it prints the description, what it sets on a rig from mild to severe, what detects it, and a
command to try it. The word fault can be left out where no document has the same name.`),
		Example: `  holdbench show pane-hoist
  holdbench show pane-hoist --derived
  holdbench show pane-hoist --accuracy
  holdbench show lining-worn-thin --resolved --set rig.load.mass_kg=210
  holdbench show healthy-down > mine.yaml
  holdbench show reference-case.st > mine.st
  holdbench show fault lining-worn --rig kiln-gate`,
		Args:              documentOrFault,
		ValidArgsFunction: completeShown,
		RunE:              func(c *cobra.Command, args []string) error { return showOne(a, c, args, f) },
	}
	c.Flags().BoolVar(&f.derived, "derived", false, "derived values of a rig, with formulas")
	c.Flags().BoolVar(&f.accuracy, "accuracy", false, "error of a rig's tick, calculated")
	c.Flags().BoolVar(&f.resolved, "resolved", false, "final values of a scenario")
	f.overrides.Add(c)
	a.AddReach(c)
	return c
}

// documentOrFault accepts a document, or the word fault and a name.
func documentOrFault(c *cobra.Command, args []string) error {
	switch {
	case len(args) == 2 && args[0] == faultWord:
		return nil
	case len(args) == 1 && args[0] == faultWord:
		return command.WrongUse(c, "show fault needs a NAME; see holdbench list faults")
	}
	return command.OneArgument("DOCUMENT")(c, args)
}

// showOne shows a fault, if it is named as one or no document has the name, or a document.
func showOne(a *command.App, c *cobra.Command, args []string, f *showFlags) error {
	if len(args) == 2 {
		return showFault(a, c, args[1], f)
	}
	if file, err := os.Stat(args[0]); err != nil || file.Size() == 0 { // as of show NAME.st > NAME.st
		if program, ok := scenarios.BuiltinProgram(args[0]); ok {
			return printed(a, program)
		}
	}
	_, none := kindOf(a, c, args[0])
	if _, err := catalogue.Find(args[0]); none != nil && err == nil {
		return showFault(a, c, args[0], f)
	}
	return showDocument(a, c, args[0], f)
}

// kindOf is the kind of a document.
func kindOf(a *command.App, c *cobra.Command, reference string) (scenarios.Kind, error) {
	return command.Interruptible(c.Context(), "reading the document", func() (scenarios.Kind, error) {
		kind, _, err := scenarios.Vet(reference, a.Reach)
		return kind, err
	})
}

func showDocument(a *command.App, c *cobra.Command, reference string, f *showFlags) error {
	kind, err := kindOf(a, c, reference)
	if err != nil {
		return err
	}
	switch {
	case (f.derived || f.accuracy) && f.resolved:
		return command.WrongUse(c, "--derived and --accuracy are for rigs and --resolved for scenarios; must be one of them")
	case f.derived && f.accuracy:
		return command.WrongUse(c, "--derived and --accuracy exclude each other; must be one of them")
	case (f.derived || f.accuracy) && kind != scenarios.RigKind:
		return command.WrongUse(c, "--derived and --accuracy are for rigs; %s is a %s", reference, kind)
	case f.resolved && kind != scenarios.ScenarioKind:
		return command.WrongUse(c, "--resolved is for scenarios; %s is a %s", reference, kind)
	case !f.resolved && f.overrides.Given(c):
		return command.WrongUse(c, "--set, --rig, --sequence and --seed are for --resolved; otherwise the document is printed as written")
	case f.derived:
		return showRig(c.Context(), a, reference, derivedText)
	case f.accuracy:
		return showRig(c.Context(), a, reference, accuracyText)
	case f.resolved:
		return showResolved(a, c, reference, &f.overrides)
	}
	_, text, err := scenarios.Text(kind, reference)
	if err != nil {
		return err
	}
	return printed(a, text)
}

// printed prints a document as it is written.
func printed(a *command.App, text []byte) error {
	if _, err := a.Stdout.Write(text); err != nil {
		return files.CannotPrint(err)
	}
	return nil
}

// showRig prints a page of a rig and its warnings.
func showRig(ctx context.Context, a *command.App, reference string, text rigText) error {
	shown, err := command.Interruptible(ctx, "calculating values of the rig", func() (string, error) { return rigPage(a.Screen(false), reference, text) })
	if err != nil {
		return err
	}
	return a.Printed(func(w io.Writer) error {
		_, err := io.WriteString(w, shown)
		return err
	})
}

// rigText is what a page says of a rig.
type rigText func(*page.Screen, *plant.Rig, *scenarios.Review) string

func rigPage(s *page.Screen, reference string, text rigText) (string, error) {
	_, warnings, err := scenarios.LoadRig(reference)
	if err != nil {
		return "", err
	}
	rig, review, err := scenarios.ReviewRig(reference)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	b.WriteString(s.Style.Strong.Render(page.CleanLine(rig.Rig)) + "\n")
	b.WriteString(page.Paragraph(page.Clean(rig.Title), "", s.Width) + "\n")
	b.WriteString(text(s, rig, &review))
	for _, d := range append(warnings, review.Doubtful...) {
		b.WriteString("\n" + page.Clean(d.Error()) + "\n")
	}
	return b.String(), nil
}

// showResolved prints a scenario's final values.
func showResolved(a *command.App, c *cobra.Command, reference string, f *command.OverrideFlags) error {
	overrides, err := f.Read(c)
	if err != nil {
		return err
	}
	ready, err := a.LoadCase(reference, overrides)
	if err != nil {
		return err
	}
	s := a.Screen(false)
	return a.Printed(func(w io.Writer) error {
		_, err := fmt.Fprint(w, resolvedText(s, ready))
		return err
	})
}
