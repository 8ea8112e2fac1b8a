package plant

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// readingErrors samples the encoder at many true positions spread evenly over half a
// turn at random and returns mean and variance of reading − truth in increments.
func readingErrors(p *Plant, samples int) (mean, variance float64) {
	positions := rand.New(rand.NewPCG(11, 12))
	var sum, squares float64
	for range samples {
		p.state.AngleRad = math.Pi * (0.5 + positions.Float64()) // away from the wrap
		e := float64(p.Sample().SingleTurn) - p.state.AngleRad/p.c.encoderStep
		sum += e
		squares += e * e
	}
	n := float64(samples)
	mean = sum / n
	return mean, squares/n - mean*mean
}

// Rounding to an increment q adds an error without mean and of variance q²/12; normal
// noise adds its own variance to it. Source: Widrow and Kollár, Quantization Noise,
// 2008, ch. 4 (from memory); the variance of a uniform distribution.
//
// The tolerance is four standard deviations of the estimate. From N independent
// errors the mean has the deviation σ/√N and the variance σ² √((k − 1)/N), with k the
// kurtosis: 9/5 for a uniform error, 3 for a normal one.
func TestQuantisationVariance(t *testing.T) {
	const samples = 200_000
	const q2 = 1.0 / 12 // in increments²
	for _, c := range []struct {
		name     string
		noise    float64 // standard deviation in increments
		kurtosis float64
	}{
		{"rounding alone", 0, 9.0 / 5},
		{"with noise", 3, 3},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := bareRig()
			r.Encoder.NoiseDeg = c.noise * 360 / r.Encoder.IncrementsPerTurn
			mean, variance := readingErrors(New(r, 1), samples)
			want := q2 + c.noise*c.noise
			require.InDelta(t, 0, mean, 4*math.Sqrt(want/samples))
			require.InDelta(t, want, variance, 4*want*math.Sqrt((c.kurtosis-1)/samples))
		})
	}
}

// A single turn reads 0 up to, and not including, a full turn.
func TestWrap(t *testing.T) {
	for _, c := range []struct{ count, want int64 }{
		{0, 0}, {99, 99}, {100, 0}, {-1, 99}, {-100, 0}, {-101, 99}, {1234567, 67},
	} {
		require.Equal(t, c.want, wrap(c.count, 100), "wrap(%d)", c.count)
	}
	// The way from b to a is the shorter one; half a turn is taken upward.
	for _, c := range []struct{ a, b, want int64 }{
		{5, 95, 10}, {95, 5, -10}, {50, 0, 50}, {0, 50, 50}, {51, 0, -49}, {7, 7, 0},
	} {
		require.Equal(t, c.want, TurnDifference(c.a, c.b, 100), "TurnDifference(%d, %d)", c.a, c.b)
	}
}

// Modular arithmetic on a circle of any size: the requirement of a wrap.
func TestWrapProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		turn := rapid.Int64Range(4, 1<<32).Draw(t, "turn")
		a := rapid.Int64Range(-1<<50, 1<<50).Draw(t, "a")
		b := rapid.Int64Range(-1<<50, 1<<50).Draw(t, "b")
		w := wrap(a, turn)
		require.True(t, 0 <= w && w < turn)
		require.Zero(t, (a-w)%turn)
		d, back := TurnDifference(a, b, turn), TurnDifference(b, a, turn)
		require.True(t, -turn < 2*d && 2*d <= turn)
		require.Zero(t, (a-b-d)%turn)
		require.Zero(t, (d+back)%turn) // antisymmetric, modulo a turn
	})
}

