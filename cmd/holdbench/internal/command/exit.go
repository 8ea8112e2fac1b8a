package command

import (
	"context"
	"errors"
	"fmt"
	"io"
	"syscall"

	"holdbench/cmd/holdbench/internal/page"
)

// The exit codes, the same for every command.
const (
	ExitOK          = 0
	ExitBroken      = 1
	ExitWrong       = 2
	ExitInterrupted = 3
)

// ExitCode is an exit code and its meaning.
type ExitCode struct {
	Code    int
	Meaning string
}

// ExitCodes lists the exit codes.
func ExitCodes() []ExitCode {
	return []ExitCode{
		{ExitOK, "as expected"},
		{ExitBroken, "not as expected: an expectation is not met or an obligation is broken; of diff: something differs"},
		{ExitWrong, "wrong use, a document that cannot be used, or output that cannot be written"},
		{ExitInterrupted, "interrupted; what was complete is written"},
	}
}

// Exit is an error that is only an exit code: everything was reported.
type Exit int

func (e Exit) Error() string { return fmt.Sprintf("exit code %d", int(e)) }

// misuse is an error of the command line itself, worth pointing at the help.
type misuse struct {
	command string
	err     error
}

func (w *misuse) Error() string { return w.err.Error() }

func (w *misuse) Unwrap() error { return w.err }

// finish reports an error and turns it into an exit code.
func finish(err error, stderr io.Writer) int {
	var code Exit
	switch {
	case err == nil:
		return ExitOK
	case errors.As(err, &code):
		return int(code)
	case errors.Is(err, syscall.EPIPE):
		return ExitInterrupted // the reader closed it
	}
	// A standard error that cannot be written to has no remedy.
	_, _ = fmt.Fprintln(stderr, "holdbench: "+page.Clean(err.Error()))
	var use *misuse
	switch {
	case errors.As(err, &use):
		_, _ = fmt.Fprintf(stderr, "see %s --help\n", use.command)
	case errors.Is(err, context.Canceled):
		return ExitInterrupted
	}
	return ExitWrong
}

// interruption is a cancelled piece of work in words.
type interruption string

func (i interruption) Error() string { return string(i) }

// Unwrap makes it a cancellation.
func (i interruption) Unwrap() error { return context.Canceled }

// Interrupted is a cancelled piece of work in words.
func Interrupted(format string, values ...any) error {
	return interruption(fmt.Sprintf(format, values...))
}
