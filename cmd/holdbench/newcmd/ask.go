package newcmd

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
)

// asker asks for values on a terminal. Without one each value is its default.
type asker struct {
	lines *bufio.Scanner // nil: nothing is asked
	out   io.Writer
}

// newAsker asks if a person can answer and no flag has.
func newAsker(a *command.App, given bool) *asker {
	_, in := command.TerminalOf(a.Stdin)
	_, out := command.TerminalOf(a.Stderr)
	if !in || !out || given {
		return &asker{}
	}
	return &asker{lines: bufio.NewScanner(a.Stdin), out: a.Stderr}
}

// ask asks until the answer passes the check; an empty one is the default.
func (k *asker) ask(ctx context.Context, what, preset string, check func(string) error) (string, error) {
	if k.lines == nil {
		return preset, nil
	}
	for {
		_, _ = fmt.Fprintf(k.out, "%s [%s]: ", page.CleanLine(what), page.CleanLine(preset))
		answer, err := k.line(ctx)
		if err != nil {
			return "", err
		}
		if answer == "" {
			answer = preset
		}
		err = check(answer)
		if err == nil {
			return answer, nil
		}
		_, _ = fmt.Fprintln(k.out, "  "+page.CleanLine(err.Error()))
	}
}

// line waits for a line, or for the interruption.
func (k *asker) line(ctx context.Context) (string, error) {
	read := make(chan bool, 1)
	go func() { read <- k.lines.Scan() }()
	select {
	case <-ctx.Done():
		return "", command.Interrupted("nothing was written")
	case ok := <-read:
		if !ok {
			return "", errors.New("the input ended before the last answer; nothing was written")
		}
		return strings.TrimSpace(k.lines.Text()), nil
	}
}
