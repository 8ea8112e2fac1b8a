package catalogue_test

import (
	"maps"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/plant/problem"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

func parsed(t require.TestingT, text string) catalogue.Selection {
	n, err := catalogue.Parse(text)
	require.NoError(t, err, text)
	return n
}

func TestParseSelection(t *testing.T) {
	press := sim.Moment{State: "press_down", After: 120 * time.Millisecond}
	for text, want := range map[string]struct {
		number float64
		when   sim.Moment
		says   string
	}{
		"lining-worn":                       {0.35, sim.Moment{}, "lining-worn=0.35"},
		"lining-worn=0.2":                   {0.2, sim.Moment{}, "lining-worn=0.2"},
		"lining-worn=2e-1@press_down+120ms": {0.2, press, "lining-worn=0.2@press_down+120ms"},
		"lining-worn = .2 @ press_down":     {0.2, sim.Moment{State: "press_down"}, "lining-worn=0.2@press_down"},
		"lining-worn@start":                 {0.35, sim.Moment{}, "lining-worn=0.35"},
		"lining-worn@start+1.5s":            {0.35, sim.Moment{After: 1500 * time.Millisecond}, "lining-worn=0.35@start+1.5s"},
		"lining-worn=1e6@arrest_load":       {1e6, sim.Moment{State: "arrest_load"}, "lining-worn=1e+06@arrest_load"},
		"drive-trips@travel":                {0, sim.Moment{State: "travel"}, "drive-trips@travel"},
		"drive-trips@travel+250us":          {0, sim.Moment{State: "travel", After: 250 * time.Microsecond}, "drive-trips@travel+250us"},
		"window-too-wide=3":                 {3, sim.Moment{}, "window-too-wide=3"},
		"window-too-wide@start":             {10, sim.Moment{}, "window-too-wide=10"},
	} {
		n := parsed(t, text)
		assert.Equal(t, want.number, n.Severity, text)
		assert.Equal(t, want.when, n.When, text)
		assert.Equal(t, want.says, n.String(), text)
	}
}

func TestParseSelectionErrors(t *testing.T) {
	for text, want := range map[string]string{
		"":                          `there is no fault ""`,
		"lining-wron":               `"lining-wron": there is no fault "lining-wron"; the nearest valid one is "lining-worn"`,
		"lining-worn=":              `the severity is ""; must be a number such as 0.35 (of the rated torque; mild 0.75, severe 0.15)`,
		"lining-worn=much":          `the severity is "much"; must be a number such as 0.35`,
		"lining-worn=NaN":           `the severity is "NaN"; must be a number such as 0.35`,
		"lining-worn=Inf":           `the severity is "Inf"`,
		"drive-trips=1":             `drive-trips has no scale of severity; must be without =1`,
		"lining-worn@":              `the moment has no state; must be STATE or STATE+TIME, such as press_down+120ms`,
		"lining-worn@+3s":           `the moment has no state`,
		"lining-worn@press_down+":   `the time after the state is ""; must be a duration of 0 or more, such as 120ms or 1.5s`,
		"lining-worn@press_down+12": `the time after the state is "12"; must be a duration`,
		"lining-worn@press+-1s":     `the time after the state is "-1s"; must be a duration of 0 or more`,
		"window-too-wide@travel":    `window-too-wide is active for the whole run; must be without @travel`,
		"load-left-out@travel":      `load-left-out is active for the whole run; must be without @travel`,
	} {
		_, err := catalogue.Parse(text)
		require.ErrorContains(t, err, want, text)
	}
}

// drawNamed draws any fault of the catalogue, as bad as any number, at any moment.
func drawNamed(t *rapid.T) catalogue.Selection {
	n := catalogue.Selection{Entry: rapid.SampledFrom(catalogue.Entries()).Draw(t, "fault")}
	if n.Entry.Scale != nil {
		n.Severity = rapid.Float64().Draw(t, "number")
	}
	if !n.Entry.WholeRun() {
		n.When.State = rapid.StringMatching(`([a-z][a-z_0-9]{0,20})?`).Draw(t, "state")
		n.When.After = time.Duration(rapid.Int64Range(0, 1e15).Draw(t, "after"))
	}
	if n.When.State == "start" {
		n.When.State = ""
	}
	return n
}

// What is written is read again as it was, to the last digit.
func TestSelectionsReadWhatTheyWrite(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := drawNamed(t)
		again := parsed(t, n.String())
		require.Equal(t, n.Entry.Name, again.Entry.Name)
		require.Equal(t, n.Severity, again.Severity)
		require.Equal(t, n.When, again.When)
	})
}

