package probecmd

import (
	"strings"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/sim/probe"
)

// commandParts are the words of a cell's command, ready for a shell.
func commandParts(r *command.Rerun, c *probe.Cell) []string {
	var parts []string
	for _, words := range r.Words {
		parts = append(parts, command.ShellLine(words))
	}
	for _, fault := range c.Route {
		parts = append(parts, command.ShellLine([]string{"--fault", fault}))
	}
	return append(parts, command.ShellLine([]string{"--fault", c.Spec}))
}

// commandLine is the command of a cell on one line.
func commandLine(r *command.Rerun, c *probe.Cell) string {
	return strings.Join(commandParts(r, c), " ")
}

// resumption is the command that goes on with a probe that was interrupted.
func (p *probing) resumption() string { return command.Resumption(p.command, p.words) }
