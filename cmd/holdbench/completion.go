package main

import (
	"strings"

	"github.com/spf13/cobra"

	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
)

func (a *app) completionCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "completion SHELL",
		Short: "Print what a shell needs to complete commands and names",
		Long: prose(`Prints a script for bash, zsh, fish or powershell. Load it in the start-up file of
the shell.`),
		Example: `  source <(holdbench completion bash)
  holdbench completion zsh > "${fpath[1]}/_holdbench"
  holdbench completion fish | source
  holdbench completion powershell | Out-String | Invoke-Expression`,
		Args:              oneArgument("SHELL"),
		ValidArgsFunction: firstOnly(cobra.FixedCompletions(shells(), cobra.ShellCompDirectiveNoFileComp)),
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		root := c.Root()
		switch args[0] {
		case "bash":
			return root.GenBashCompletionV2(a.stdout, true)
		case "zsh":
			return root.GenZshCompletion(a.stdout)
		case "fish":
			return root.GenFishCompletion(a.stdout, true)
		case "powershell":
			return root.GenPowerShellCompletionWithDesc(a.stdout)
		}
		return usage(c, "there is no shell %q here; %s", args[0], sequence.Suggest(args[0], shells()))
	}
	return c
}

func shells() []string { return []string{"bash", "zsh", "fish", "powershell"} }

// complete ties a flag to what completes it. It can only fail for a flag that does
// not exist or is tied already.
func complete(c *cobra.Command, flag string, f cobra.CompletionFunc) {
	if err := c.RegisterFlagCompletionFunc(flag, f); err != nil {
		panic(err)
	}
}

// completeNames completes built-in names of some kinds, with files as well.
func completeNames(kinds ...scenarios.Kind) cobra.CompletionFunc {
	return func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
		var names []string
		for _, kind := range kinds {
			names = append(names, scenarios.Names(kind)...)
		}
		return names, cobra.ShellCompDirectiveDefault
	}
}

// completePaths completes what check takes: scenarios, groups and files.
func completePaths(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
	return append(groups(), scenarios.Names(scenarios.ScenarioKind)...), cobra.ShellCompDirectiveDefault
}

// groups lists the groups of built-in scenarios.
func groups() []string {
	var list []string
	for _, e := range scenarios.Builtin(scenarios.ScenarioKind) {
		if len(list) == 0 || list[len(list)-1] != e.Group {
			list = append(list, e.Group)
		}
	}
	return list
}

func completeFiles(endings ...string) cobra.CompletionFunc {
	return func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
		return endings, cobra.ShellCompDirectiveFilterFileExt
	}
}

// firstOnly completes the first word and none after it.
func firstOnly(f cobra.CompletionFunc) cobra.CompletionFunc {
	return func(c *cobra.Command, args []string, word string) ([]cobra.Completion, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return f(c, args, word)
	}
}

// completeSettings completes the keys of --set for the sequence that is in question.
func completeSettings(c *cobra.Command, args []string, word string) ([]cobra.Completion, cobra.ShellCompDirective) {
	if strings.Contains(word, "=") {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	d := documentInQuestion(c, args)
	if d == nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	keys := sim.Settings(d)
	for i := range keys {
		keys[i] += "="
	}
	return keys, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}

// documentInQuestion is the sequence of the command line so far: the flag's, the
// scenario's, or the reference.
func documentInQuestion(c *cobra.Command, args []string) *sequence.Document {
	if name, err := c.Flags().GetString("sequence"); err == nil && name != "" {
		if d, _, err := scenarios.LoadSequence(name); err == nil {
			return d
		}
	}
	if len(args) > 0 {
		if ready, _, err := scenarios.LoadCase(args[0], scenarios.Overrides{}); err == nil {
			d := ready.Program.Document()
			return &d
		}
	}
	return referenceDocument()
}

// referenceDocument is the built-in reference sequence.
func referenceDocument() *sequence.Document {
	d, _, err := scenarios.LoadSequence("reference")
	if err != nil {
		return nil
	}
	return d
}
