package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// timedRig has the times t11 = 25 ms, t12 = 18 ms and t2 = 36 ms: full torque takes 20 ms to
// rise and 40 ms to fall.
func timedRig() Rig {
	r := bareRig()
	b := &r.Brake
	b.ResponseDelay, b.RiseTime, b.ReleaseTime = 25*time.Millisecond, 18*time.Millisecond, 36*time.Millisecond
	return r
}

// leg is a brake command held for a time and the engagement at its end.
type leg struct {
	closed bool
	lasts  time.Duration
	want   float64
}

// Torque begins t11 after the close command and has risen to 90 % after another t12; t2 after
// the open command it has fallen to 10 %. Source: DIN VDE 0580, definition of the times (from
// memory). With t12 = 18 ms e rises by 0.05 a millisecond and with t2 = 36 ms it falls by 0.025.
// That a command which turns round goes on from the e of that moment is the plant's own rule.
// Times are sums of ticks: rounding alone, 1e-9.
func TestEngagementInTime(t *testing.T) {
	const ms = time.Millisecond
	for _, c := range []struct {
		name             string
		closesTo, opensT float64
		legs             []leg
	}{
		{"closing", 1, 0, []leg{{true, 25 * ms, 0}, {true, 10 * ms, 0.5}, {true, 8 * ms, 0.9}, {true, 2 * ms, 1}, {true, 10 * ms, 1}}},
		{"opening", 1, 0, []leg{{true, 45 * ms, 1}, {false, 20 * ms, 0.5}, {false, 16 * ms, 0.1}, {false, 4 * ms, 0}, {false, ms, 0}}},
		{"ClosedTooShort", 1, 0, []leg{{true, 20 * ms, 0}, {false, 40 * ms, 0}, {true, 25 * ms, 0}, {true, 5 * ms, 0.25}}},
		// 8 ms of opening take 0.2; the delay passes at 0.3; then 10 ms of closing add 0.5
		{"TurnsRound", 1, 0, []leg{{true, 35 * ms, 0.5}, {false, 8 * ms, 0.3}, {true, 25 * ms, 0.3}, {true, 10 * ms, 0.8}, {true, 10 * ms, 1}}},
		{"ClosesPartly", 0.7, 0, []leg{{true, 35 * ms, 0.5}, {true, 4 * ms, 0.7}, {true, 10 * ms, 0.7}, {false, 8 * ms, 0.5}}},
		{"NeverCloses", 0, 0, []leg{{true, 100 * ms, 0}}},
		{"OpensPartly", 1, 0.2, []leg{{true, 25 * ms, 0.2}, {true, 10 * ms, 0.7}, {true, 10 * ms, 1}, {false, 32 * ms, 0.2}, {false, 20 * ms, 0.2}}},
		{"NeverOpens", 1, 1, []leg{{false, 100 * ms, 1}, {true, 100 * ms, 1}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := timedRig()
			r.Brake.ClosesTo, r.Brake.OpensTo = c.closesTo, c.opensT
			p := New(r, 1)
			for i, l := range c.legs {
				run(p, Command{Mode: Hold, CloseBrake: l.closed}, l.lasts)
				require.InDelta(t, l.want, p.State().Engagement, 1e-9, "leg %d", i)
				// C = e κ f(0) with f(0) = 20 N·m: the formula at Plant.capacity
				require.InDelta(t, l.want*bareBrake, p.State().CapacityNM, 1e-7, "leg %d", i)
			}
		})
	}
}

// A part of t2 that is given apart passes before the torque falls: 20 ms of 38 ms leave 18 ms
// for the fall to 10 %, 0.05 a millisecond, and at t2 there is 0.1 with it or without.
func TestReleaseDelayIsAPartOfT2(t *testing.T) {
	const ms = time.Millisecond
	r := timedRig()
	r.Brake.ReleaseTime, r.Brake.ReleaseDelay = 38*ms, 20*ms
	p := New(r, 1)
	run(p, Command{Mode: Hold, CloseBrake: true}, 100*ms)
	for _, l := range []leg{{lasts: 20 * ms, want: 1}, {lasts: 10 * ms, want: 0.5}, {lasts: 8 * ms, want: 0.1}, {lasts: 2 * ms}} {
		run(p, Command{Mode: Hold}, l.lasts)
		require.InDelta(t, l.want, p.State().Engagement, 1e-9)
	}
}

