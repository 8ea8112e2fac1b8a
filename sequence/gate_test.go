package sequence

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A change of any boolean input opens and closes gates.
func TestEachBooleanInputIsCompared(t *testing.T) {
	t.Parallel()
	for _, signal := range inputTable() {
		if signal.Kind != KindBoolean {
			continue
		}
		var in, other Inputs
		require.True(t, in.sameBooleans(&other))
		*signal.in.boolean(&other) = true
		require.False(t, in.sameBooleans(&other), signal.Name)
	}
}

// A machine that looks at a condition only while its gate is open fires as one that looks at every condition in
// every scan.
func TestGatesChangeNothing(t *testing.T) {
	t.Parallel()
	gated, open := program(t, string(Reference())), program(t, string(Reference()))
	gates := 0
	for i := range open.states {
		for k := range open.states[i].candidates {
			if c := &open.states[i].candidates[k]; c.gate != nil {
				c.gate, gates = nil, gates+1
			}
		}
	}
	require.Greater(t, gates, 100)
	rapid.Check(t, func(t *rapid.T) {
		one, two := NewMachine(gated, scan), NewMachine(open, scan)
		var in Inputs
		var outOne, outTwo Outputs
		for range 60 {
			changeInputs(t, &in)
			for range rapid.IntRange(1, 60).Draw(t, "scans") {
				copied := in
				a, errOne := one.Scan(&in, &outOne)
				b, errTwo := two.Scan(&copied, &outTwo)
				require.NoError(t, errOne)
				require.NoError(t, errTwo)
				require.Equal(t, b, a)
			}
		}
		require.Equal(t, two.anyHeld, one.anyHeld)
		require.Equal(t, two.ownHeld, one.ownHeld)
		require.Equal(t, outTwo, outOne)
	})
}

// changeInputs changes some of the inputs.
func changeInputs(t *rapid.T, in *Inputs) {
	for _, signal := range inputTable() {
		if rapid.IntRange(0, 3).Draw(t, signal.Name+" changes") != 0 {
			continue
		}
		switch signal.Kind {
		case KindBoolean:
			*signal.in.boolean(in) = rapid.Bool().Draw(t, signal.Name)
		case KindNumber:
			*signal.in.number(in) = rapid.Float64Range(-500, 500).Draw(t, signal.Name)
		default:
			*signal.in.word(in) = rapid.SampledFrom(signal.Words).Draw(t, signal.Name)
		}
	}
}
