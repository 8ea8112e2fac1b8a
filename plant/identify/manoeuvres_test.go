package identify

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/recording"
)

// Every kind of piece but the one of which nothing is taken is of one manoeuvre, and what the manoeuvres are said to
// tell is what recordings of all of them tell.
func TestManoeuvresTellWhatTheySay(t *testing.T) {
	t.Parallel()
	rig := screwAxis()
	rig.Encoder.NoiseDeg = 0.02 // above what rounding hides
	result, err := Identify(t.Context(), []*recording.Recording{recorded(&rig, 1, manoeuvres(&rig))}, &rig, Options{})
	require.NoError(t, err)
	told := map[string]bool{}
	for _, v := range result.Values {
		told[v.Path] = v.Standing != NotDetermined
	}
	var kinds []Kind
	for _, m := range Manoeuvres() {
		kinds = append(kinds, m.Kinds...)
		for _, path := range m.Tells {
			assert.True(t, told[path], path)
			delete(told, path)
		}
	}
	assert.ElementsMatch(t, Kinds(), append(kinds, Other))
	for path, yes := range told {
		assert.False(t, yes && path != "", "%s is told, and no manoeuvre says so", path)
	}
}
