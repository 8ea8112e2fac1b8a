package sim_test

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/sim"
)

// acted makes a case of the demo with a script.
func acted(t *testing.T, faults []sim.Fault, script ...sim.Action) *sim.Case {
	t.Helper()
	base := load(t, demo, nil)
	s := base.Scenario
	s.Expect, s.Script, s.Faults = sim.Expect{}, script, faults
	c, _, err := base.With(s)
	require.NoError(t, err)
	return c
}

func button(name string, on bool) map[string]bool { return map[string]bool{name: on} }

// A step of the script that leaves a button as it is does nothing, unless it is the last one, until which the run goes
// on.
func TestIdleSteps(t *testing.T) {
	t.Parallel()
	const s = time.Second
	last := sim.Action{At: 20 * s, Set: button("cancel", false)}
	for name, x := range map[string]struct {
		c    *sim.Case
		want []string
	}{
		"None":       {acted(t, nil, sim.Action{At: s, For: s, Set: button("trigger", true)}, last), nil},
		"PressAgain": {acted(t, nil, sim.Action{At: s, Set: button("trigger", true)}, sim.Action{At: 2 * s, Set: button("trigger", true)}, last), []string{"script[1].set.'trigger': at 2s trigger is on already, since 1s; the step does not change it"}},
		"OffAtStart": {acted(t, nil, sim.Action{At: s, Set: button("estop", false)}, last), []string{"script[0].set.'estop': at 1s estop is off already, from the start; the step does not change it"}},
		"ReleasedBefore": {
			acted(t, nil, sim.Action{At: s, For: 5 * s, Set: button("estop", true)}, sim.Action{At: 2 * s, Set: button("estop", false)}, last),
			[]string{"script[0].for: at 6s estop is off already, since 2s; the end of the step does not change it"},
		},
		"WrittenInNoOrder": {acted(t, nil, last, sim.Action{At: 3 * s, Set: button("reset", false)}, sim.Action{At: s, Set: button("reset", true)}), nil},
		"EndsAPress": { // which has no end of its own
			acted(t, nil, sim.Action{At: 3 * s / 2, Set: button("cancel", true)}, sim.Action{At: 2 * s, For: s / 10, Set: button("cancel", true)}, last), nil,
		},
		"EndsAPressEarlier": {
			acted(t, nil, sim.Action{At: s, For: 5 * s, Set: button("cancel", true)}, sim.Action{At: 2 * s, For: s, Set: button("cancel", true)}, last),
			[]string{"script[0].for: at 6s cancel is off already, since 3s; the end of the step does not change it"},
		},
		"WouldEndAPressLater": {
			acted(t, nil, sim.Action{At: s, For: 2 * s, Set: button("cancel", true)}, sim.Action{At: 2 * s, For: 4 * s, Set: button("cancel", true)}, last),
			[]string{"script[1].set.'cancel': at 2s cancel is on already, since 1s, and at 6s it is off already, since 3s; the step does not change it"},
		},
		"EndsWithAnother": {
			acted(t, nil, sim.Action{At: s, For: 2 * s, Set: button("cancel", true)}, sim.Action{At: 2 * s, For: s, Set: button("cancel", true)}, last),
			[]string{"script[1].set.'cancel': at 2s cancel is on already, since 1s, and at 3s it is off already, since 3s; the step does not change it"},
		},
		"TheSameTwice": {
			acted(t, nil, sim.Action{At: s, For: s, Set: button("cancel", true)}, sim.Action{At: s, For: s, Set: button("cancel", true)}, last),
			[]string{"script[1].set.'cancel': at 1s cancel is on already, since 1s, and at 2s it is off already, since 2s; the step does not change it"},
		},
		"OneOfTwoButtons": {
			acted(t, nil, sim.Action{At: s, Set: button("cancel", true)}, sim.Action{At: 2 * s, Set: map[string]bool{"cancel": true, "reset": true}}, last),
			[]string{"script[1].set.'cancel': at 2s cancel is on already, since 1s; the step does not change it"},
		},
		"ReleasesForAWhile": { // off already, and on at its end
			acted(t, nil, sim.Action{At: s, For: s, Set: button("cancel", false)}, last), nil,
		},
		"LastsToTheEnd": { // the run goes on until the end of the second one
			acted(t, nil, sim.Action{At: s, For: 2 * s, Set: button("cancel", true)}, sim.Action{At: 2 * s, For: 28 * s, Set: button("cancel", true)}), nil,
		},
		"OfAFault": {acted(t, []sim.Fault{{At: at(s), Set: set("operator.estop", "true")}}, sim.Action{At: 3 * s, Set: button("estop", false)}, last), nil},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var got []string
			for _, p := range x.c.IdleSteps() {
				require.True(t, p.Warning)
				got = append(got, p.Path+": "+p.Message)
			}
			require.Equal(t, x.want, got)
		})
	}
}

