package life_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/sim/journal"
	"holdbench/sim/life"
)

// Parts that were not calculated alike are refused with the self-test of both machines, and are not continued.
func TestPartsOfALifeFromMachinesThatDiffer(t *testing.T) {
	t.Parallel()
	s, err := life.NewStudy(hoist(t), fortnight())
	require.NoError(t, err)
	s.Part = journal.Part{Number: 2, Of: 2}
	here, err := s.Head("a version")
	require.NoError(t, err)
	require.Equal(t, plant.SelfTest(), here.SelfTest)
	merge := func(heads ...life.Head) error {
		var parts []*life.Reader
		for _, h := range heads {
			line, err := journal.Line(h)
			require.NoError(t, err)
			in, err := life.NewReader(bytes.NewReader(line))
			require.NoError(t, err)
			parts = append(parts, in)
		}
		_, err := life.Merge(parts, []string{"one.jsonl", "two.jsonl"}, func([]byte) error { return nil })
		return err
	}
	one := here
	one.Part, one.SelfTest = 1, "0123456789abcdef"
	require.EqualError(t, merge(one, here), "one.jsonl and two.jsonl were made by machines or versions of holdbench that calculate differently: the self-test is 0123456789abcdef in one and "+
		here.SelfTest+" in the other; must be run again by one version")
	one.SelfTest = "" // of a version that had no self-test
	require.ErrorContains(t, merge(here, one), "is "+here.SelfTest+" in one and none in the other")
	one.Part = here.Part
	require.False(t, one.Same(here))
	require.Equal(t, "the self-test is none there and "+here.SelfTest+" here", life.Differences(one, here))
}
