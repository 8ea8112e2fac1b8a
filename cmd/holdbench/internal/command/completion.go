package command

import (
	"strings"

	"github.com/spf13/cobra"

	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
)

// Complete ties a flag to what completes it. It can only fail for a flag that does
// not exist or is tied already.
func Complete(c *cobra.Command, flag string, f cobra.CompletionFunc) {
	if err := c.RegisterFlagCompletionFunc(flag, f); err != nil {
		panic(err)
	}
}

// CompleteNames completes built-in names of some kinds, with files as well.
func CompleteNames(kinds ...scenarios.Kind) cobra.CompletionFunc {
	return func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
		var names []string
		for _, kind := range kinds {
			names = append(names, scenarios.Names(kind)...)
		}
		return names, cobra.ShellCompDirectiveDefault
	}
}

// CompleteFiles completes files with one of some endings.
func CompleteFiles(endings ...string) cobra.CompletionFunc {
	return func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
		return endings, cobra.ShellCompDirectiveFilterFileExt
	}
}

// FirstOnly completes the first word and none after it.
func FirstOnly(f cobra.CompletionFunc) cobra.CompletionFunc {
	return func(c *cobra.Command, args []string, word string) ([]cobra.Completion, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return f(c, args, word)
	}
}

// CompleteSettings completes the keys of --set for the sequence that is in question.
func CompleteSettings(c *cobra.Command, args []string, word string) ([]cobra.Completion, cobra.ShellCompDirective) {
	if strings.Contains(word, "=") {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	d := SequenceInQuestion(c, args)
	if d == nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	keys := sim.Settings(d)
	for i := range keys {
		keys[i] += "="
	}
	return keys, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}

// SequenceInQuestion is the sequence of the command line so far: the flag's, the
// scenario's, or the reference.
func SequenceInQuestion(c *cobra.Command, args []string) *sequence.Description {
	if name, err := c.Flags().GetString("sequence"); err == nil && name != "" {
		if logic, _, err := scenarios.LoadLogic(name, reachOf(c)); err == nil {
			return logic.About()
		}
	}
	if len(args) > 0 {
		if ready, _, err := scenarios.LoadCase(args[0], scenarios.Overrides{Reach: reachOf(c)}); err == nil {
			return ready.Sequence
		}
	}
	return Reference()
}

// Reference is what the built-in reference sequence tells of itself.
func Reference() *sequence.Description {
	logic, _, err := scenarios.LoadLogic("reference", scenarios.Below)
	if err != nil {
		return nil
	}
	return logic.About()
}