// The drive counts turns: over many of them, up and down, its position stays within
// half an increment and the way of one tick, whatever the offset. The axis runs at
// 3000/min, which is 4.5° a tick; the filterless position is one sample old.
func TestDriveCountsTurns(t *testing.T) {
	for _, offset := range []float64{0, 123.4, -360} {
		for _, speed := range []float64{314, -314} {
			r := bareRig()
			r.Load.GravityMS2 = 0
			r.Encoder.OffsetDeg = offset
			p := unpowered(New(r, 1))
			p.state.SpeedRadS = speed
			run(p, Command{Mode: Off}, 2*time.Second) // 100 turns
			seen := p.Sample().PositionMM
			increment := p.c.encoderStep * p.c.millimetres
			require.InDelta(t, 628, math.Abs(p.State().AngleRad), 1e-6)
			require.InDelta(t, p.LoadMM(), seen, increment/2*(1+1e-6)) // rounding of the sum
		}
	}
}

// A frozen encoder goes on with its last reading and says nothing; a lost one does
// so too and says it, and the drive trips.
func TestFrozenAndLost(t *testing.T) {
	for _, c := range []struct {
		name  string
		fault func(*Encoder)
		lost  bool
	}{
		{"frozen", func(e *Encoder) { e.Frozen = true }, false},
		{"lost", func(e *Encoder) { e.Lost = true }, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := bareRig()
			r.Encoder.NoiseDeg = 0.1
			p := unpowered(New(r, 1))
			before := run(p, Command{Mode: Off}, 50*time.Millisecond)
			c.fault(&p.Rig().Encoder)
			p.Reload()
			for range 400 {
				seen := p.Sample()
				require.Equal(t, before.SingleTurn, seen.SingleTurn)
				require.Zero(t, seen.PositionMM-before.PositionMM) // to the bit
				require.Equal(t, c.lost, seen.PositionLost)
				require.Equal(t, c.lost, seen.DriveFault)
				p.Step(Command{Mode: Off})
			}
			// it fell for 150 ms: ½·5 m/s²·0.15² = 56.25 mm
			require.InDelta(t, -56.25, p.LoadMM(), 1e-6)
		})
	}
}

// An encoder that is frozen from the start shows where the axis was at the start.
func TestFrozenFromTheStart(t *testing.T) {
	r := bareRig()
	r.Load.StartMM, r.Encoder.Frozen = 5, true
	p := unpowered(New(r, 1))
	run(p, Command{Mode: Off}, 50*time.Millisecond)
	// 5 mm of 20π mm a turn, in 16384 increments: 1303.8
	require.Equal(t, int64(1304), p.Sample().SingleTurn)
}

// One more fault must not shift the noise of another sensor: the
// current reads the same whatever the noise of the encoder is, and the other way
// round; and a change of size leaves the later draws of the same sensor alone.
func TestSensorsDrawOnTheirOwn(t *testing.T) {
	readings := func(encoder, current float64) (turns []int64, amps []float64) {
		r := bareRig()
		r.Encoder.NoiseDeg, r.Drive.CurrentNoiseRMSA = encoder, current
		p := New(r, 5)
		for range 100 {
			seen := p.Sample()
			turns, amps = append(turns, seen.SingleTurn), append(amps, seen.CurrentRMSA)
		}
		return turns, amps
	}
	quietTurns, noisyAmps := readings(0, 0.1)
	noisyTurns, sameAmps := readings(0.2, 0.1)
	sameTurns, quietAmps := readings(0.2, 0)
	require.Equal(t, noisyAmps, sameAmps)
	require.Equal(t, noisyTurns, sameTurns)
	require.NotEqual(t, quietTurns, noisyTurns)
	require.NotEqual(t, quietAmps, noisyAmps)

	both := newSensors(5, 1)
	require.NotZero(t, both.position.normal(1)-both.current.normal(1), "one stream for two sensors")

	r := bareRig()
	r.Encoder.NoiseDeg = 0.2
	p := New(r, 5)
	p.Rig().Encoder.Frozen = true
	for range 50 {
		p.Sample()
	}
	p.Rig().Encoder.Frozen = false
	require.Equal(t, noisyTurns[50], p.Sample().SingleTurn, "a frozen encoder goes on drawing")
}
