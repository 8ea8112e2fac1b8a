package sim_test

import (
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

// nominalWay is the way of the reference through a test in both directions, as its
// document describes it.
func nominalWay() []string {
	return []string{
		"ready", "permissives", "decouple", "travel", "settle", "close_brake", "press_down", "verdict_down",
		"withdraw_ask", "press_up", "verdict_up", "transfer_load", "hold_position", "open_brake", "recouple", "check_motion", "passed",
	}
}

// expecting runs the demo with an expectation of its way.
func expecting(t *testing.T, e sim.Expect) *sim.Result {
	t.Helper()
	s := load(t, demo, nil).Scenario
	e.Obligations = s.Expect.Obligations
	s.Expect = e
	c, _, err := load(t, demo, nil).With(s)
	require.NoError(t, err)
	r, err := sim.Run(c, nil)
	require.NoError(t, err)
	return r
}

func expectation(t *testing.T, r *sim.Result, name string) sim.Expectation {
	t.Helper()
	i := slices.IndexFunc(r.Expectations, func(x sim.Expectation) bool { return x.Name == name })
	require.GreaterOrEqual(t, i, 0, "no expectation %s", name)
	return r.Expectations[i]
}

// A path is met by exactly the states that were entered; ... leaves any number open.
func TestPathIsMetByExactlyItsStates(t *testing.T) {
	all := nominalWay()
	last := len(all) - 1
	for name, c := range map[string]struct {
		path []string
		met  bool
	}{
		"every state":         {all, true},
		"one left out":        {slices.Delete(slices.Clone(all), 5, 6), false},
		"the last left out":   {all[:last], false},
		"one more":            {append(slices.Clone(all), "passed"), false},
		"one twice":           {slices.Insert(slices.Clone(all), 5, "settle"), false},
		"two exchanged":       {slices.Concat(all[:4], []string{"close_brake", "settle"}, all[6:]), false},
		"nothing stated":      {[]string{"..."}, true},
		"the end":             {[]string{"...", "passed"}, true},
		"another end":         {[]string{"...", "locked_out"}, false},
		"the middle":          {[]string{"...", "press_down", "verdict_down", "..."}, true},
		"a gap in the middle": {[]string{"...", "press_down", "withdraw_ask", "..."}, false},
		"open for none":       {slices.Concat(all[:3], []string{"..."}, all[3:]), true},
		"open twice":          {[]string{"ready", "...", "settle", "...", "open_brake", "...", "passed"}, true},
		"the wrong order":     {[]string{"ready", "...", "open_brake", "...", "settle", "...", "passed"}, false},
		"twice what came once": {
			[]string{"...", "settle", "...", "settle", "..."}, false,
		},
	} {
		t.Run(name, func(t *testing.T) {
			x := expectation(t, expecting(t, sim.Expect{Path: c.path}), "path")
			require.Equal(t, c.met, x.Met, "want %s, got %s", x.Want, x.Got)
			require.Equal(t, x.Want, strings.Join(c.path, " → "))
			require.Equal(t, strings.Join(all, " → "), x.Got)
		})
	}
}

// A state that is entered again stands in the path again: the brake is run in once, and
// the test repeated from the travel on.
func TestPathHoldsAStateAsOftenAsItIsEntered(t *testing.T) {
	var names []string
	for _, v := range run(t, "glazed-lining-run-in", nil).Visits {
		names = append(names, v.State)
	}
	times := func(state string) int {
		n := 0
		for _, name := range names {
			if name == state {
				n++
			}
		}
		return n
	}
	require.Equal(t, 2, times("travel"), names)
	require.Equal(t, 2, times("press_down"), names)
	require.Equal(t, times("run_in_up"), times("run_in_down"), names)
	require.Greater(t, times("run_in_up"), 1, names)
}

// The time in a state is that between two entries, held against both bounds. The brake
// closes after its settling time: never sooner than that.
func TestTookIsTheTimeBetweenTwoEntries(t *testing.T) {
	r := run(t, demo, nil)
	for i, v := range r.Visits[1:] {
		require.Equal(t, v.At, r.Visits[i].At+r.Visits[i].Stay, v.State)
	}
	require.Zero(t, r.Visits[0].At)
	last := r.Visits[len(r.Visits)-1]
	require.Equal(t, r.DurationS, (last.At + last.Stay).Seconds())

	at := slices.IndexFunc(r.Visits, func(v sim.Visit) bool { return v.State == "close_brake" })
	stay := r.Visits[at].Stay
	require.Greater(t, stay, 300*time.Millisecond, "brake_settle_s")
	less, more := stay-1, stay+1
	for name, c := range map[string]struct {
		bounds sim.DurationBounds
		met    bool
		want   string
	}{
		"just":     {sim.DurationBounds{AtLeast: &stay, AtMost: &stay}, true, "close_brake at least " + stay.String() + ", at most " + stay.String()},
		"too long": {sim.DurationBounds{AtMost: &less}, false, "close_brake at most " + less.String()},
		"too soon": {sim.DurationBounds{AtLeast: &more}, false, "close_brake at least " + more.String()},
	} {
		t.Run(name, func(t *testing.T) {
			x := expectation(t, expecting(t, sim.Expect{Took: map[string]sim.DurationBounds{"close_brake": c.bounds}}), "took")
			require.Equal(t, sim.Expectation{Name: "took", Met: c.met, Want: c.want, Got: "close_brake " + stay.String()}, x)
		})
	}
}

// A state that never came took no time that could be right, 0 among them.
func TestTookOfAStateThatNeverCameIsNotMet(t *testing.T) {
	long := time.Hour
	x := expectation(t, expecting(t, sim.Expect{Took: map[string]sim.DurationBounds{"arrest_load": {AtMost: &long}}}), "took")
	require.Equal(t, sim.Expectation{Name: "took", Want: "arrest_load at most 1h0m0s", Got: "arrest_load never entered"}, x)
}

// When power comes back a state is entered as well, by no transition; every other state
// but the first is entered by one.
func TestPathGoesOnAfterALossOfPower(t *testing.T) {
	s := load(t, demo, nil).Scenario
	s.Script = []sim.Action{
		{At: 10 * time.Millisecond, Set: map[string]bool{"trigger": true}},
		{At: 4 * time.Second, For: time.Second, Set: map[string]bool{"power_loss": true}},
	}
	s.Expect = sim.Expect{Path: []string{"ready", "...", "close_brake", "...", "power_up", "stopped"}}
	c, _, err := load(t, demo, nil).With(s)
	require.NoError(t, err)
	r, err := sim.Run(c, nil)
	require.NoError(t, err)
	x := expectation(t, r, "path")
	require.True(t, x.Met, "want %s, got %s", x.Want, x.Got)
	for i, v := range r.Visits {
		require.Equal(t, i == 0 || v.State == "power_up", v.Event == "", v.State)
	}
	unpowered := r.Visits[len(r.Visits)-3]
	require.GreaterOrEqual(t, unpowered.Stay, time.Second, "the state goes on while there is no power")
}

// What a run went through is not part of its JSON, and not of what the bench keeps.
func TestWayStaysOutOfResultAndKeptScenario(t *testing.T) {
	r := run(t, demo, nil)
	text, err := json.Marshal(r)
	require.NoError(t, err)
	require.NotContains(t, strings.ToLower(string(text)), `"visits"`)
	e := sim.Expected(r)
	require.Nil(t, e.Path)
	require.Nil(t, e.Took)
}

// Another sequence has other states: the way of the scenario's own is not asked of it.
func TestAnotherSequenceIsNotHeldAgainstTheWay(t *testing.T) {
	s := load(t, demo, nil).Scenario
	s.Expect.Path = nominalWay()
	text, err := scenarios.Format(&s, "")
	require.NoError(t, err)
	file := t.TempDir() + "/own.yaml"
	require.NoError(t, os.WriteFile(file, text, 0o600))
	c, _, err := scenarios.LoadCase(file, scenarios.Overrides{})
	require.NoError(t, err)
	require.Equal(t, nominalWay(), c.Scenario.Expect.Path)
	c, _, err = scenarios.LoadCase(file, scenarios.Overrides{Sequence: "hasty"})
	require.NoError(t, err)
	require.Nil(t, c.Scenario.Expect.Path)
}

// Outputs are looked at as they stand once a state is entered: what the state sets, and what
// stays from before. Numbers are rounded in documents.
func TestOutputsOfAStateAreExpected(t *testing.T) {
	for name, c := range map[string]struct {
		state string
		want  map[string]string
		met   bool
	}{
		"what it sets":           {"close_brake", map[string]string{"brake": "closed"}, true},
		"what stays from before": {"close_brake", map[string]string{"drive": "hold", "operation": "inhibited", "alarm": ""}, true},
		"a number, rounded":      {"press_down", map[string]string{"press_torque_nm": "-1.117"}, true}, // -((1.3-1)*2.81+0.12)*1.074*1.08
		"a number, another":      {"press_down", map[string]string{"press_torque_nm": "-1.12"}, false},
		"a zero":                 {"passed", map[string]string{"press_torque_nm": "0"}, true},
		"another word":           {"close_brake", map[string]string{"brake": "open"}, false},
		"one of two":             {"close_brake", map[string]string{"brake": "closed", "ask": "down"}, false},
		"the first time":         {"verdict_down", map[string]string{"ask": "down"}, true},
		"where a run begins":     {"ready", map[string]string{"brake": "open", "ask": "none"}, true},
		"never entered":          {"locked_out", map[string]string{"brake": "closed"}, false},
	} {
		t.Run(name, func(t *testing.T) {
			r := expecting(t, sim.Expect{Outputs: map[string]map[string]string{c.state: c.want}})
			x := expectation(t, r, "outputs")
			require.Equal(t, c.met, x.Met, "want %s, got %s", x.Want, x.Got)
			require.True(t, strings.HasPrefix(x.Got, c.state), x.Got)
		})
	}
}

// An end of the reference can be left: the lockout of a run is acknowledged after a time that can be expected. One
// that is not left took no time.
func TestTookOfAnEnd(t *testing.T) {
	const second = time.Second
	base := load(t, "aborted-after-the-lockout", nil)
	took := func(state string, bounds sim.DurationBounds) sim.Expectation {
		s := base.Scenario
		s.Expect = sim.Expect{Took: map[string]sim.DurationBounds{state: bounds}, Obligations: s.Expect.Obligations}
		c, _, err := base.With(s)
		require.NoError(t, err)
		r, err := sim.Run(c, nil)
		require.NoError(t, err)
		return expectation(t, r, "took")
	}
	var stay time.Duration
	for _, v := range run(t, base.Scenario.Scenario, nil).Visits {
		if v.State == "locked_out" {
			stay = v.Stay
			require.InDelta(t, (30*second + 300*time.Millisecond).Seconds(), (v.At + v.Stay).Seconds(), 0.003, "the acknowledgement is released")
		}
	}
	require.Equal(t, sim.Expectation{Name: "took", Met: true, Want: "locked_out at least 1s", Got: "locked_out " + stay.String()}, took("locked_out", sim.DurationBounds{AtLeast: at(second)}))
	require.False(t, took("locked_out", sim.DurationBounds{AtMost: at(stay - 1)}).Met)

	base = load(t, demo, nil)
	require.Equal(t, sim.Expectation{Name: "took", Want: "passed at most 1h0m0s", Got: "passed never left"}, took("passed", sim.DurationBounds{AtMost: at(time.Hour)}))
}

// An end without transitions is left only when the power fails and returns.
func TestTookOfAnEndWithoutTransitions(t *testing.T) {
	for name, x := range map[string]struct {
		script []sim.Action
		wrong  string
	}{
		"Stays":     {nil, "passed is an end without transitions, in which a run stays; must be a state that it leaves"},
		"PowerLost": {[]sim.Action{{At: time.Second, Set: button("trigger", true)}, {At: 30 * time.Second, For: time.Second, Set: button("power_loss", true)}}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			base, _, err := scenarios.LoadCase(demo, scenarios.Overrides{Sequence: "hasty"})
			require.NoError(t, err)
			s := base.Scenario
			s.Script, s.Expect = x.script, sim.Expect{Took: map[string]sim.DurationBounds{"passed": {AtLeast: at(10 * time.Second)}}}
			c, _, err := base.With(s)
			if x.wrong != "" {
				require.ErrorContains(t, err, x.wrong)
				return
			}
			require.NoError(t, err)
			r, err := sim.Run(c, nil)
			require.NoError(t, err)
			require.True(t, expectation(t, r, "took").Met, expectation(t, r, "took").Got)
		})
	}
}
