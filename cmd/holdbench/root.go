package main

import (
	"errors"
	"fmt"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"holdbench/sequence"
)

// caution ends the help of the program; see the README for the whole of it.
const caution = `A simulation proves no machine safe. Nobody stays under a raised load: prop it.
The machine's risk assessment, the makers' manuals, the standards that apply and
qualified people decide on the test, its torque, its interval and its
validation.
`

func (a *app) root() *cobra.Command {
	f := &bareFlags{}
	c := &cobra.Command{
		Use:   "holdbench",
		Short: "Try a holding brake's test before there is a machine",
		Long: prose(`holdbench runs the functional side of a brake test against a simulated axis with
a gravity load, a holding brake and a model of the safety-side check, and holds what the
sequence says against what the plant knows.`,
			"Without a command it opens the bench on a terminal: watch a run, break it, go back in it, compare, learn. Where there is no terminal it runs "+demo+"."),
		Example: `  holdbench --scenario oil-on-the-lining
  holdbench list scenarios
  holdbench run lining-worn-thin
  holdbench check`,
		Version:       version(),
		Args:          noArguments,
		SilenceUsage:  true,
		SilenceErrors: true,
		RunE:          func(c *cobra.Command, _ []string) error { return a.bare(c, f) },
	}
	c.SetVersionTemplate("holdbench {{.Version}}\n")
	c.SetHelpTemplate(c.HelpTemplate() + "{{if not .HasParent}}\n" + caution + "{{end}}")
	c.SetFlagErrorFunc(flagError)
	c.CompletionOptions.DisableDefaultCmd = true
	f.add(c)
	c.AddCommand(a.runCommand(), a.checkCommand(), a.probeCommand(), a.sizeCommand(), a.sweepCommand(), a.mergeCommand(), a.lifeCommand(), a.listCommand(), a.showCommand(), a.vetCommand(), a.completionCommand())
	c.SetHelpCommand(helpCommand())
	return c
}

// helpCommand is the word help for people who try it before --help.
func helpCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "help [COMMAND]",
		Short:   "Explain a command",
		Example: "  holdbench help run",
		RunE: func(c *cobra.Command, args []string) error {
			about, rest, err := c.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return unknownCommand(c.Root(), strings.Join(args, " "))
			}
			about.InitDefaultHelpFlag()
			return about.Help()
		},
	}
}

// version is what the build knows of itself.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" {
		return "(devel)"
	}
	return info.Main.Version
}

// noArguments refuses words where none are taken; at the root they are meant to be
// commands.
func noArguments(c *cobra.Command, args []string) error {
	switch {
	case len(args) == 0:
		return nil
	case !c.HasParent():
		return unknownCommand(c, args[0])
	}
	return usage(c, "%s takes no arguments; found %q", c.CommandPath(), args[0])
}

func unknownCommand(root *cobra.Command, word string) error {
	var names []string
	for _, c := range root.Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	return usage(root, "there is no command %q; %s", word, sequence.Suggest(word, names))
}

// oneArgument wants exactly one word and says what it is.
func oneArgument(what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		switch len(args) {
		case 0:
			return usage(c, "%s is missing: %s", what, c.UseLine())
		case 1:
			return nil
		}
		return usage(c, "%s takes one %s; found %d: %s", c.CommandPath(), what, len(args), strings.Join(args, " "))
	}
}

// someArguments wants at least one word.
func someArguments(what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) == 0 {
			return usage(c, "%s is missing: %s", what, c.UseLine())
		}
		return nil
	}
}

// usage is an error of the command line.
func usage(c *cobra.Command, format string, values ...any) error {
	return &wrongUse{c.CommandPath(), fmt.Errorf(format, values...)}
}

// flagError says which flag is wrong, what was found and what would be right.
func flagError(c *cobra.Command, err error) error {
	var missing *pflag.NotExistError
	var bare *pflag.ValueRequiredError
	var invalid *pflag.InvalidValueError
	switch {
	case errors.As(err, &missing) && missing.GetSpecifiedShortnames() == "":
		name := "--" + missing.GetSpecifiedName()
		return usage(c, "there is no flag %q; %s", name, sequence.Suggest(name, flagNames(c)))
	case errors.As(err, &missing):
		return usage(c, "there is no flag %q; flags are written out, such as %s", "-"+missing.GetSpecifiedName(), flagNames(c)[0])
	case errors.As(err, &bare):
		f := bare.GetFlag()
		return usage(c, "--%s has no value; must be %s", f.Name, flagWants(f))
	case errors.As(err, &invalid):
		f := invalid.GetFlag()
		return usage(c, "--%s is %q; must be %s", f.Name, invalid.GetValue(), flagWants(f))
	}
	return usage(c, "%w", err)
}

func flagNames(c *cobra.Command) []string {
	var names []string
	c.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, "--"+f.Name) })
	return names
}

// flagWants is the kind of value that a flag takes.
func flagWants(f *pflag.Flag) string {
	switch f.Value.Type() {
	case "bool":
		return "true or false, or the flag alone"
	case "int":
		return "a whole number"
	case "uint64":
		return "a whole number from 1"
	}
	name, _ := pflag.UnquoteUsage(f)
	return name
}
