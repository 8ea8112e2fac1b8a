package training

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/sequence"
)

// The estimate finds the deviation of white noise on a curve that goes somewhere, steps
// and all.
func TestNoiseOfACurve(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 7))
	for _, sigma := range []float64{0, 0.01, 3} {
		r, xs := new(Recording), []float64(nil)
		for i := range 20_000 {
			step := float64(i / 1000 * 100)
			r.scans = append(r.scans, scan{state: "one"})
			xs = append(xs, 0.5*float64(i)+step+float64(sigma*random.NormFloat64()))
		}
		var s signalRange
		for i, x := range xs {
			s.add(x)
			if i >= 2 {
				s.secondDifferences = append(s.secondDifferences, max(x-2*xs[i-1]+xs[i-2], -(x-2*xs[i-1]+xs[i-2])))
			}
		}
		require.InDelta(t, sigma, s.noise(), 0.05*sigma+1e-9)
		require.InEpsilon(t, shareOfState*s.span(), tolerancesOf(r, xs)[77], 1e-9, "the range is the larger one here")
	}
}

// A state has a yardstick of its own: a long travel does not blunt it where the axis
// rests.
func TestYardstickIsOfTheState(t *testing.T) {
	r, xs := new(Recording), []float64(nil)
	for i := range 1000 {
		state, x := "rest", 100.0
		if i < 500 {
			state, x = "travel", float64(i)
		}
		r.scans = append(r.scans, scan{state: state})
		xs = append(xs, x)
	}
	y := tolerancesOf(r, xs)
	require.InDelta(t, 0.02*499, y[499], 1e-9)
	require.InDelta(t, 1e-4*499, y[500], 1e-9)
}

// made is a recording in one state with the brake's feedback and a torque of each scan.
func made(slack int, closed []bool, torque []float64) *Recording {
	r := &Recording{slackScans: slack}
	for i := range closed {
		r.scans = append(r.scans, scan{atS: float64(i), state: "press", in: sequence.Inputs{BrakeClosed: closed[i], TorqueNM: torque[i]}})
	}
	return r
}

func TestADifferenceMustLast(t *testing.T) {
	const slack = 2
	closed, torque := make([]bool, 20), make([]float64, 20)
	for i := range torque {
		torque[i] = float64(i)
	}
	nominal := made(slack, closed, torque)
	for lasts := range 6 {
		other := append([]bool(nil), closed...)
		for i := range lasts {
			other[5+i] = true
		}
		clues := Clues(nominal, made(slack, other, torque))
		if lasts <= slack {
			require.Empty(t, clues, "%d scans", lasts)
			continue
		}
		require.Len(t, clues, 1)
		require.Equal(t, "brake_closed", clues[0].Signal)
		require.Equal(t, 5.0, clues[0].AtS)
		require.Equal(t, "false", clues[0].Nominal)
		require.Equal(t, "true", clues[0].Faulted)
		require.Equal(t, "At 5.000 s in press: brake_closed is true, nominal false.", clues[0].Text)
	}
}

// A ramp that comes a scan later is chance; one that comes much later is not.
func TestARampMayComeALittleLater(t *testing.T) {
	const slack, n = 2, 60
	ramp := func(from int) []float64 {
		list := make([]float64, n)
		for i := range list {
			list[i] = float64(max(0, min(10, i-from)))
		}
		return list
	}
	closed := make([]bool, n)
	nominal := made(slack, closed, ramp(20))
	require.Empty(t, Clues(nominal, made(slack, closed, ramp(20+slack))))
	clues := Clues(nominal, made(slack, closed, ramp(20+2*slack)))
	require.Len(t, clues, 1)
	require.Equal(t, "torque_nm", clues[0].Signal)
	require.Equal(t, "N·m", clues[0].Unit)
}

func TestSlackHoldsASafetyScan(t *testing.T) {
	require.Equal(t, 2+4, slackOf(2*time.Millisecond, 8*time.Millisecond))
	require.Equal(t, 2+1, slackOf(8*time.Millisecond, 2*time.Millisecond))
}
