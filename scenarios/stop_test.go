package scenarios_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

// An emergency stop or a cancel may come at any moment of a test on a brake that slips, from closing
// the brake until the reaction has ended. After a cancel the load must still be held: every
// obligation. An emergency stop takes the torque away, so that what such a brake then drops or does
// not support is excused, but only where no reaction could have prevented it; everything else is
// kept. A button comes every 20 ms, or every 80 ms where it must be short, the cancel halfway
// between two emergency stops. What comes before the button is run once.
func TestStopAtAnyMomentHoldsTheLoad(t *testing.T) {
	t.Parallel()
	step := 20 * time.Millisecond
	if testing.Short() {
		step = 80 * time.Millisecond
	}
	for _, name := range []string{"lining-worn-thin", "oil-on-the-lining", "lining-worn-on-the-gate", "partner-decoupled"} {
		for i, button := range []string{"estop", "cancel"} {
			t.Run(name+"/"+button, func(t *testing.T) {
				t.Parallel()
				base, _, err := scenarios.LoadCase(name, scenarios.Overrides{})
				require.NoError(t, err)
				c := *base
				c.Scenario.Script = []sim.Action{{At: 500 * time.Millisecond, Set: map[string]bool{"trigger": true}}}
				plain, err := sim.Run(&c, nil)
				require.NoError(t, err)
				from, to := clampAndEnd(plain)
				require.Greater(t, to, from)
				until := sim.NewBench(&c, nil)
				for at := from + time.Duration(i)*step/2; at < to; at += step {
					for until.Ticks() < int64(at/base.Rig.Clock.Tick) && until.Tick() {
						continue
					}
					if until.Done() {
						break
					}
					b := until.Clone()
					require.NoError(t, b.SetButton(button, true))
					excused := excuses(b, until, button)
					for _, o := range finished(t, b).Obligations {
						require.True(t, o.Kept || excused[o.Name], "%s at %v: %s broken, %s", button, at, o.Name, o.Detail)
					}
				}
			})
		}
	}
}

// excuses are the obligations that the best reaction to a button breaks as well.
func excuses(b, twin *sim.Bench, button string) map[string]bool {
	if button == "cancel" {
		return nil
	}
	best := b.BestReaction(twin)
	return map[string]bool{sim.NoDrop: best.LoadDrops, sim.LockedOut: best.Unsupported}
}

func finished(t *testing.T, b *sim.Bench) *sim.Result {
	t.Helper()
	for b.Tick() {
		continue
	}
	r, err := b.Result()
	require.NoError(t, err)
	return r
}

// clampAndEnd is when the brake was commanded to close, and a second after the first
// verdict or reaction.
func clampAndEnd(r *sim.Result) (from, to time.Duration) {
	for _, e := range r.Events {
		at := time.Duration(e.TS * float64(time.Second)).Truncate(time.Millisecond)
		if e.Kind == "state" && from == 0 && e.Snapshot.State == "close_brake" {
			from = at
		}
		if e.Kind == "state" && from > 0 && to == 0 && e.Snapshot.State == "arrest_load" {
			to = at + time.Second
		}
	}
	return from, to
}
