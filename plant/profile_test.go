package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A trapezoid move of distance d takes d/v + v/a; one too short to reach v takes
// 2√(d/a), a triangle. Source: kinematics of the trapezoid profile, any motion text.
//
// The profile may take six ticks more, never less than one below: it keeps the tick
// that it needs to stop in, v' = √(v² + a²h²) − ah, which is slower than v − ah by
// ah·ah/2v each tick, in all ½ ln(v/ah) ticks, 3.5 for v = 1000 ah; the rest is rounding
// to whole ticks at its corners.
func TestTrapezoidDuration(t *testing.T) {
	for _, c := range []struct {
		name     string
		distance float64 // mm
		want     float64 // s
	}{
		{"trapezoid", 400, 400.0/150 + 150.0/600},          // 2.916667 s
		{"downward", -400, 400.0/150 + 150.0/600},          // the same
		{"just a triangle", 37.5, 2 * math.Sqrt(37.5/600)}, // v²/a = 37.5: 0.5 s
		{"short triangle", 10, 2 * math.Sqrt(10.0/600)},    // 0.258199 s, peak √6000 = 77 mm/s
		{"very short", -0.5, 2 * math.Sqrt(0.5/600)},       // 0.057735 s
	} {
		t.Run(c.name, func(t *testing.T) {
			p := New(bareRig(), 1)
			start := p.SetpointMM()
			command := Command{Mode: Move, TargetMM: start + c.distance}
			ticks := 0
			for travelling := true; travelling; ticks++ {
				p.Sample()
				p.Step(command)
				travelling = p.Travelling()
				require.Less(t, ticks, 20000)
			}
			at := p.SetpointMM()
			require.InDelta(t, command.TargetMM, at, 1e-9)
			late := float64(ticks) - c.want/p.rig.Clock.Tick.Seconds()
			require.GreaterOrEqual(t, late, -1.0)
			require.LessOrEqual(t, late, 6.0)
		})
	}
}

// The load follows, comes to rest in the window and says so; carried all the way.
func TestMoveArrives(t *testing.T) {
	p := New(paneRig(), 1)
	var seen Reading
	for range 10_000 {
		seen = p.Sample()
		p.Step(Command{Mode: Move, TargetMM: 350})
	}
	require.True(t, seen.InPosition)
	require.True(t, seen.Standstill)
	require.InDelta(t, 350, p.LoadMM(), p.rig.Drive.InPositionMM)
}

// In position means arrived: the profile has come to its end and the load is in the
// window; passing near the target, or standing there by chance in another mode, is not.
func TestInPosition(t *testing.T) {
	r := bareRig()
	r.Drive.InPositionMM = 5 // entered long before the end of the move
	p := New(r, 1)
	for range 4000 {
		arrived := p.drive.setpoint == p.drive.target && p.drive.mode == Move
		require.Equal(t, arrived, p.Sample().InPosition)
		p.Step(Command{Mode: Move, TargetMM: 40})
	}
	require.True(t, p.Sample().InPosition)
	p.Step(Command{Mode: Hold})
	require.False(t, p.Sample().InPosition)
}

// The speed of a move may be set lower than the drive's own, not higher: 20 mm/s takes
// 90/20 + 20/600 = 4.533 s; 500 mm/s as long as the drive's 150 mm/s, 90/150 + 150/600 =
// 0.85 s, where a triangle would take 2√(90/600) = 0.775 s. Ten ticks either way, as for the trapezoid.
func TestSpeedOfAMove(t *testing.T) {
	for _, c := range []struct{ speed, want float64 }{{20, 90.0/20 + 20.0/600}, {500, 90.0/150 + 150.0/600}, {0, 90.0/150 + 150.0/600}} {
		p := New(bareRig(), 1)
		move := Command{Mode: Move, TargetMM: 90, SpeedMMS: c.speed}
		lead := 10 * p.rig.Clock.Tick
		before := time.Duration(c.want*1e9) - lead
		run(p, move, before)
		travelling := p.Travelling()
		require.True(t, travelling, "at %g mm/s", c.speed)
		run(p, move, 2*lead)
		travelling = p.Travelling()
		require.False(t, travelling, "at %g mm/s", c.speed)
	}
}

// The setpoint never goes faster than the move's speed, never accelerates harder than
// the drive may, and never passes its target: what a profile is for. Speed and
// acceleration are the differences of the setpoint, so that a jump would show.
// Rounding: 1e-12 of the position, as the differences are of positions.
func TestProfileKeepsItsLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const h = 250e-6
		speed := logRange(1, 3000).Draw(t, "speed")
		acceleration := logRange(10, 20000).Draw(t, "acceleration")
		distance := logRange(1e-4, min(500, 5*speed)).Draw(t, "distance")
		target := distance * rapid.SampledFrom([]float64{1, -1}).Draw(t, "sense")
		top := speed * rapid.SampledFrom([]float64{1, 10}).Draw(t, "top")
		d := drive{tick: h, millimetres: 1, topSpeed: top, acceleration: acceleration, brakesWithin: brakesWithin(top, acceleration, h)}
		before, step := 0.0, 0.0
		var fastest, hardest, backward, furthest float64
		longest := int((distance/speed+speed/acceleration+2*math.Sqrt(distance/acceleration))/h) + 20
		for range longest {
			d.profile(target, &Command{SpeedMMS: speed})
			went := d.setpoint - before
			fastest, hardest = max(fastest, math.Abs(went)), max(hardest, math.Abs(went-step))
			backward, furthest = max(backward, -went*target), max(furthest, math.Abs(d.setpoint))
			before, step = d.setpoint, went
		}
		rounding := 1e-12 * distance
		require.LessOrEqual(t, fastest, speed*h+rounding)
		require.LessOrEqual(t, hardest, acceleration*h*h+rounding)
		require.LessOrEqual(t, backward, rounding*distance)
		require.LessOrEqual(t, furthest, distance+rounding)
		require.Zero(t, d.setpoint-target) // to the bit
		require.Zero(t, d.setSpeed)
	})
}

// Hold in the middle of a move brakes along the profile, within the stopping distance
// v²/2a = 150²/(2·600) = 18.75 mm, and stays; v h = 0.04 mm is one tick's way.
func TestHoldStopsAMove(t *testing.T) {
	p := New(bareRig(), 1)
	run(p, Command{Mode: Move, TargetMM: 400}, time.Second)
	at, travelling := p.SetpointMM(), p.Travelling()
	require.True(t, travelling)
	run(p, Command{Mode: Hold}, time.Second)
	rest := p.SetpointMM()
	require.InDelta(t, 18.75, rest-at, 0.04)
	require.InDelta(t, rest, p.LoadMM(), p.rig.Drive.InPositionMM)
}
