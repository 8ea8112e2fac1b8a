package main

import (
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"

	"holdbench/cmd/holdbench/internal/command"
)

// A flag that names a file to be written is in the table by which no document that is read is written over.
func TestOutputFlagsAreKnown(t *testing.T) {
	writes := func(usage string) bool {
		return slices.ContainsFunc([]string{"write ", "draw ", "keep "}, func(verb string) bool { return strings.HasPrefix(usage, verb) })
	}
	seen := map[string]bool{}
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		c.Flags().VisitAll(func(f *pflag.Flag) {
			if name, usage := pflag.UnquoteUsage(f); strings.Contains(name, "FILE") && writes(usage) {
				seen[f.Name] = true
				assert.Contains(t, command.OutputFlags(), f.Name, c.CommandPath())
			}
		})
		for _, below := range c.Commands() {
			walk(below)
		}
	}
	walk(root(&command.App{}))
	for _, name := range command.OutputFlags() {
		assert.True(t, seen[name], "%s is of no command", name)
	}
}
