package training

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/sequence"
)

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
