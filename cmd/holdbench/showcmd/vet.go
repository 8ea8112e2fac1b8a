package showcmd

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/problem"
	"holdbench/scenarios"
)

// NewVet is the command vet.
func NewVet(a *command.App) *cobra.Command {
	var strict bool
	c := &cobra.Command{
		Use:   "vet PATH…",
		Short: "Check documents, and say what of a scenario cannot happen",
		Long: page.Prose(`Reads scenarios, rigs and sequences and reports all errors and warnings, each
with its location. A PATH is a built-in name, a file or a folder. Exit code 2 if
anything is wrong; warnings alone do not count unless --strict is given.`,
			`Of a scenario it says what cannot happen. Expectations that exclude each other in every run are an error, such as
end: pass with class: caught, or a path with a step for which the sequence has no transition. A step of the script that leaves
a button as it is, is a warning; the last one may do so, as a run goes on until it. The rest is found by one run with the
seed of the scenario, and its warnings begin with "in a run with seed": a fault that never begins or changes nothing, a
state in the expectations that is never entered, a within that is over before the script is and that the sequence does not
keep, a stop of the lesson that never comes. Other expectations that this run does not meet are a note: holdbench check
says what came in their place. A note, too, is a value that a fault sets beside others and that is so already. Of a run that has not ended after an hour of simulated time no more is said than that.`,
			`For a rig it also warns of values that are permitted but implausible, with the usual range and its
source, and lists the values that the document leaves out, with the default that is used.`,
			`For a program it warns of outputs that are never written and inputs that are never read, of an output
written at two places in a scan, and of states that are never entered, have no way out, or may wait without a
time limit. What a state writes and a condition behind the states changes, as for a stop, is a note. A state is a branch of the CASE over the state variable, or a flag of a step chain: it is left
where its flag becomes FALSE, or one ahead of it TRUE.`,
			`Waits are looked for by running the program, with inputs that are drawn, always the same. A state that
is reported was reached, and stayed as it was for more than 24 h while its inputs did not change. A condition
on timers or numbers that the run did not meet may have been taken as met on the way. States that wait for the
same timer are named in one warning. A note names the states of which the search can say nothing: it did not
reach them, or a value goes on changing in them. Ends are not looked at, nor are states in which a run begins:
they wait for an operator. Notes are no warnings.`),
		Example: `  holdbench vet reference pane-hoist
  holdbench vet --strict lining-worn-thin`,
		Args:              command.SomeArguments("PATH"),
		ValidArgsFunction: command.CompleteNames(scenarios.Kinds()...),
		RunE: func(c *cobra.Command, args []string) error {
			return a.Printed(func(w io.Writer) error { return vetPaths(a, c, w, args, strict) })
		},
	}
	c.Flags().BoolVar(&strict, "strict", false, "warnings count as errors")
	a.AddReach(c)
	return c
}

// vetted counts what a vet has found.
type vetted struct {
	documents, errors, warnings int
}

func vetPaths(a *command.App, c *cobra.Command, w io.Writer, paths []string, strict bool) error {
	var sum vetted
	s := a.Screen(false)
	for _, path := range paths {
		files, folder, wrong := documentsBelow(path, a.Reach)
		for _, err := range wrong {
			sum.errors++
			_, _ = fmt.Fprintln(w, s.Style.Bad.Render(page.Clean(err.Error())))
		}
		for _, file := range files {
			found, err := command.Interruptible(c.Context(), "checking "+page.CleanLine(file), func() (checked, error) {
				return check(c.Context(), s, file, a.Reach)
			})
			if err != nil {
				return err
			}
			sum.one(w, s.Style, file, folder, &found)
		}
	}
	_, _ = fmt.Fprintf(w, "%s: %s, %s\n", page.Count(sum.documents, "document", "documents"),
		page.Count(sum.errors, "error", "errors"), page.Count(sum.warnings, "warning", "warnings"))
	if sum.errors > 0 || strict && sum.warnings > 0 {
		return command.Exit(command.ExitWrong)
	}
	return nil
}

// checked is what was found in a document.
type checked struct {
	kind     scenarios.Kind
	problems problem.List
	defaults string
	err      error
}

// check reads a single document, and runs a scenario once. The error is an interruption.
func check(ctx context.Context, s *page.Screen, reference string, reach scenarios.Reach) (checked, error) {
	var f checked
	f.kind, f.problems, f.err = scenarios.Vet(reference, reach)
	switch {
	case f.err != nil:
	case f.kind == scenarios.RigKind:
		if rig, review, err := scenarios.ReviewRig(reference); err == nil {
			f.problems, f.defaults = append(f.problems, review.Doubtful...), defaultsText(s, rig, review.Defaults)
		}
	case f.kind == scenarios.ScenarioKind:
		found, err := scenarios.Foresee(ctx, reference, reach)
		if ctx.Err() != nil {
			return f, command.Interrupted("interrupted while checking %s", page.CleanLine(reference))
		}
		f.problems = append(f.problems, append(problem.Of(err), found...)...)
	}
	return f, nil
}

// one prints the problems of a single document. A foreign file is an
// error when it was named, and a warning when it was found in a folder.
func (sum *vetted) one(w io.Writer, style page.Styles, reference string, folder bool, f *checked) {
	sum.documents++
	if err := f.err; err != nil {
		var at *fs.PathError
		if folder && !errors.As(err, &at) {
			sum.warnings++
			_, _ = fmt.Fprintln(w, style.Warning.Render("warning: "+page.Clean(err.Error())))
		} else {
			sum.errors++
			_, _ = fmt.Fprintln(w, style.Bad.Render(page.Clean(err.Error())))
		}
		return
	}
	notes := 0
	for _, p := range f.problems {
		look := style.Bad
		switch {
		case p.Note:
			notes++
			look = style.Faint
		case p.Warning:
			sum.warnings++
			look = style.Warning
		default:
			sum.errors++
		}
		place, rest, _ := strings.Cut(page.Clean(p.Error()), "\n")
		_, _ = fmt.Fprintln(w, look.Render(place)+below(rest))
	}
	if len(f.problems) == notes {
		_, _ = fmt.Fprintf(w, "%s %s %s\n", style.Good.Render("ok"), f.kind, page.CleanLine(reference))
	}
	_, _ = io.WriteString(w, f.defaults)
}

// below puts the other lines of a message below its first one.
func below(rest string) string {
	if rest == "" {
		return ""
	}
	return "\n" + rest
}

// documentsBelow is the path itself, or the YAML files of a folder in the order of
// their names, and what of it cannot be looked at.
func documentsBelow(path string, reach scenarios.Reach) (files []string, folder bool, wrong []error) {
	info, err := os.Stat(path)
	if err != nil || !info.IsDir() {
		return []string{path}, false, nil // a name, or a file that the reader speaks of
	}
	files, outside, err := scenarios.FilesBelow(path, scenarios.IsDocument, reach)
	if err != nil {
		return nil, true, []error{err}
	}
	for _, link := range outside {
		wrong = append(wrong, scenarios.RefuseOutside(link))
	}
	if len(files)+len(wrong) == 0 {
		wrong = append(wrong, fmt.Errorf("there is no document in folder %s; documents are .yaml files", path))
	}
	return files, true, wrong
}
