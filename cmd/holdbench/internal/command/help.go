package command

import (
	"strings"

	"github.com/spf13/cobra"
)

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
