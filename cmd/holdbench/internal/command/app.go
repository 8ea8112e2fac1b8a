// Package command has what all commands share: streams and screen, flags, checks of arguments,
// completion, the loading of cases, errors and exit codes.
package command

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"os"
	"strings"

	"github.com/muesli/termenv"
	"github.com/spf13/cobra"
	"github.com/xo/terminfo"
	"golang.org/x/term"

	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
)

// App is the environment of a command: the streams and what they can show.
type App struct {
	Stdin          io.Reader
	Stdout, Stderr io.Writer
	Env            func(string) string
	Reach          scenarios.Reach // of the documents of the command that is executed

	writes []written // by the command that is executed
}

// Execute runs what the arguments ask of a program and gives its exit code. It is the whole
// program but for signals and the process itself.
func (a *App) Execute(ctx context.Context, root *cobra.Command, args []string) int {
	prepare(root)
	root.PersistentPreRunE = a.noteOutputs
	root.SetArgs(args)
	// The library that prints help says nothing of an output that fails: it prints into memory.
	var help bytes.Buffer
	root.SetIn(a.Stdin)
	root.SetOut(&help)
	root.SetErr(a.Stderr)
	err := root.ExecuteContext(ctx)
	if _, failed := help.WriteTo(a.Stdout); err == nil && failed != nil {
		err = files.CannotPrint(failed)
	}
	return finish(err, a.Stderr)
}

// prepare gives a program what all commands have in common.
func prepare(root *cobra.Command) {
	root.SilenceUsage, root.SilenceErrors = true, true
	root.SetFlagErrorFunc(flagError)
	root.CompletionOptions.DisableDefaultCmd = true
	onceEach(root)
	root.SetHelpCommand(helpCommand())
}

// Progress shows on a terminal how far something has come, elsewhere nothing.
func (a *App) Progress(doing string, earlier int) *files.Progress {
	if _, ok := TerminalOf(a.Stderr); !ok || a.Dumb() {
		return nil
	}
	return files.NewProgress(a.Stderr, doing, earlier)
}

// Printed hands a buffered standard output to f and reports what could not be written.
func (a *App) Printed(f func(w io.Writer) error) error {
	out := bufio.NewWriter(a.Stdout)
	err := f(out)
	if flushErr := out.Flush(); flushErr != nil {
		return files.CannotPrint(flushErr)
	}
	return err
}

// Screen finds out what standard output can show. A pipe gets the narrow layout, so
// that the output does not depend on the reader.
func (a *App) Screen(ascii bool) *page.Screen { return a.ScreenUpTo(ascii, page.Wide) }

// ScreenUpTo is screen for what can use more columns than a timeline.
func (a *App) ScreenUpTo(ascii bool, most int) *page.Screen {
	s := &page.Screen{Width: page.Narrow, ASCII: ascii || a.Dumb()}
	if fd, ok := TerminalOf(a.Stdout); ok {
		if w, _, err := term.GetSize(fd); err == nil {
			s.Width = min(max(w, page.Narrow), most)
		}
	}
	s.Style = page.NewStyles(a.Stdout, a.Profile())
	return s
}

// Dumb is whether the terminal shows characters only (TERM=dumb).
func (a *App) Dumb() bool { return a.Env("TERM") == "dumb" }

// Profile is the colours of standard output for the library that writes escapes.
func (a *App) Profile() termenv.Profile {
	const palette = 256
	switch n := a.Colours(); {
	case n == 0:
		return termenv.Ascii
	case n < palette:
		return termenv.ANSI
	case n == palette:
		return termenv.ANSI256
	}
	return termenv.TrueColor
}

// Colours is how many colours standard output has: none unless it is a terminal that has some, and NO_COLOR
// is not set (https://no-color.org). COLORTERM comes first, then the name of the terminal, then its entry in
// the data base of terminals (terminfo, X/Open Curses). A terminal that has none of these is taken for one
// of 256.
func (a *App) Colours() int {
	const few, palette, all = 16, 256, 1 << 24
	_, isTerminal := TerminalOf(a.Stdout)
	name := a.Env("TERM")
	switch {
	case !isTerminal, a.Dumb(), a.Env("NO_COLOR") != "":
		return 0
	case a.Env("COLORTERM") == "truecolor", a.Env("COLORTERM") == "24bit":
		return all
	case strings.Contains(name, "256color"):
		return palette
	case strings.Contains(name, "16color"):
		return few
	}
	about, err := terminfo.Load(name)
	if err != nil {
		return palette
	}
	if n, ok := about.Nums[terminfo.MaxColors]; ok {
		return max(0, n)
	}
	return 0
}

// TerminalOf is whether a stream is a terminal, with its descriptor.
func TerminalOf(stream any) (int, bool) {
	f, ok := stream.(*os.File)
	if !ok {
		return 0, false
	}
	fd := int(f.Fd())
	return fd, term.IsTerminal(fd)
}
