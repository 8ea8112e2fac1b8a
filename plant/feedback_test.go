package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// What each kind of feedback reports of a brake that was told to close and of one that was told
// to open: a switch senses the armature, a coil its current, a timer nothing. Which faults a
// feedback reveals follows from what it senses (common practice).
func TestFeedbackKinds(t *testing.T) {
	type signals struct{ switched, coil, timer bool }
	for _, c := range []struct {
		name         string
		change       func(b *Brake)
		closed, open signals // brake_closed long after the command
	}{
		{"sound", func(*Brake) {}, signals{true, true, true}, signals{false, false, false}},
		{"armature does not close", func(b *Brake) { b.ClosesTo = 0 }, signals{false, true, true}, signals{false, false, false}},
		{"armature does not open", func(b *Brake) { b.OpensTo = 1 }, signals{true, true, true}, signals{true, false, false}},
		{"output stuck on", func(b *Brake) { b.OutputStuckOn = true }, signals{false, false, true}, signals{false, false, false}},
		{"no voltage at the coil", func(b *Brake) { b.CoilVoltage = 0 }, signals{true, true, true}, signals{true, true, false}},
		{"residual voltage", func(b *Brake) { b.ResidualVoltage = 0.5 }, signals{true, false, true}, signals{false, false, false}},
		{"torque lost", func(b *Brake) { b.Condition = 0 }, signals{true, true, true}, signals{false, false, false}},
	} {
		t.Run(c.name, func(t *testing.T) {
			for kind, want := range map[string][2]bool{
				FeedbackSwitch: {c.closed.switched, c.open.switched},
				FeedbackCoil:   {c.closed.coil, c.open.coil},
				FeedbackNone:   {c.closed.timer, c.open.timer},
			} {
				r := timedRig()
				r.Brake.Feedback = kind
				c.change(&r.Brake)
				p := New(r, 1)
				require.Equal(t, want[0], reported(p, true), "%s after the close command", kind)
				require.Equal(t, want[1], reported(p, false), "%s after the open command", kind)
			}
		})
	}
}

// reported is brake_closed half a second after a command.
func reported(p *Plant, closed bool) bool {
	var signal bool
	for range int(500 * time.Millisecond / p.Rig().Clock.Tick) {
		signal = p.Sample().BrakeClosed
		p.Step(Command{Mode: Hold, CloseBrake: closed})
	}
	return signal
}

// When each kind reports: a switch with the torque at t11 + t12, a coil at t11, a timer at
// t11 + t12 and after t2. Source of the times: DIN VDE 0580 (from memory).
func TestFeedbackTimes(t *testing.T) {
	r := timedRig()
	b := &r.Brake
	for _, c := range []struct {
		kind          string
		closed, opens time.Duration
	}{
		{FeedbackSwitch, b.ResponseDelay + b.RiseTime, -1},
		{FeedbackCoil, b.ResponseDelay, 0},
		{FeedbackNone, b.ResponseDelay + b.RiseTime, b.ReleaseTime},
	} {
		t.Run(c.kind, func(t *testing.T) {
			r := r
			r.Brake.Feedback = c.kind
			p := New(r, 1)
			until := func(command, want bool) time.Duration {
				p.Sample()
				for n := time.Duration(0); n < time.Second; n += r.Clock.Tick {
					if p.Sample().BrakeClosed == want {
						return n
					}
					p.Step(Command{Mode: Hold, CloseBrake: command})
				}
				return time.Second
			}
			require.False(t, p.Sample().BrakeClosed, "a run starts with an open brake")
			require.InDelta(t, c.closed.Seconds(), until(true, true).Seconds(), 2*r.Clock.Tick.Seconds())
			if c.opens >= 0 {
				require.InDelta(t, c.opens.Seconds(), until(false, false).Seconds(), 2*r.Clock.Tick.Seconds())
			}
		})
	}
}

// A fault of the signal applies whatever the feedback senses.
func TestFaultsOfTheSignalApplyToEachKind(t *testing.T) {
	for _, kind := range []string{FeedbackSwitch, FeedbackCoil, FeedbackNone} {
		r := timedRig()
		r.Brake.Feedback, r.Brake.FeedbackSignal = kind, SignalClosed
		require.True(t, reported(New(r, 1), false), kind)
		r.Brake.FeedbackSignal = SignalMissing
		require.False(t, reported(New(r, 1), true), kind)
	}
}
