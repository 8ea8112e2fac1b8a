package main

import (
	"bytes"
	"context"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"

	"holdbench/cmd/holdbench/internal/command"
)

// Every numeric flag of every command has both bounds, and says them.
func TestNumericFlagsHaveBounds(t *testing.T) {
	t.Parallel()
	wrong := map[string][]string{
		"int":           {"-99999999999999999999", "99999999999999999999", "-2000000000", "2000000000", "NaN", "1e3", ""},
		"uint64":        {"-1", "99999999999999999999", "NaN", ""},
		"float64":       {"-1e308", "1e308", "1e999", "NaN", "Inf", "-Inf", ""},
		"duration":      {"-2540400h", "2540400h", "99999999999h", "NaN", "Inf", "5", ""},
		"float64Slice":  {"-1e308", "1,1e308", "NaN", "Inf", ""},
		"durationSlice": {"-2540400h", "1s,2540400h", "NaN", ""},
	}
	both := regexp.MustCompile(`must be [^;]*from \S+ to \S+`)
	tried := 0
	for _, c := range allCommands(root(&command.App{})) {
		c.LocalFlags().VisitAll(func(f *pflag.Flag) {
			list, numeric := wrong[f.Value.Type()]
			assert.True(t, numeric || !strings.ContainsAny(f.Value.Type(), "0123456789") && !strings.HasPrefix(f.Value.Type(), "int"),
				"%s --%s is of type %s: has it bounds?", c.CommandPath(), f.Name, f.Value.Type())
			for _, value := range list {
				args := slices.Concat(strings.Fields(c.CommandPath())[1:], []string{"--" + f.Name + "=" + value})
				code, said := saidOf(args)
				assert.Equal(t, command.ExitWrong, code, args)
				assert.Contains(t, said, "--"+f.Name+" ", args)
				assert.Regexp(t, both, said, args)
				tried++
			}
		})
	}
	assert.Greater(t, tried, 200)
}

// saidOf runs a command and gives its exit code and what it wrote to standard error.
func saidOf(args []string) (int, string) {
	var out, err bytes.Buffer
	a := &command.App{Stdin: strings.NewReader(""), Stdout: &out, Stderr: &err, Env: func(string) string { return "" }}
	return a.Execute(context.Background(), root(a), args), err.String()
}

func allCommands(c *cobra.Command) []*cobra.Command {
	list := []*cobra.Command{c}
	for _, below := range c.Commands() {
		list = append(list, allCommands(below)...)
	}
	return list
}