// Whatever is typed is refused or means the same once it is written out; and a case takes it
// or says what is wrong.
func FuzzParse(f *testing.F) {
	for _, text := range []string{"lining-worn=0.35@press_down+120ms", "drive-trips", "load-left-out", "cancelled@travel", "x=@+", "brake-hot=1e308@start+1h"} {
		f.Add(text)
	}
	c, _, err := scenarios.LoadCase(demo, scenarios.Overrides{})
	require.NoError(f, err)
	f.Fuzz(func(t *testing.T, text string) {
		n, err := catalogue.Parse(text)
		if err != nil {
			return
		}
		require.Equal(t, n.String(), parsed(t, n.String()).String())
		s := c.Scenario
		addTo(t, n, &s, c)
		made, _, err := c.With(s)
		require.Equal(t, made == nil, err != nil)
	})
}

// A number that no target takes is refused with the range, however far out it is.
func TestNumbersOutsideTheTargetAreRefused(t *testing.T) {
	c := load(t, demo, nil)
	for text, want := range map[string]string{
		"lining-worn=2.5":           `brake.condition is "2.5"; must be between 0 and 2`,
		"link-slow=1e300":           `clock.link_delay_scans is "1000000000"; must be between 0 and 16`,
		"brake-closes-late=1e300":   "must be between",
		"interval-wrong=-1":         "must be between",
		"lining-worn=1e308":         "must be between 0 and 2",
		"current-limit-low=-1e308":  "must be between",
		"lining-worn@prees_down":    `there is no state "prees_down"`,
		"encoder-scale-wrong=1e-99": "must be between 0.5 and 2",
	} {
		s := c.Scenario
		addTo(t, parsed(t, text), &s, c)
		made, _, err := c.With(s)
		require.Nil(t, made, text)
		require.Contains(t, problem.Of(err)[0].Message, want, text)
	}
}

// A scenario that shares its maps and slices with another leaves them alone.
func TestAddToSharesNothing(t *testing.T) {
	c := load(t, "window-too-wide", nil)
	before := maps.Clone(c.Scenario.Set)
	s, other := c.Scenario, c.Scenario
	s.Faults = append(make([]sim.Fault, 0, 8), s.Faults...)
	other.Faults = s.Faults
	for _, text := range []string{"load-left-out", "lining-worn=0.5@close_brake", "cancelled"} {
		addTo(t, parsed(t, text), &s, c)
	}
	addTo(t, parsed(t, "drive-trips"), &other, c)
	require.Equal(t, before, c.Scenario.Set)
	require.Equal(t, "-test_torque_nm", s.Set["sequence.required_down_nm"])
	require.Len(t, s.Faults, 3)
	require.Equal(t, map[string]string{"brake.condition": "0.5"}, s.Faults[1].Set)
	require.Equal(t, 200*time.Millisecond, s.Faults[2].For)
}

// A fault of the data fits where its parameters are: the hasty sequence has no partner to
// leave coupled, and a place to test at.
func TestFitsCaseLooksAtTheSequence(t *testing.T) {
	reference, hasty := load(t, demo, nil), load(t, "press-up-without-load", nil)
	for name, want := range map[string][2]bool{
		"load-left-out": {true, false}, "press-margin-left-out": {true, false}, "test-on-the-wrap": {true, true},
		"lining-worn": {true, true}, "partner-left-coupled": {false, false}, "test-position-low-load": {false, false},
		"window-too-wide": {true, true}, "emergency-stop": {true, true},
	} {
		f := parsed(t, name).Entry
		assert.Equal(t, want, [2]bool{f.FitsCase(reference), f.FitsCase(hasty)}, name)
	}
}

