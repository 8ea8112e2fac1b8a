package command

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"
	"time"

	"github.com/spf13/cobra"
)

// blockedFor is how long a process does nothing after an interrupt until it counts as blocked.
const blockedFor = 2 * time.Second

// endBlocked ends an interrupted process that waits for what does not come: a reader of the pipe that it writes
// to, or a writer that opens it. A process that works goes on, so that what was complete is written; a second
// interrupt ends it.
func endBlocked() {
	const every = 100 * time.Millisecond
	if !blocked(processorTime, func() { time.Sleep(every) }, every) {
		return
	}
	_, _ = fmt.Fprintln(os.Stderr, "holdbench: interrupted while it waited for a pipe or a device")
	os.Exit(ExitInterrupted)
}

// blocked waits until a process has done nothing for some time. It is false where that is not known: a process
// that works is not to be taken for one that is blocked.
func blocked(processorTime func() (time.Duration, bool), wait func(), every time.Duration) bool {
	used, known := processorTime()
	for idle := time.Duration(0); known && idle < blockedFor; {
		wait()
		var now time.Duration
		now, known = processorTime()
		if idle += every; now-used > every/20 {
			used, idle = now, 0
		}
	}
	return known
}

// RunProcess runs the program of a process, lets the first interrupt end its work in order
// and a second one end the process.
func RunProcess(program func(*App) *cobra.Command) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGQUIT)
	defer stop()
	context.AfterFunc(ctx, func() {
		stop()
		endBlocked()
	})
	// Who reads our output may go before its end: a write then fails, instead of the process
	// being killed with half a file left beside its place.
	signal.Notify(make(chan os.Signal, 1), syscall.SIGPIPE)
	a := &App{Stdin: os.Stdin, Stdout: os.Stdout, Stderr: os.Stderr, Env: os.Getenv}
	return a.Execute(ctx, program(a), os.Args[1:])
}