// Both delays are proportional to the air gap, rise and fall are not: at 0.5 of 0.25 mm the
// torque begins after 50 ms and has 90 % 18 ms later, and it falls from 40 ms on. Common
// practice: the magnet acts across the gap.
func TestBothDelaysGrowWithTheGap(t *testing.T) {
	const ms = time.Millisecond
	r := timedRig()
	r.Brake.GapMM, r.Brake.ReleaseTime, r.Brake.ReleaseDelay = 0.5, 38*ms, 20*ms
	p := New(r, 1)
	for _, l := range []leg{
		{true, 50 * ms, 0}, {true, 18 * ms, 0.9}, {true, 32 * ms, 1},
		{false, 40 * ms, 1}, {false, 18 * ms, 0.1}, {false, 2 * ms, 0},
	} {
		run(p, Command{Mode: Hold, CloseBrake: l.closed}, l.lasts)
		require.InDelta(t, l.want, p.State().Engagement, 1e-9)
	}
}

// Other times, set while the armature lies still, move nothing: they are those of the next way. After release_time has
// become 360 ms it falls by 0.0025 a millisecond, after rise_time has become 180 ms it rises by 0.005.
func TestOtherTimesMoveNoSettledArmature(t *testing.T) {
	const ms = time.Millisecond
	slow := func(p *Plant) {
		b := &p.Rig().Brake
		b.ResponseDelay, b.RiseTime, b.ReleaseTime = 50*ms, 180*ms, 360*ms
		p.Reload()
	}
	for _, c := range []struct {
		name   string
		closed bool // when the times change
		wait   time.Duration
		legs   []leg
	}{
		{"Open", false, 45 * ms, []leg{{false, 60 * ms, 0}, {true, 50 * ms, 0}, {true, 100 * ms, 0.5}}},
		{"OpenForLong", false, 2000 * ms, []leg{{false, 500 * ms, 0}, {true, 50 * ms, 0}, {true, 100 * ms, 0.5}}},
		{"Closed", true, 60 * ms, []leg{{true, 60 * ms, 1}, {false, 100 * ms, 0.75}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := New(timedRig(), 1)
			run(p, Command{Mode: Hold, CloseBrake: true}, 60*ms)
			run(p, Command{Mode: Hold, CloseBrake: c.closed}, c.wait)
			was, reported := p.State().Engagement, p.Sample().BrakeClosed
			slow(p)
			for range 2 { // a value that has nothing to do with the times may follow
				for range 40 {
					p.Step(Command{Mode: Hold, CloseBrake: c.closed})
					require.InDelta(t, was, p.State().Engagement, 0)
					require.Equal(t, reported, p.Sample().BrakeClosed)
				}
				p.Rig().Brake.Condition = 0.9
				p.Reload()
			}
			for i, l := range c.legs {
				run(p, Command{Mode: Hold, CloseBrake: l.closed}, l.lasts)
				require.InDelta(t, l.want, p.State().Engagement, 1e-9, "leg %d", i)
			}
		})
	}
}

// Other times, set while the armature is on its way, act from there on: 20 ms of opening leave 0.5, and with a
// release_time of 360 ms another 40 ms take 0.1.
func TestOtherTimesOnTheWay(t *testing.T) {
	const ms = time.Millisecond
	p := New(timedRig(), 1)
	run(p, Command{Mode: Hold, CloseBrake: true}, 60*ms)
	run(p, Command{Mode: Hold}, 20*ms)
	p.Rig().Brake.ReleaseTime = 360 * ms
	p.Reload()
	for _, want := range []float64{0.4, 0.3} {
		run(p, Command{Mode: Hold}, 40*ms)
		require.InDelta(t, want, p.State().Engagement, 1e-9)
	}
}

// With times of a microsecond the brake is closed or open within the tick of the command.
func TestEngagementWithinATick(t *testing.T) {
	p := New(bareRig(), 1)
	p.Step(Command{Mode: Hold, CloseBrake: true})
	require.Zero(t, p.State().Engagement-1)
	p.Step(Command{Mode: Hold})
	require.Zero(t, p.State().Engagement)
	require.Zero(t, p.State().BrakeTorqueNM)      // an open brake has no torque
	require.Zero(t, p.State().BrakeDeflectionRad) // nor any deflection left
}