// What is said of a script holds: without all idle steps and ends of it, every scan sees the same.
func TestIdleStepsAreIdle(t *testing.T) {
	t.Parallel()
	base := load(t, demo, nil)
	scans := func(t *rapid.T, script []sim.Action) (*sim.Case, string) {
		s := base.Scenario
		s.Expect, s.Script = sim.Expect{}, script
		c, _, err := base.With(s)
		require.NoError(t, err)
		return c, firstScans(t, c)
	}
	told := 0
	rapid.Check(t, func(t *rapid.T) {
		moment := func(from int, name string) time.Duration {
			return time.Duration(rapid.IntRange(from, 8).Draw(t, name)) * 20 * time.Millisecond
		}
		script := []sim.Action{{At: 900 * time.Millisecond, Set: button("reset", false)}}
		for range rapid.IntRange(1, 5).Draw(t, "steps") {
			name := rapid.SampledFrom([]string{"cancel", "setup_mode"}).Draw(t, "button")
			script = append(script, sim.Action{At: moment(1, "at"), For: moment(0, "for"), Set: button(name, rapid.Bool().Draw(t, "on"))})
		}
		c, all := scans(t, script)
		for _, p := range c.IdleSteps() {
			told++
			var step int
			_, err := fmt.Sscanf(p.Path, "script[%d]", &step)
			require.NoError(t, err)
			script[step].For = 0
			if strings.Contains(p.Path, ".set") {
				script[step].Set = nil
			}
		}
		_, without := scans(t, script)
		require.Equal(t, all, without)
	})
	require.Positive(t, told)
}

// firstScans is every scan of the first second of a run.
func firstScans(t require.TestingT, c *sim.Case) string {
	var out bytes.Buffer
	tracer, err := sim.NewCSVTrace(&out, c.Sequence)
	require.NoError(t, err)
	b := sim.NewBench(c, tracer)
	b.Advance(4000)
	_, err = b.Result()
	require.NoError(t, err)
	return out.String()
}

