// Package completioncmd has the command completion: what a shell needs to complete words.
package completioncmd

import (
	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sequence"
)

// New is the command completion.
func New(*command.App) *cobra.Command {
	c := &cobra.Command{
		Use:   "completion SHELL",
		Short: "Print the completion script for a shell",
		Long: page.Prose(`Prints a script for bash, zsh, fish or powershell. Load it in the start-up file of
the shell.`),
		Example: `  source <(holdbench completion bash)
  holdbench completion zsh > "${fpath[1]}/_holdbench"
  holdbench completion fish | source
  holdbench completion powershell | Out-String | Invoke-Expression`,
		Args:              command.OneArgument("SHELL"),
		ValidArgsFunction: command.FirstOnly(cobra.FixedCompletions(shells(), cobra.ShellCompDirectiveNoFileComp)),
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		root := c.Root()
		switch args[0] {
		case "bash":
			return root.GenBashCompletionV2(c.OutOrStdout(), true)
		case "zsh":
			return root.GenZshCompletion(c.OutOrStdout())
		case "fish":
			return root.GenFishCompletion(c.OutOrStdout(), true)
		case "powershell":
			return root.GenPowerShellCompletionWithDesc(c.OutOrStdout())
		}
		return command.WrongUse(c, "there is no completion for shell %q; %s", args[0], sequence.Suggest(args[0], shells()))
	}
	return c
}

func shells() []string { return []string{"bash", "zsh", "fish", "powershell"} }
