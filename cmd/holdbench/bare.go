package main

import (
	"fmt"

	"github.com/spf13/cobra"
)

// demo is the scenario that the program shows when nobody asks for another.
const demo = "healthy-down-and-up"

// bare is the program without a command. The terminal bench will open here if
// standard output is a terminal; the demonstration stays for pipes.
func (a *app) bare(c *cobra.Command, _ []string) error {
	if err := a.runScenario(c, demo, &runFlags{}); err != nil {
		return err
	}
	if _, ok := terminal(a.stdout); ok {
		_, _ = fmt.Fprintln(a.stderr, "more: holdbench list scenarios, then holdbench run NAME; holdbench --help")
	}
	return nil
}
