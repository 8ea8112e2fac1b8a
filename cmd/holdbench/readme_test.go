package main

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
)

// printedBlock is a block of the README that a command printed:
//
//	<!-- output: ARGUMENTS -->
//	```console
//	$ holdbench ARGUMENTS
//	…
//	```
var printedBlock = regexp.MustCompile("(?s)<!-- output: ([^\n]*) -->\n```console\n(.*?)```\n")

// TestReadmeShowsWhatTheProgramPrints runs the command above each block, with the
// repository as the working folder.
func TestReadmeShowsWhatTheProgramPrints(t *testing.T) {
	t.Chdir("../..")
	text, err := os.ReadFile("README.md")
	require.NoError(t, err)
	fresh := printedBlock.ReplaceAllStringFunc(string(text), func(block string) string {
		arguments := printedBlock.FindStringSubmatch(block)[1]
		return "<!-- output: " + arguments + " -->\n```console\n$ holdbench " + arguments + "\n" + output(t, arguments) + "```\n"
	})
	require.Len(t, printedBlock.FindAllString(string(text), -1), 3)
	if clitest.Updating() {
		require.NoError(t, os.WriteFile("README.md", []byte(fresh), 0o644))
		return
	}
	require.Equal(t, string(text), fresh)
}

func output(t *testing.T, arguments string) string {
	t.Helper()
	o := invoke(t.Context(), strings.Fields(arguments)...)
	if o.Stdout != "" {
		return o.Stdout // what is said of the work besides, such as its time, differs
	}
	require.NotEmpty(t, o.Stderr)
	return o.Stderr
}
