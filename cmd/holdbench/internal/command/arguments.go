package command

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"holdbench/plant/problem"
	"holdbench/sequence"
)

// NoArguments refuses words where none are taken; at the root they are meant to be
// commands.
func NoArguments(c *cobra.Command, args []string) error {
	switch {
	case len(args) == 0:
		return nil
	case !c.HasParent():
		return unknownCommand(c, args[0])
	}
	return WrongUse(c, "%s takes no arguments; found %q", c.CommandPath(), args[0])
}

func unknownCommand(root *cobra.Command, word string) error {
	var names []string
	for _, c := range root.Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	return WrongUse(root, "there is no command %q; %s", word, sequence.Suggest(word, names))
}

// OneArgument requires exactly one word, with a name for messages.
func OneArgument(what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		switch len(args) {
		case 0:
			return WrongUse(c, "%s is missing: %s", what, c.UseLine())
		case 1:
			return nil
		}
		return WrongUse(c, "%s takes one %s; found %d: %s", c.CommandPath(), what, len(args), strings.Join(args, " "))
	}
}

// SomeArguments requires at least one word.
func SomeArguments(what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) == 0 {
			return WrongUse(c, "%s is missing: %s", what, c.UseLine())
		}
		return nil
	}
}

// WrongUse is an error of the command line.
func WrongUse(c *cobra.Command, format string, values ...any) error {
	return &misuse{c.CommandPath(), problem.Errorf(format, values...)}
}

// nearestFlag compares names without the strokes, which all flags have.
func nearestFlag(c *cobra.Command, name string) string {
	var names []string
	for _, flag := range flagNames(c) {
		names = append(names, strings.TrimPrefix(flag, "--"))
	}
	best, similar := sequence.Nearest(name, names)
	if !similar {
		return fmt.Sprintf("none of the %d flags is similar", len(names))
	}
	return fmt.Sprintf("the nearest valid one is %q", "--"+best)
}

// flagError names the wrong flag, what was found and what is right.
func flagError(c *cobra.Command, err error) error {
	var missing *pflag.NotExistError
	var bare *pflag.ValueRequiredError
	var invalid *pflag.InvalidValueError
	var twice *twiceError
	var outside *outOfBounds
	switch {
	case errors.As(err, &missing) && missing.GetSpecifiedShortnames() == "":
		return WrongUse(c, "there is no flag %q; %s", "--"+missing.GetSpecifiedName(), nearestFlag(c, missing.GetSpecifiedName()))
	case errors.As(err, &missing):
		return WrongUse(c, "there is no flag %q; flags have long names, such as %s", "-"+missing.GetSpecifiedName(), flagNames(c)[0])
	case errors.As(err, &bare):
		f := bare.GetFlag()
		return WrongUse(c, "--%s has no value; must be %s", f.Name, flagValue(f))
	case errors.As(err, &invalid) && errors.As(err, &twice):
		return WrongUse(c, "--%s is %w", invalid.GetFlag().Name, twice)
	case errors.As(err, &outside):
		errors.As(err, &invalid)
		value := invalid.GetValue()
		if _, err := strconv.ParseFloat(value, 64); err != nil {
			value = strconv.Quote(value)
		}
		return WrongUse(c, "--%s is %s; must be %s", invalid.GetFlag().Name, value, outside.must)
	case errors.As(err, &invalid):
		f := invalid.GetFlag()
		return WrongUse(c, "--%s is %q; must be %s", f.Name, invalid.GetValue(), flagValue(f))
	}
	return WrongUse(c, "%w", err)
}

func flagNames(c *cobra.Command) []string {
	var names []string
	c.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, "--"+f.Name) })
	return names
}

// flagValue is the kind of value that a flag takes.
func flagValue(f *pflag.Flag) string {
	switch f.Value.Type() {
	case "bool":
		return "true or false, or the flag alone"
	case "uint64":
		return "a whole number from 1 to 18446744073709551615"
	}
	name, _ := pflag.UnquoteUsage(f)
	return name
}
