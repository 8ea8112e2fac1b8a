package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The way of a newcomer, from the file of a program to its probe, is that of the README: its commands run as
// they stand there, without an edit of the binding between them.
func TestNewcomersWay(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	program, err := os.ReadFile(filepath.Join("testdata", "newcomer", "hoist.st"))
	require.NoError(t, err)
	found := regexp.MustCompile("(?s)\n## Your own program\n.*?```console\n(.*?)```").FindSubmatch(readme)
	require.Len(t, found, 2)
	lines := strings.Split(strings.TrimSpace(string(found[1])), "\n")
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("hoist.st", program, 0o600))
	want := []struct {
		exit   int
		prints string
	}{
		{0, "wrote hoist.yaml; review it, then holdbench vet hoist.yaml"},
		{0, "1 document: 0 errors, "},
		{0, "class       sound-pass"},
		{2, "unusable, by cause"}, // scenarios of states that it has not
		{1, "cells to review"},
	}
	require.Len(t, lines, len(want))
	for i, line := range lines {
		command, _, _ := strings.Cut(strings.TrimPrefix(line, "$ holdbench "), "#")
		arguments := strings.Fields(command)
		if arguments[0] == "probe" { // all of it takes half a minute
			arguments = append(arguments, "--fault", "ask-held", "--state", "press_down")
		}
		o := invoke(t.Context(), arguments...)
		assert.Equal(t, want[i].exit, o.Code, "%s\n%s%s", line, o.Stdout, o.Stderr)
		assert.Contains(t, o.Stdout, want[i].prints, line)
	}
}
