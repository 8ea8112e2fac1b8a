package main

import (
	"bufio"
	"context"
	"io"
	"os"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
	"golang.org/x/term"
)

// app is what every command has to work with: the streams and what they can show.
type app struct {
	stdin          io.Reader
	stdout, stderr io.Writer
	env            func(string) string
}

// run is the whole program but for signals and the process itself.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer, env func(string) string) int {
	a := &app{stdin: stdin, stdout: stdout, stderr: stderr, env: env}
	root := a.root()
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	return finish(root.ExecuteContext(ctx), stderr)
}

// printed hands a buffered standard output to f and reports what could not be written.
func (a *app) printed(f func(w io.Writer) error) error {
	out := bufio.NewWriter(a.stdout)
	err := f(out)
	if flushErr := out.Flush(); flushErr != nil {
		return cannotPrint(flushErr)
	}
	return err
}

// The widths between which human output is laid out.
const (
	narrow = 80
	wide   = 120
	widest = 240
)

// screen is what the output looks like.
type screen struct {
	width int
	ascii bool
	style styles
}

// screen finds out what standard output can show. A pipe gets the narrow layout, so
// that what is written does not depend on who looks.
func (a *app) screen(ascii bool) *screen { return a.screenUpTo(ascii, wide) }

// screenUpTo is screen for what can use more columns than a timeline.
func (a *app) screenUpTo(ascii bool, most int) *screen {
	s := &screen{width: narrow, ascii: ascii || a.dumb()}
	if fd, ok := terminalOf(a.stdout); ok {
		if w, _, err := term.GetSize(fd); err == nil {
			s.width = min(max(w, narrow), most)
		}
	}
	s.style = newStyles(a.stdout, a.profile())
	return s
}

func (a *app) dumb() bool { return a.env("TERM") == "dumb" }

// profile is the colours of standard output: none unless it is a terminal that has
// some and nobody has said no (https://no-color.org).
func (a *app) profile() termenv.Profile {
	_, isTerminal := terminalOf(a.stdout)
	switch {
	case !isTerminal, a.dumb(), a.env("NO_COLOR") != "":
		return termenv.Ascii
	case a.env("COLORTERM") == "truecolor", a.env("COLORTERM") == "24bit":
		return termenv.TrueColor
	}
	return termenv.ANSI256
}

// terminalOf tells whether a stream is a terminal, and gives its descriptor.
func terminalOf(stream any) (int, bool) {
	f, ok := stream.(*os.File)
	if !ok {
		return 0, false
	}
	fd := int(f.Fd())
	return fd, term.IsTerminal(fd)
}

// styles are the few looks that the output has. Each stands beside a word or a sign
// that says the same.
type styles struct {
	strong, faint       lipgloss.Style
	good, doubtful, bad lipgloss.Style
	sequence, plant     lipgloss.Style
}

// newStyles uses colours that people with any kind of colour vision tell apart
// (M. Okabe, K. Ito, Color Universal Design, 2008).
func newStyles(w io.Writer, profile termenv.Profile) styles {
	r := lipgloss.NewRenderer(w)
	r.SetColorProfile(profile)
	colour := func(hex string) lipgloss.Style { return r.NewStyle().Foreground(lipgloss.Color(hex)) }
	return styles{
		strong:   r.NewStyle().Bold(true),
		faint:    r.NewStyle().Faint(true),
		good:     colour("#009E73"),
		doubtful: colour("#E69F00"),
		bad:      colour("#D55E00").Bold(true),
		sequence: colour("#E69F00"),
		plant:    colour("#0072B2"),
	}
}
