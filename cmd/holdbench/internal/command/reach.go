package command

import (
	"github.com/spf13/cobra"

	"holdbench/scenarios"
)

// allowOutside is the flag that lets documents lead anywhere.
const allowOutside = "allow-outside"

// AddReach adds the flag that lets documents lead out of their folder, see [scenarios.Reach], to a command that
// reads documents.
func (a *App) AddReach(c *cobra.Command) {
	c.Flags().BoolVar((*bool)(&a.Reach), allowOutside, false, "documents may name files outside their folder")
}

// reachOf is the reach that a command line asks for.
func reachOf(c *cobra.Command) scenarios.Reach {
	given, err := c.Flags().GetBool(allowOutside)
	return scenarios.Reach(err == nil && given)
}
