package command

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/controller"
	"holdbench/scenarios"
	"holdbench/sim/remote"
)

// AttachFlags let a controller connect to the bench.
type AttachFlags struct {
	to       string
	realTime RealTimeFlags
}

// Add adds the flags to a command that has those of [OutsideFlags].
func (f *AttachFlags) Add(c *cobra.Command) {
	c.Flags().StringVar(&f.to, "attach", "", "controller on `tcp:ADDRESS`, modbus:ADDRESS")
	f.realTime.Add(c)
	Complete(c, "attach", cobra.FixedCompletions([]string{"tcp:127.0.0.1:4000", "modbus:127.0.0.1:1502"}, cobra.ShellCompDirectiveNoFileComp))
}

// Attached is a controller that takes part, from a program or a connection.
type Attached struct {
	End      func()        // must be called; a second call does nothing
	Waiting  string        // what a run waits for, empty for nothing
	RealTime func() string // how punctual a run in real time is; nil without one
	Report   func() string // the same once all is over; nil without one
}

// Open puts what the flags name into the overrides.
func (f *AttachFlags) Open(a *App, c *cobra.Command, outside *OutsideFlags, most int, o *scenarios.Overrides) (*Attached, error) {
	kind, address, _ := strings.Cut(f.to, ":")
	switch {
	case !c.Flags().Changed("attach"):
		if err := f.realTime.RefuseWithout(c, "--attach modbus:ADDRESS"); err != nil {
			return nil, err
		}
		end, err := outside.Open(a, c, most, nil, o)
		return &Attached{End: end}, err
	case c.Flags().Changed("controller"):
		return nil, WrongUse(c, "--attach and --controller both take the place of the sequence; must be one of them")
	case kind != "tcp" && kind != "modbus":
		return nil, WrongUse(c, "--attach is %q; must be tcp:ADDRESS or modbus:ADDRESS, such as modbus:127.0.0.1:1502", f.to)
	}
	if err := a.MayListen(c, "--attach", address, false); err != nil {
		return nil, err
	}
	if kind == "tcp" {
		return f.overTCP(a, c, address, outside, o)
	}
	return f.overModbus(a, c, address, o)
}

func (f *AttachFlags) overTCP(a *App, c *cobra.Command, address string, outside *OutsideFlags, o *scenarios.Overrides) (*Attached, error) {
	limits, err := outside.Limits(c)
	if err != nil {
		return nil, err
	}
	if err := f.realTime.RefuseWithout(c, "--attach modbus:ADDRESS"); err != nil {
		return nil, err
	}
	listener, err := controller.Listen(c.Context(), address, limits, func(at string) {
		_, _ = fmt.Fprintf(a.Stderr, "waiting for a controller on %s\n", at)
	})
	if err != nil {
		return nil, WrongUse(c, "--attach %s: %w", f.to, err)
	}
	end := a.Outside(remote.Options{Connect: listener.Connect, Most: 1, AnswerWithin: limits.Answer, Source: "listen", LetGo: a.LetGo}, "--attach "+f.to, o)
	return &Attached{End: func() {
		_ = listener.Close() // ahead of what waits for a connection
		end()
	}}, nil
}

// LetGo says that a connection has ended ahead of a valid answer, and is true if the next one may come:
// whatever finds the port does not end the runs. One that was to answer and is late does.
func (a *App) LetGo(why error) bool {
	if controller.IsLate(why) {
		return false
	}
	_, _ = fmt.Fprintf(a.Stderr, "a connection has ended ahead of a valid answer: %v\n", why)
	return true
}

func (f *AttachFlags) overModbus(a *App, c *cobra.Command, address string, o *scenarios.Overrides) (*Attached, error) {
	bus, err := a.Modbus(c, "--attach", address, &f.realTime, func() {}, o)
	if err != nil {
		return nil, err
	}
	return &Attached{
		End: func() { _ = bus.Close() }, Waiting: "waits for the first command over Modbus on " + address + "; q leaves",
		RealTime: func() string {
			t := bus.Measured()
			return fmt.Sprintf("late ≤%.1f ms, %d overruns", float64(t.Within99.Microseconds())/1000, t.Overruns)
		},
		Report: func() string { return bus.Measured().String() + "\n" + bus.Seen().String() },
	}, nil
}
