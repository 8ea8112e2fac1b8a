package main

import (
	"os"
	"path/filepath"
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
	require.Len(t, printedBlock.FindAllString(string(text), -1), 4)
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

// lessonBlock is a block of the lesson of the README: commands that build on each other, in one folder. A long output
// is shown from the first line that begins with one text to the line ahead of that which begins with another:
//
//	<!-- lesson: ARGUMENTS -->
//	<!-- lesson from "TEXT" to "TEXT": ARGUMENTS -->
var lessonBlock = regexp.MustCompile("(?s)<!-- lesson( from \"([^\"\n]*)\" to \"([^\"\n]*)\")?: ([^\n]*) -->\n```console\n(.*?)```\n")

// TestLessonOfTheReadme goes from recordings to the record with the files of the program alone.
func TestLessonOfTheReadme(t *testing.T) {
	readme, err := filepath.Abs("../../README.md")
	require.NoError(t, err)
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	fresh := lessonBlock.ReplaceAllStringFunc(string(text), func(block string) string {
		part := lessonBlock.FindStringSubmatch(block)
		printed := output(t, part[4])
		if part[1] != "" {
			printed = shownPart(t, printed, part[2], part[3])
		}
		mark, _, _ := strings.Cut(block, "\n")
		return mark + "\n```console\n$ holdbench " + onLines(part[4]) + "\n" + printed + "```\n"
	})
	require.Len(t, lessonBlock.FindAllString(string(text), -1), 11)
	record, err := os.ReadFile("record.html")
	require.NoError(t, err)
	require.Contains(t, string(record), "good.csv")
	if clitest.Updating() {
		require.NoError(t, os.WriteFile(readme, []byte(fresh), 0o644))
		return
	}
	require.Equal(t, string(text), fresh)
}

// shownPart is a part of an output, with an ellipsis where something is left out.
func shownPart(t *testing.T, text, from, to string) string {
	t.Helper()
	start := strings.Index("\n"+text, "\n"+from)
	require.GreaterOrEqual(t, start, 0, from)
	length := strings.Index(text[start:], "\n"+to)
	require.Positive(t, length, to)
	part := strings.TrimRight(text[start:start+length], "\n") + "\n…\n"
	if start > 0 {
		part = "…\n" + part
	}
	return part
}

// onLines breaks a long command ahead of its flags.
func onLines(arguments string) string {
	const widest = 100
	lines := []string{""}
	for _, word := range strings.Split(arguments, " --") {
		last := len(lines) - 1
		switch {
		case lines[last] == "":
			lines[last] = word
		case len(lines[last])+len(word) > widest:
			lines = append(lines, "    --"+word)
		default:
			lines[last] += " --" + word
		}
	}
	return strings.Join(lines, " \\\n")
}
