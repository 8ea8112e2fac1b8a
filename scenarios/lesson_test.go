package scenarios_test

import (
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

// settle is how long a run continues after its end; the last stop of a lesson may be there.
const settle = 500 * time.Millisecond

// lessons are the built-in scenarios that have one.
func lessons(t *testing.T) map[string]*sim.Case {
	t.Helper()
	found := map[string]*sim.Case{}
	for _, e := range scenarios.Builtin(scenarios.ScenarioKind) {
		c, _, err := scenarios.LoadCase(e.Name, scenarios.Overrides{})
		require.NoError(t, err)
		if len(c.Scenario.Lesson) > 0 {
			found[e.Group+"/"+e.Name] = c
		}
	}
	return found
}

// stopTimes plays the events of a run to a lesson, tick by tick, and returns the times of
// its stops.
func stopTimes(c *sim.Case, l sim.Lesson, events []sim.Event, until time.Duration) []time.Duration {
	var came []time.Duration
	stops := sim.NewStops(l, c.Rig.Clock.Tick)
	state, since, happened := c.Sequence.States[0].Name, 0.0, 0
	for now := time.Duration(0); now <= until; now += c.Rig.Clock.Tick {
		for ; happened < len(events) && events[happened].TS < now.Seconds()-c.Rig.Clock.Tick.Seconds()/2; happened++ {
			if e := &events[happened]; e.Kind == "state" {
				state, since = e.Snapshot.State, e.TS
			}
		}
		if i, due := stops.Due(now.Seconds(), state, now.Seconds()-since, events[:happened], happened); due {
			if i != len(came) {
				return nil // out of order
			}
			came = append(came, now)
		}
	}
	return came
}

// Every stop is reached, in order: a stop at the wrong moment explains the wrong thing.
func TestEveryStopOfALessonComesAtItsMoment(t *testing.T) {
	t.Parallel()
	found := lessons(t)
	for i, name := range slices.Sorted(maps.Keys(found)) {
		if i%everyNth != 0 {
			continue
		}
		c := found[name]
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r, err := sim.Run(c, nil)
			require.NoError(t, err)
			until := time.Duration(r.DurationS*float64(time.Second)) + settle
			l := c.Scenario.Lesson
			came := stopTimes(c, l, r.Events, until)
			require.Len(t, came, len(l), "stops that came, in order, at %v", came)
			for i := range l {
				alone := stopTimes(c, l[i:i+1], r.Events, until)
				require.Equal(t, came[i:i+1], alone, "stop %d does not wait for the one ahead of it", i+1)
				if i > 0 {
					require.Greater(t, came[i]-came[i-1], time.Millisecond, "stops %d and %d are one", i, i+1)
				}
			}
		})
	}
}

// Every group and every class has a lesson, and a lesson is short enough to be read at the
// bench.
func TestLessonsAreWhole(t *testing.T) {
	t.Parallel()
	groups, classes := map[string]bool{}, map[sim.Class]bool{}
	places := map[int]int{}
	chosen, numbers := 0, 0
	found := lessons(t)
	for name, c := range found {
		group, _, _ := strings.Cut(name, "/")
		groups[group], classes[c.Scenario.Expect.Class] = true, true
		asked := 0
		for i, stop := range c.Scenario.Lesson {
			require.LessOrEqual(t, len(withoutFigures(stop.Say)), 450, "%s, stop %d", name, i+1)
			require.LessOrEqual(t, len(withoutFigures(stop.Because)), 300, "%s, stop %d", name, i+1)
			if stop.Ask != "" {
				asked++
				if stop.Number == nil {
					places[stop.Answer]++
					chosen++
				}
				require.True(t, strings.HasSuffix(stop.Ask, "?"), "%s, stop %d: a question ends in its mark", name, i+1)
			}
		}
		require.GreaterOrEqual(t, asked, 2, "%s: questions", name)
		require.GreaterOrEqual(t, len(c.Scenario.Lesson), 3, "%s: stops", name)
		require.LessOrEqual(t, len(c.Scenario.Lesson), 6, "%s: stops", name)
		if slices.ContainsFunc(c.Scenario.Lesson, func(s sim.Stop) bool { return s.Number != nil }) {
			numbers++
		}
	}
	require.GreaterOrEqual(t, numbers, 6, "lessons that ask for a number")
	for _, class := range sim.Classes() {
		require.True(t, classes[class], "class %s has no lesson", class)
	}
	for _, e := range scenarios.Builtin(scenarios.ScenarioKind) {
		require.True(t, groups[e.Group], "group %s has no lesson", e.Group)
	}
	for place, n := range places {
		require.LessOrEqual(t, 2*n, chosen, "place %d is the answer of %d of %d questions: the answers can be guessed", place, n, chosen)
	}
}

// Whether the machine may go on after a test is asked before it is said: the class refused tells that it may not.
func TestNoQuestionFollowsItsAnswer(t *testing.T) {
	t.Parallel()
	for name, c := range lessons(t) {
		for i, stop := range c.Scenario.Lesson {
			if stop.Ask != "" {
				require.NotContains(t, stop.Say, "class is refused", "%s, stop %d", name, i+1)
			}
		}
	}
}

// A lesson refers to its own rig and sequence; with others it is left out, and the run is
// made without it.
func TestLessonIsLeftAwayWithAnotherRigOrSequence(t *testing.T) {
	t.Parallel()
	const name = "healthy-down-and-up"
	for _, c := range []struct {
		name  string
		other scenarios.Overrides
		kept  bool
	}{
		{"Own", scenarios.Overrides{Seed: 2, Set: map[string]string{"judge.dwell": "2s"}}, true},
		{"Sequence", scenarios.Overrides{Sequence: "hasty"}, false},
		{"Rig", scenarios.Overrides{Rig: "kiln-gate"}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, _, err := scenarios.LoadCase(name, c.other)
			require.NoError(t, err)
			require.Equal(t, c.kept, len(got.Scenario.Lesson) > 0)
		})
	}
}
