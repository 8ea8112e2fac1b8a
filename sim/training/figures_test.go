package training

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/sequence"
)

// requireFigures wants every figure of the answer to a riddle in the runs that it is of: those of the clues, of the
// proof, and of what each of two faults adds to the other.
func requireFigures(t *testing.T, d *drawing, r *Riddle) {
	t.Helper()
	faulted, err := Record(r.Case)
	require.NoError(t, err)
	for _, c := range r.Clues {
		requireFigure(t, faulted, c.Signal, c.AtS, c.Faulted)
		requireFigure(t, d.healthy.Recording, c.Signal, c.AtS, c.Nominal)
		require.Contains(t, c.Text, c.State)
	}
	requireBoth(t, &r.Visible, d.healthy.Recording, faulted)
	for i := range r.Beyond {
		c, ok := r.Truth[i : i+1].caseOf(d.nominal)
		require.True(t, ok)
		alone, err := Record(c)
		require.NoError(t, err)
		requireBoth(t, &r.Beyond[i], alone, faulted)
	}
}

// requireBoth wants the two figures of a proof in the two runs, and both in its sentence.
func requireBoth(t *testing.T, v *Visibility, first, second *Recording) {
	t.Helper()
	said := v.Text("in the first", "in the second")
	if v.Sign == Noisy { // widths, of which the test of the proof has the ranges
		return
	}
	at := v.ClearS
	if v.InState {
		at += v.FirstS - v.FromS
	}
	requireFigure(t, first, v.Signal, at, v.First)
	requireFigure(t, second, v.Signal, v.ClearS, v.Second)
	require.GreaterOrEqual(t, v.ClearS, v.FromS)
	require.Less(t, v.ClearS, v.FromS+v.LastsS)
	if v.Sign == Apart {
		require.Contains(t, said, v.First)
		require.Contains(t, said, v.Second)
	}
}

// requireFigure wants a value as it is written in a run at a time, or in its last scan if it is over by then.
func requireFigure(t *testing.T, of *Recording, signal string, atS float64, written string) {
	t.Helper()
	i := slices.IndexFunc(of.scans, func(s scan) bool { return s.atS >= atS-1e-9 })
	if i < 0 {
		i = len(of.scans) - 1
	}
	signals := visibleSignals()
	s := &signals[slices.IndexFunc(signals, func(s sequence.Signal) bool { return s.Name == signal })]
	is := text(s, of.at(i))
	number, err := strconv.ParseFloat(written, 64)
	if err != nil {
		require.Equal(t, is, written, "%s at %v s", signal, atS)
		return
	}
	digits := 0
	if _, behind, ok := strings.Cut(written, "."); ok {
		digits = len(behind)
	}
	rounding := 0.5*math.Pow(10, -float64(digits)) + 0.51*math.Pow(10, -decimals) // to the digits that are written, and before
	require.InDelta(t, s.InputNumber(&of.at(i).in), number, rounding, "%s at %v s", signal, atS)
}