// What the trade says of a fault in the reference sequence on a sound brake or a weak one.
func TestSelectionsSetTheirValues(t *testing.T) {
	for _, k := range []struct {
		rig, faults string
		class       sim.Class
		cause       string
	}{
		{"pane-hoist", "cancelled@verdict_down+200ms", sim.Refused, "cancelled"},
		{"pane-hoist", "emergency-stop@press_down", sim.Refused, "estop"},
		{"pane-hoist", "power-lost-briefly@verdict_down+200ms", sim.Refused, "power-lost"},
		{"pane-hoist", "trigger-twice@press_down", sim.SoundPass, ""},
		{"pane-hoist", "verdict-stuck", sim.Refused, "no-answer"},
		{"pane-hoist", "current-frozen", sim.Refused, "current-frozen"},          // no reading stands still
		{"pane-hoist", "current-frozen@press_up", sim.Refused, "current-frozen"}, // proven downwards
		{"pane-hoist", "drive-hot", sim.Refused, "torque-not-reached"},           // likewise
		{"twin-lift", "judge-current-gain-wrong@press_up", sim.Refused, "over-torque"},
		{"pane-hoist", "feedback-missing", sim.Refused, "brake-not-closed"},
		{"pane-hoist", "feedback-chatters", sim.Refused, "brake-not-closed"},
		{"kiln-gate", "encoder-wraps-wrong@verdict_up+300ms", sim.Refused, "moved"},
		{"pane-hoist", "press-too-slow=0.02", sim.Refused, "torque-not-reached"},
		{"pane-hoist", "test-directions-exchanged", sim.FalseAlarm, "torque-not-reached"},
		{"pane-hoist", "press-margin-left-out", sim.FalseAlarm, "no-dwell"},
		// A weak brake is proven by figures that are wrong: 9 N·m rated, 3.65 required.
		{"pane-hoist", "rms-for-amplitude lining-worn=0.38", sim.Missed, ""},
		{"pane-hoist", "lining-worn=0.38", sim.Caught, "moved"},
		{"pane-hoist", "test-at-a-stop lining-worn=0.3", sim.Caught, "excessive-travel-torque"}, // the sequence looks at the load
		{"twin-lift", "partner-left-coupled lining-worn=0.38", sim.Missed, ""},
		{"tilt-arm", "test-position-low-load lining-worn=0.35", sim.Missed, ""},
		{"pane-hoist", "current-gain-wrong=1.2", sim.Refused, "excessive-travel-torque"}, // the torque reads a fifth too high
	} {
		scenario := demo
		if k.rig == "pane-hoist" && strings.HasPrefix(k.faults, "test-at-a-stop") {
			scenario = "healthy-down" // pressed up, no stop carries any load
		}
		c, _, err := scenarios.LoadCase(scenario, scenarios.Overrides{Rig: k.rig})
		require.NoError(t, err)
		s := c.Nominal().Scenario
		for _, text := range strings.Fields(k.faults) {
			addTo(t, parsed(t, text), &s, c)
		}
		made, _, err := c.With(s)
		require.NoError(t, err)
		r, err := sim.Run(made, nil)
		require.NoError(t, err)
		assert.Equal(t, k.class, r.Class, "%s on %s: %s", k.faults, k.rig, r.Cause)
		assert.Equal(t, k.cause, r.Cause, "%s on %s", k.faults, k.rig)
	}
}

// The parameters of a sequence are the engineer's to name: a fault of the data finds them by their
// roles, and one whose roles are missing says so.
func TestFaultsOfTheDataGoByRoles(t *testing.T) {
	c := load(t, demo, nil)
	about := *c.Sequence
	about.Roles = map[string]string{}
	for role, param := range c.Sequence.Roles {
		about.Roles[role] = "my_" + param
	}
	f := parsed(t, "rms-for-amplitude").Entry
	set, missing := f.SettingsOn(&c.Rig, &about)
	assert.Empty(t, missing)
	assert.Equal(t, map[string]string{
		"sequence.my_required_down_nm": "-(my_test_torque_nm - my_load_torque_nm) / 1.41421356",
		"sequence.my_required_up_nm":   "(my_test_torque_nm + my_load_torque_nm) / 1.41421356",
	}, set)
	place := parsed(t, "test-on-the-wrap").Entry
	own := c.Rig
	own.Sequence = map[string]string{"my_test_position_mm": "777"}
	set, _ = place.SettingsOn(&own, &about)
	wrap, err := strconv.ParseFloat(set["sequence.my_test_position_mm"], 64)
	require.NoError(t, err)
	assert.InDelta(t, 777, wrap, 5, "the wrap of 10 mm a turn next to it")
	d := c.Sequence.Source.(sequence.Document).Clone()
	d.Roles = nil
	_, err = catalogue.WithFaults(withDocument(t, c, d), parsed(t, "rms-for-amplitude"))
	require.ErrorContains(t, err, "gives none the role test_torque, load_torque, required_down, required_up")
}

func withDocument(t *testing.T, c *sim.Case, d sequence.Document) *sim.Case {
	t.Helper()
	made, _, err := c.WithSequence(d)
	require.NoError(t, err)
	return made
}

// addTo adds a fault to a scenario on the rig and with the sequence of a case.
func addTo(t *testing.T, n catalogue.Selection, s *sim.Scenario, c *sim.Case) {
	t.Helper()
	require.NoError(t, n.AddTo(s, &c.Rig, c.Sequence))
}
