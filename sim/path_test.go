package sim

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A path made of a run's own is met, whatever stretches of it are left open; it is not
// met any more by a run with another state more, in a stretch that is not open.
func TestOpenedPathIsMetByItsRun(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		states := rapid.SliceOfN(rapid.SampledFrom([]string{"a", "b", "c"}), 1, 12).Draw(t, "way")
		var way []Visit
		var path []string
		for _, state := range states {
			way = append(way, Visit{State: state})
			switch rapid.IntRange(0, 3).Draw(t, "left open") {
			case 0:
				path = append(path, anyStates)
			case 1:
				path = append(path, anyStates, state)
			default:
				path = append(path, state)
			}
		}
		require.True(t, pathMet(path, way), "%v", path)
		if path[len(path)-1] != anyStates {
			require.False(t, pathMet(path, append(way, Visit{State: "d"})), "%v", path)
		}
		if path[0] != anyStates {
			require.False(t, pathMet(path, append([]Visit{{State: "d"}}, way...)), "%v", path)
		}
	})
}

// A run that goes round and round does not fill the screen.
func TestLongWayIsWrittenInPart(t *testing.T) {
	way := make([]Visit, pathShown+5)
	for i := range way {
		way[i].State = "s"
	}
	way[0].State, way[len(way)-1].State = "first", "last"
	text := pathText(way)
	require.Regexp(t, "^first → s → ", text)
	require.Regexp(t, ` → \(5 more\) → .* → last$`, text)
	require.Equal(t, pathShown, strings.Count(text, arrow), "states shown, and what stands for the rest")
	require.NotContains(t, pathText(way[:pathShown]), "more")
}