// At e = 0 there is no torque and no deflection left, and a brake whose friction disc has no friction
// has none either: what is let go is not wound up when it grips again.
func TestNothingStaysWoundUp(t *testing.T) {
	p := unpowered(New(timedRig(), 1))
	run(p, Command{Mode: Off, CloseBrake: true}, 500*time.Millisecond)
	require.NotZero(t, p.State().BrakeDeflectionRad)
	for p.State().Engagement > 0 {
		p.Step(Command{Mode: Off})
	}
	require.Zero(t, p.State().BrakeDeflectionRad)

	p = unpowered(New(bareRig(), 1))
	run(p, Command{Mode: Off, CloseBrake: true}, 500*time.Millisecond)
	require.NotZero(t, p.State().BrakeDeflectionRad)
	p.Rig().Brake.Condition = 0
	p.Reload()
	p.Step(Command{Mode: Off, CloseBrake: true})
	require.Zero(t, p.State().BrakeTorqueNM)
	require.Zero(t, p.State().BrakeDeflectionRad)
}

// The switch on the brake: a correct one follows the armature, a defective one reports
// the same always. That a contact which cannot change is the failure to look for is
// common practice (stuck-at, ISO 13849-2, annex on electrical faults; from memory).
func TestBrakeFeedback(t *testing.T) {
	for _, c := range []struct {
		word         string
		open, closed bool
	}{
		{SignalActual, false, true},
		{SignalClosed, true, true},
		{SignalOpen, false, false},
		{SignalMissing, false, false},
	} {
		t.Run(c.word, func(t *testing.T) {
			r := timedRig()
			r.Brake.FeedbackSignal = c.word
			p := New(r, 1)
			require.Equal(t, c.open, p.Sample().BrakeClosed)
			run(p, Command{Mode: Hold, CloseBrake: true}, 60*time.Millisecond)
			require.Equal(t, c.closed, p.Sample().BrakeClosed)
		})
	}
}

// A correct switch reports closed late, not early: at t11 + t12, when the torque is at 90 %, and
// open when the armature is on its way, at half. One tick of rise is 0.0125, one of fall 0.00625.
func TestActualFeedbackWaitsForTheArmature(t *testing.T) {
	p := New(timedRig(), 1)
	until := func(reads bool) float64 {
		for range 400 {
			if p.Sample().BrakeClosed == reads {
				break
			}
			p.Step(Command{Mode: Hold, CloseBrake: reads})
		}
		return p.State().Engagement
	}
	require.InDelta(t, 0.9, until(true), 0.0125+1e-9)
	run(p, Command{Mode: Hold, CloseBrake: true}, 10*time.Millisecond)
	require.InDelta(t, 0.5, until(false), 0.00625+1e-9)
}

// Between its two points the switch keeps what it reported: a brake that closes to 0.7 never
// reads closed, one that is commanded closed again before it is half open never reads open.
func TestFeedbackKeepsItsState(t *testing.T) {
	r := timedRig()
	r.Brake.ClosesTo = 0.7
	p := New(r, 1)
	for range 400 {
		require.False(t, p.Sample().BrakeClosed)
		p.Step(Command{Mode: Hold, CloseBrake: true})
	}
	p = New(timedRig(), 1)
	run(p, Command{Mode: Hold, CloseBrake: true}, 60*time.Millisecond)
	for _, closed := range []bool{false, true} { // 16 ms of opening leave 0.6
		for range 64 {
			p.Step(Command{Mode: Hold, CloseBrake: closed})
			require.True(t, p.Sample().BrakeClosed)
		}
	}
	require.InDelta(t, 0.6, p.State().Engagement, 1e-9)
}

// Whatever is commanded, e stays between opens_to and closes_to and moves no faster
// than t12 and t2 allow.
func TestEngagementIsBounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := timedRig()
		r.Brake.OpensTo = rapid.Float64Range(0, 0.5).Draw(t, "opens_to")
		r.Brake.ClosesTo = rapid.Float64Range(0.5, 1).Draw(t, "closes_to")
		p := New(r, 1)
		h := r.Clock.Tick.Seconds()
		rise, fall := 0.9*h/r.Brake.RiseTime.Seconds(), 0.9*h/r.Brake.ReleaseTime.Seconds()
		for _, closed := range rapid.SliceOfN(rapid.Bool(), 1, 20).Draw(t, "commands") {
			for range rapid.IntRange(1, 200).Draw(t, "ticks") {
				before := p.State().Engagement
				p.Step(Command{Mode: Hold, CloseBrake: closed})
				e := p.State().Engagement
				require.GreaterOrEqual(t, e, r.Brake.OpensTo)
				require.LessOrEqual(t, e, r.Brake.ClosesTo)
				require.LessOrEqual(t, e-before, rise+1e-9) // rounding of summed ticks
				require.LessOrEqual(t, before-e, fall+1e-9)
			}
		}
	})
}