// One run with the seed of the scenario shows what it names and does not do.
func TestForesee(t *testing.T) {
	t.Parallel()
	const (
		run  = "in a run with seed 1 "
		over = "the run is over at 8.248s, 500ms after its end in passed (pass)"
	)
	worn := set("brake.condition", "0.35")
	for name, x := range map[string]struct {
		change func(s *sim.Scenario)
		want   []string
	}{
		"Nothing": {func(*sim.Scenario) {}, nil},
		"FaultAfterTheEnd": {
			func(s *sim.Scenario) { s.Faults = []sim.Fault{{At: at(8 * time.Minute), Set: worn}} },
			[]string{"faults[0].at: " + run + "the fault never begins: " + over + "; must be earlier, or the last step of the script must be later, as a run goes on until then"},
		},
		"FaultLongAfterAState": {
			func(s *sim.Scenario) {
				s.Faults = []sim.Fault{{When: &sim.Moment{State: "passed", After: 10 * time.Minute}, Set: worn}}
			},
			[]string{"faults[0].when.after: " + run + "the fault never begins: it is due at 10m7.7s, and " + over + "; must be earlier, or the last step of the script must be later, as a run goes on until then"},
		},
		"FaultLongAfterTheStart": {
			func(s *sim.Scenario) { s.Faults = []sim.Fault{{When: &sim.Moment{After: time.Minute}, Set: worn}} },
			[]string{"faults[0].when.after: " + run + "the fault never begins: " + over + "; must be earlier, or the last step of the script must be later, as a run goes on until then"},
		},
		"FaultInAStateNotEntered": {
			func(s *sim.Scenario) {
				s.Faults = []sim.Fault{{When: &sim.Moment{State: "locked_out"}, Set: worn}}
			},
			[]string{"faults[0].when.state: " + run + "the fault never begins: locked_out is never entered: " + over + "; must be a state that the run enters; holdbench run shows them"},
		},
		"FaultWithoutEffect": {
			func(s *sim.Scenario) { s.Faults = []sim.Fault{{At: at(time.Second), Set: set("brake.condition", "1")}} },
			[]string{"faults[0].set: " + run + "the fault changes nothing: brake.condition is 1 already"},
		},
		"NamedFaultWithoutEffect": {
			func(s *sim.Scenario) {
				s.Faults = []sim.Fault{{At: at(time.Second), Fault: "lining-worn=1", Set: set("brake.condition", "1")}}
			},
			[]string{"faults[0].fault: " + run + "the fault changes nothing: brake.condition is 1 already"},
		},
		"FaultPartlyWithoutEffect": {
			func(s *sim.Scenario) {
				s.Faults = []sim.Fault{
					{At: at(time.Second), Set: map[string]string{"load.mass_kg": "181", "brake.condition": "1"}},
					{At: at(2 * time.Second), Set: map[string]string{"load.mass_kg": "181", "link.down": "true"}},
				}
			},
			[]string{"faults[0].set.'brake.condition': " + run + "brake.condition changes nothing, as it is 1 already"},
		},
		"LaterStepOfTheScript": {
			func(s *sim.Scenario) {
				s.Script = []sim.Action{{At: time.Second, Set: button("trigger", true)}, {At: 9 * time.Minute, Set: button("cancel", false)}}
				s.Faults = []sim.Fault{{At: at(8 * time.Minute), Set: worn}}
			},
			nil,
		},
		"StatesNotEntered": {
			func(s *sim.Scenario) {
				s.Expect = sim.Expect{
					Path:    []string{"ready", "...", "locked_out"},
					Took:    map[string]sim.DurationBounds{"back_off": {AtMost: at(time.Second)}},
					Outputs: map[string]map[string]string{"stopped": {"brake": "closed"}},
				}
			},
			[]string{
				"expect.path[2]: " + run + "locked_out is never entered: " + over,
				"expect.took.'back_off': " + run + "back_off is never entered: " + over,
				"expect.outputs.'stopped': " + run + "stopped is never entered: " + over,
			},
		},
		"WithinTheScript": {
			func(s *sim.Scenario) {
				s.Expect = sim.Expect{Within: 5 * time.Second}
				s.Script = []sim.Action{{At: 6 * time.Second, Set: button("trigger", true)}}
			},
			[]string{"expect.within: " + run + "within 5s is not kept: the script acts until 6s, and the sequence ends at 13.242s"},
		},
		"StopsThatNeverCome": {
			func(s *sim.Scenario) {
				s.Lesson = sim.Lesson{
					{When: &sim.Moment{State: "travel"}, Say: "It moves."},
					{At: at(time.Minute), Say: "It is over."}, {At: at(2 * time.Minute), Say: "It is over."},
				}
			},
			[]string{"lesson[1].at: " + run + "the stop never comes, and none of those behind it: " + over},
		},
		"NotMet": {
			func(s *sim.Scenario) { s.Expect = sim.Expect{End: "fail", Cause: sim.Causes{"moved"}} },
			[]string{"expect: " + run + "these expectations are not met: end, cause; holdbench check says what came in their place"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			base := load(t, demo, nil)
			s := base.Scenario
			s.Expect, s.Lesson = sim.Expect{}, nil
			x.change(&s)
			c, _, err := base.With(s)
			require.NoError(t, err)
			found, err := sim.Foresee(t.Context(), c)
			require.NoError(t, err)
			var got []string
			for _, p := range found {
				require.True(t, p.Warning)
				require.Equal(t, name == "NotMet" || name == "FaultPartlyWithoutEffect", p.Note)
				got = append(got, p.Path+": "+p.Message)
			}
			require.Equal(t, x.want, got)
		})
	}
}

// No more than an hour of a run is looked at; one that is over before is looked at whole, however late its faults are.
func TestForeseeLooksAtAnHour(t *testing.T) {
	t.Parallel()
	lapsed := sim.Fault{At: at(23 * time.Hour), Set: set("brake.condition", "0.35")}
	found, err := sim.Foresee(t.Context(), acted(t, []sim.Fault{lapsed}))
	require.NoError(t, err)
	require.Len(t, found, 1)
	require.Equal(t, "faults[0].at", found[0].Path)
	if testing.Short() {
		return
	}
	found, err = sim.Foresee(t.Context(), acted(t, nil, sim.Action{At: 23 * time.Hour, Set: button("trigger", true)}))
	require.NoError(t, err)
	require.Len(t, found, 1)
	require.True(t, found[0].Note)
	require.Equal(t, "in a run with seed 1 the end has not come after 1h, and no more of it is looked at: what does not happen is not told; holdbench check runs it to its end", found[0].Message)
}

// A run that is interrupted foresees nothing.
func TestForeseeEndsWithItsContext(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := sim.Foresee(ctx, load(t, demo, nil))
	require.ErrorIs(t, err, context.Canceled)
}
