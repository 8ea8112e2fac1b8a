package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"syscall"
)

// The exit codes, the same for every command.
const (
	exitOK          = 0
	exitBroken      = 1 // an expectation or an obligation broken unexpectedly
	exitWrong       = 2 // wrong use, or a document that cannot be used
	exitInterrupted = 3 // interrupted; what was finished is written out
)

// exit is an error that only carries an exit code: all there is to say has been said.
type exit int

func (e exit) Error() string { return fmt.Sprintf("exit code %d", int(e)) }

// wrongUse is an error of the command line itself, worth pointing at the help.
type wrongUse struct {
	command string
	err     error
}

func (w *wrongUse) Error() string { return w.err.Error() }
func (w *wrongUse) Unwrap() error { return w.err }

// finish says what went wrong and turns it into an exit code.
func finish(err error, stderr io.Writer) int {
	var code exit
	switch {
	case err == nil:
		return exitOK
	case errors.As(err, &code):
		return int(code)
	case errors.Is(err, syscall.EPIPE):
		return exitInterrupted // whoever read it has had enough, and knows
	}
	// Nothing can be done about a stderr that takes no words.
	_, _ = fmt.Fprintln(stderr, "holdbench: "+clean(err.Error()))
	var use *wrongUse
	switch {
	case errors.As(err, &use):
		_, _ = fmt.Fprintf(stderr, "see %s --help\n", use.command)
	case errors.Is(err, context.Canceled):
		return exitInterrupted
	}
	return exitWrong
}

// interruption is a cancelled piece of work in words.
type interruption string

func (i interruption) Error() string { return string(i) }

// Unwrap tells finish what kind of error it is.
func (i interruption) Unwrap() error { return context.Canceled }

func interrupted(format string, values ...any) error {
	return interruption(fmt.Sprintf(format, values...))
}

// indent moves all lines but the first to the right, for messages of several lines.
func indent(text, by string) string { return strings.ReplaceAll(text, "\n", "\n"+by) }
