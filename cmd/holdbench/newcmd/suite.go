package newcmd

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sim"
)

// suiteScenarios are the scenarios of a new suite, each with its fault.
func suiteScenarios() [][2]string {
	return [][2]string{{"healthy", ""}, {"lining-worn", "lining-worn=0.3"}, {"link-down", "link-down"}}
}

func newSuiteCommand(a *command.App) *cobra.Command {
	f := &startFlags{}
	c := &cobra.Command{
		Use:   "suite NAME",
		Short: "Write a folder with a rig, a sequence and scenarios",
		Long: page.Prose(`Writes a folder: rig.yaml as new rig does, sequence.yaml as a copy of the reference, scenarios with and
without a fault, whose expectations are recorded from a run, and a README. holdbench check NAME runs them. The folder
appears whole or not at all; one that is there is kept. With --overwrite the files of a suite that it has are
replaced, one by one, and others stay.`, asked, `--rig takes a rig that is there, such as one of size --set-rig, in place of a new one.`),
		Example: `  holdbench new suite my-hoist
  holdbench new suite my-lift --rig store-lift
  holdbench new suite press-slide --set load.mass_kg=420`,
		Args: command.OneArgument("NAME"),
	}
	f.addSet(c)
	c.Flags().StringVar(&f.rig, "rig", "", "the rig of the suite, `NAME or FILE`")
	command.Complete(c, "rig", command.CompleteNames(scenarios.RigKind))
	c.Flags().BoolVar(&f.overwrite, "overwrite", false, "replace files of a suite that is there")
	c.RunE = func(c *cobra.Command, args []string) error { return writeSuite(a, c, args[0], f) }
	return c
}

func writeSuite(a *command.App, c *cobra.Command, name string, f *startFlags) error {
	if err := documentName(c, name, scenarios.RigKind, scenarios.SequenceKind, scenarios.ScenarioKind); err != nil {
		return err
	}
	set, err := f.values(c)
	if err != nil {
		return err
	}
	if _, err := os.Lstat(name); err == nil && !f.overwrite {
		return fmt.Errorf("%s exists already; choose another name, or replace it with --overwrite", name)
	}
	rig, err := suiteRig(a, c, name, f, set)
	if err != nil {
		return err
	}
	hidden, err := os.MkdirTemp(".", "."+name+"-")
	if err != nil {
		return fmt.Errorf("cannot write %s: %w", name, err)
	}
	defer os.RemoveAll(hidden) //nolint:errcheck // what is left over is hidden
	folder := filepath.Join(hidden, name)
	list, err := fillSuite(a, c, name, folder, rig)
	if err != nil {
		return err
	}
	if err := place(folder, name, list, f.overwrite); err != nil {
		return err
	}
	return a.Printed(func(w io.Writer) error {
		_, err := fmt.Fprintf(w, "wrote %s with %d files; review them, then holdbench check %s\n", name, len(list), name)
		return err
	})
}

// suiteRig is the document of the rig: that of --rig, or a new one.
func suiteRig(a *command.App, c *cobra.Command, name string, f *startFlags, set map[string]string) ([]byte, error) {
	switch {
	case f.rig == "":
		return newRig(c.Context(), newAsker(a, given(c)), name, set)
	case len(set) > 0:
		return nil, command.WrongUse(c, "--rig takes a rig as it is, and --set makes a new one; must be one of them")
	}
	if _, _, err := scenarios.LoadRig(f.rig); err != nil {
		return nil, err
	}
	_, text, err := scenarios.Text(scenarios.RigKind, f.rig)
	return text, err
}

// fillSuite writes the files of a suite into a folder and lists them.
func fillSuite(a *command.App, c *cobra.Command, name, folder string, rig []byte) ([]string, error) {
	sequence, err := newSequence(name, "reference")
	if err != nil {
		return nil, err
	}
	readme, err := fill("suite.md", map[string]string{"Name": name})
	if err != nil {
		return nil, err
	}
	var list []string
	add := func(file string, text []byte) error {
		list = append(list, file)
		return scenarios.Save(filepath.Join(folder, file), text, false)
	}
	inside := filepath.Join(folder, "scenarios")
	err = errors.Join(os.MkdirAll(inside, 0o777), add("README.md", readme), add("rig.yaml", rig), add("sequence.yaml", sequence))
	if err != nil {
		return nil, err
	}
	for _, s := range suiteScenarios() {
		f := &startFlags{rig: "../rig.yaml", sequence: "../sequence.yaml", spec: s[1]}
		text, r, err := newScenario(c.Context(), s[0], f, inside, inside)
		if err != nil {
			return nil, err
		}
		if s[1] == "" && r.Class != sim.SoundPass {
			_, _ = fmt.Fprintf(a.Stderr, "%s without a fault is %s (%s): the values of the rig need a review, see holdbench size\n", name, r.Class, page.CleanLine(r.Cause))
		}
		if err := add("scenarios/"+s[0]+".yaml", text); err != nil {
			return nil, err
		}
	}
	return list, nil
}

// place gives the folder its name, or puts its files into the one that is there.
func place(folder, name string, list []string, overwrite bool) error {
	info, err := os.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if err := os.Rename(folder, name); err != nil {
			return fmt.Errorf("cannot write %s: %w", name, err)
		}
		return nil
	case err != nil:
		return fmt.Errorf("cannot write %s: %w", name, err)
	case !info.IsDir():
		return fmt.Errorf("%s is a file; must be a folder, or a name that is free", name)
	}
	if err := os.MkdirAll(filepath.Join(name, "scenarios"), 0o777); err != nil {
		return fmt.Errorf("cannot write %s: %w", name, err)
	}
	for _, file := range list {
		text, err := os.ReadFile(filepath.Join(folder, file))
		if err != nil {
			return fmt.Errorf("cannot write %s: %w", name, err)
		}
		if err := scenarios.Save(filepath.Join(name, file), text, overwrite); err != nil {
			return err
		}
	}
	return nil
}
