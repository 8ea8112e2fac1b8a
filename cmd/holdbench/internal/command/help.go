package command

import (
	"strings"

	"github.com/spf13/cobra"

	"holdbench/sequence"
)

// helpCommand explains commands and topics, for people who try help before --help.
func helpCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND or TOPIC]",
		Short: "Explain a command or a topic",
		Example: `  holdbench help run
  holdbench help classes`,
		ValidArgsFunction: FirstOnly(func(c *cobra.Command, _ []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
			return explained(c.Root()), cobra.ShellCompDirectiveNoFileComp
		}),
		RunE: func(c *cobra.Command, args []string) error {
			about, rest, err := c.Root().Find(args)
			if err != nil || len(rest) > 0 {
				word := strings.Join(args, " ")
				return WrongUse(c.Root(), "there is no command or topic %q; %s", word, sequence.Suggest(word, explained(c.Root())))
			}
			about.InitDefaultHelpFlag()
			return about.Help()
		},
	}
}

// explained are the names of all commands and topics.
func explained(root *cobra.Command) []string {
	var names []string
	for _, c := range root.Commands() {
		if c.IsAvailableCommand() || c.IsAdditionalHelpTopicCommand() {
			names = append(names, c.Name())
		}
	}
	return names
}
