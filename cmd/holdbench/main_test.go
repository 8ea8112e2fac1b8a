package main

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
)

func TestMain(m *testing.M) { clitest.Main(m, main) }

func TestScripts(t *testing.T) { clitest.Scripts(t) }

func invoke(ctx context.Context, args ...string) clitest.Outcome {
	return clitest.Program(root).Invoke(ctx, args...)
}

// The examples of the program's own help, without a terminal.
func TestExamples(t *testing.T) {
	clitest.Program(root).Examples(t, "", []clitest.Example{
		{Line: "holdbench --scenario oil-on-the-lining", Prints: []string{`^oil-on-the-lining$`, `^✓ as expected$`}, Says: "^standard output is no terminal"},
		{Line: "holdbench list scenarios", Prints: []string{`^  lining-worn-thin `}},
		{Line: "holdbench run lining-worn-thin", Prints: []string{`^✓ as expected$`}},
		{Line: "holdbench check", Short: "healthy", Prints: []string{`^[1-9][0-9]* scenarios: [1-9][0-9]* as expected$`}},
	})
}

func TestPageIsKept(t *testing.T) { clitest.Program(root).Pages(t, "--help") }

// Every command has examples in its help, which the test of its package runs.
func TestEveryCommandHasExamples(t *testing.T) {
	for _, c := range root(&command.App{}).Commands() {
		assert.True(t, c.Example != "" || c.IsAdditionalHelpTopicCommand(), c.Name())
	}
}

// The help of every command ends in its usage and its flags, whatever was done to its template.
func TestEveryHelpHasFlags(t *testing.T) {
	for _, c := range root(&command.App{}).Commands() {
		if c.IsAdditionalHelpTopicCommand() || !c.IsAvailableCommand() {
			continue
		}
		assert.Regexp(t, `(?s)Usage:.*Flags:.*--help`, invoke(t.Context(), c.Name(), "--help").Stdout, c.Name())
	}
}
