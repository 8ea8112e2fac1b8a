package main

import (
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/attachcmd"
	"holdbench/cmd/holdbench/checkcmd"
	"holdbench/cmd/holdbench/completioncmd"
	"holdbench/cmd/holdbench/diffcmd"
	"holdbench/cmd/holdbench/evaluatecmd"
	"holdbench/cmd/holdbench/exportcmd"
	"holdbench/cmd/holdbench/helpcmd"
	"holdbench/cmd/holdbench/identifycmd"
	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/cmd/holdbench/lifecmd"
	"holdbench/cmd/holdbench/newcmd"
	"holdbench/cmd/holdbench/probecmd"
	"holdbench/cmd/holdbench/recordcmd"
	"holdbench/cmd/holdbench/reportcmd"
	"holdbench/cmd/holdbench/riddlescmd"
	"holdbench/cmd/holdbench/runcmd"
	"holdbench/cmd/holdbench/schemacmd"
	"holdbench/cmd/holdbench/scorecmd"
	"holdbench/cmd/holdbench/showcmd"
	"holdbench/cmd/holdbench/sizecmd"
	"holdbench/cmd/holdbench/sweepcmd"
	"holdbench/cmd/holdbench/trendcmd"
)

func root(a *command.App) *cobra.Command {
	f := &bareFlags{}
	c := &cobra.Command{
		Use:   "holdbench",
		Short: "Test the brake test of a gravity-loaded axis by simulation",
		Long: page.Prose(`holdbench runs the functional side of a brake test on a simulated axis with a gravity load, a holding brake
and a model of the safety side, and compares the result of the sequence with the true state of the plant.`,
			"Without a command it opens the bench on a terminal: follow a run, inject faults, go back in time, compare, learn. Without a terminal it runs "+command.Demo+"."),
		Example: `  holdbench --scenario oil-on-the-lining
  holdbench list scenarios
  holdbench run lining-worn-thin
  holdbench check`,
		Version: command.Version(),
		Args:    command.NoArguments,
		RunE:    func(c *cobra.Command, _ []string) error { return bare(a, c, f) },
	}
	c.SetVersionTemplate("holdbench {{.Version}}\n")
	c.SetHelpTemplate(c.HelpTemplate() + "{{if not .HasParent}}\n" + caution.Short + "{{end}}")
	c.SetUsageTemplate(strings.NewReplacer("Additional help topics:", "Topics, printed by holdbench help TOPIC:", "{{rpad .CommandPath .CommandPathPadding}}", "{{rpad .Name .NamePadding}}").Replace(c.UsageTemplate()))
	f.add(c)
	c.AddCommand(runcmd.New(a), diffcmd.New(a), checkcmd.New(a), attachcmd.New(a, runcmd.Attached), probecmd.New(a), sizecmd.New(a), sweepcmd.New(a), sweepcmd.NewMerge(a, probecmd.Merger(), lifecmd.Merger()), lifecmd.New(a), identifycmd.New(a), exportcmd.New(a), evaluatecmd.New(a), trendcmd.New(a), riddlescmd.New(a), scorecmd.New(a), reportcmd.New(a), recordcmd.New(a), newcmd.New(a), showcmd.NewList(a), showcmd.NewShow(a), showcmd.NewVet(a), schemacmd.New(a, outputs()), completioncmd.New(a))
	a.AddReach(c)
	c.AddCommand(helpcmd.Topics(a)...)
	return c
}
