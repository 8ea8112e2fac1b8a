// Command holdbench runs brake tests on simulated axes and holds what the controller
// says against what the plant knows.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"

	"holdbench/cmd/holdbench/terminal/unasked"
)

func main() {
	unasked.Over()
	os.Exit(withSignals())
}

// withSignals lets the first interrupt end the work in order and a second one end
// the process.
func withSignals() int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	context.AfterFunc(ctx, stop)
	// Who reads our output may go before its end: a write then fails, instead of the process
	// being killed with half a file left beside its place.
	signal.Notify(make(chan os.Signal, 1), syscall.SIGPIPE)
	return run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr, os.Getenv)
}
