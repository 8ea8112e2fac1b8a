package command

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/controller"
	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim/fieldbus"
)

// RealTimeFlags are those of a controller that takes part in real time.
type RealTimeFlags struct {
	pace   float64
	silent time.Duration
}

// Bounds of the flags.
const (
	slowest         = 0.001
	shortestSilence = 10 * time.Millisecond
	longestSilence  = time.Hour
)

// Add adds the flags to a command.
func (f *RealTimeFlags) Add(c *cobra.Command) {
	c.Flags().Float64Var(&f.pace, "pace", 1, "`RATIO` to real time, 1 or slower")
	c.Flags().DurationVar(&f.silent, "silent-after", 500*time.Millisecond, "stop it after `TIME` of silence")
	Bound(c, "pace", slowest, 1)
	BoundTime(c, "silent-after", shortestSilence, longestSilence)
	Complete(c, "pace", cobra.NoFileCompletions)
	Complete(c, "silent-after", cobra.NoFileCompletions)
}

// RefuseWithout refuses the flags where nothing takes part in real time.
func (f *RealTimeFlags) RefuseWithout(c *cobra.Command, what string) error {
	for _, name := range []string{"pace", "silent-after"} {
		if c.Flags().Changed(name) {
			return WrongUse(c, "--%s is for a controller in real time; must be with %s", name, what)
		}
	}
	return nil
}

// Modbus serves a controller over Modbus and puts it into the overrides. Waiting is called when a run
// waits for it. The server must be closed.
func (a *App) Modbus(c *cobra.Command, flag, address string, f *RealTimeFlags, waiting func(), o *scenarios.Overrides) (*controller.Modbus, error) {
	station := &fieldbus.Station{}
	bus, err := controller.ListenModbus(c.Context(), address, station, f.pace, f.silent, waiting)
	if err != nil {
		return nil, WrongUse(c, "%s %s: %w", flag, address, err)
	}
	a.tellPlace(flag+" "+address, o)
	o.Outside = func(base sequence.Logic, _ *plant.Rig) (sequence.Logic, bool, error) {
		return fieldbus.New(base, station, bus, "modbus"), false, nil
	}
	return bus, nil
}

// MayListen refuses an address that other machines can reach, unless that is wanted; then it warns.
func (a *App) MayListen(c *cobra.Command, flag, address string, fromNetwork bool) error {
	loopback, err := controller.IsLoopback(address)
	switch {
	case err != nil:
		return WrongUse(c, "%s %w", flag, err)
	case !loopback && !fromNetwork:
		return WrongUse(c, "%s is %s, which other machines can reach; must be of this machine such as 127.0.0.1:4000, or with --from-network", flag, address)
	case !loopback:
		_, _ = fmt.Fprintf(a.Stderr, "warning: whoever reaches %s can take part in the runs; there is no password, and nothing is encrypted\n", address)
	}
	return nil
}
