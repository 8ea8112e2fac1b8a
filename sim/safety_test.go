package sim_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sim/safety"
)

// What comes over the link has the same name, words and unit on both sides, which do not know each
// other.
func TestBothSidesCallTheLinkTheSame(t *testing.T) {
	require.Equal(t, sequence.JudgeCauses(), safety.Causes())
	check := func(ofSafety []safety.Signal, ofSequence []sequence.Signal) {
		for _, s := range ofSafety {
			if !strings.HasPrefix(s.Note, "over the link") {
				continue
			}
			i := slices.IndexFunc(ofSequence, func(q sequence.Signal) bool { return q.Name == s.Name })
			require.GreaterOrEqual(t, i, 0, s.Name)
			require.Equal(t, ofSequence[i].Kind.String(), s.Kind.String(), s.Name)
			require.Equal(t, ofSequence[i].Words, s.Words, s.Name)
			if s.Unit != "" {
				require.Equal(t, ofSequence[i].Unit.String(), s.Unit, s.Name)
			}
		}
	}
	check(safety.InputSignals(), sequence.OutputSignals())
	check(safety.OutputSignals(), sequence.InputSignals())
}
