package command

import (
	"context"
	"os"
	"os/signal"
	"syscall"

	"github.com/spf13/cobra"
)

// RunProcess runs the program of a process, lets the first interrupt end its work in order
// and a second one end the process.
func RunProcess(program func(*App) *cobra.Command) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	context.AfterFunc(ctx, stop)
	// Who reads our output may go before its end: a write then fails, instead of the process
	// being killed with half a file left beside its place.
	signal.Notify(make(chan os.Signal, 1), syscall.SIGPIPE)
	a := &App{Stdin: os.Stdin, Stdout: os.Stdout, Stderr: os.Stderr, Env: os.Getenv}
	return a.Execute(ctx, program(a), os.Args[1:])
}
