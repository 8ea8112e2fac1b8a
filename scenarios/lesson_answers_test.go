package scenarios_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// Nobody answers the questions of the lessons by their form: the right choice is seldom the longest or the shortest
// of its question, and stands in every place. A guess among three choices is right once in three.
func TestAnswersAreNotToldByTheirForm(t *testing.T) {
	t.Parallel()
	asked, longest, shortest := 0, 0, 0
	places := make([]int, 3)
	for name, c := range lessons(t) {
		for i, stop := range c.Scenario.Lesson {
			if stop.Ask == "" || stop.Number != nil {
				continue
			}
			require.LessOrEqual(t, len(stop.Choices), len(places), "%s, stop %d", name, i+1)
			var wrong []int
			for place, text := range stop.Choices {
				if place+1 != stop.Answer {
					wrong = append(wrong, len(withoutFigures(text)))
				}
			}
			right := len(withoutFigures(stop.Choices[stop.Answer-1]))
			asked++
			places[stop.Answer-1]++
			if right > slices.Max(wrong) {
				longest++
			}
			if right < slices.Min(wrong) {
				shortest++
			}
		}
	}
	require.LessOrEqual(t, 5*longest, 2*asked, "the right choice is the longest in %d of %d questions", longest, asked)
	require.LessOrEqual(t, 5*shortest, 2*asked, "the right choice is the shortest in %d of %d questions", shortest, asked)
	for place, n := range places {
		require.GreaterOrEqual(t, 5*n, asked, "place %d is right in %d of %d questions", place+1, n, asked)
		require.LessOrEqual(t, 20*n, 9*asked, "place %d is right in %d of %d questions", place+1, n, asked)
	}
}
