package life

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCheckNamesWhatIsWrong(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(p *Plan)
		value string
		says  string
	}{
		{"no shift", func(p *Plan) { p.ShiftsPerDay = 0 }, "shifts", "is 0; must be 1 to 24"},
		{"a shift of nothing", func(p *Plan) { p.Shift = 0 }, "shift", "is 0s; must be"},
		{"too much for a day", func(p *Plan) { p.ShiftsPerDay = 4 }, "shifts", "is 4 of 8h each, 32h a day; must fit into 24h"},
		{"eight days a week", func(p *Plan) { p.DaysPerWeek = 8 }, "days", "is 8; must be 1 to 7"},
		{"a cycle of nothing", func(p *Plan) { p.Cycle = 0 }, "cycle", "is 0s; must be more than 0s"},
		{"windows below zero", func(p *Plan) { p.WindowsPerShift = -1 }, "windows", "is -1"},
		{"a window longer than a shift", func(p *Plan) { p.Window = 9 * hour }, "window", "is 9h; must be 0s to the length of a shift, 8h"},
		{"an interval longer than the span", func(p *Plan) { p.Interval = 27 * week }, "interval", "is 27w, longer than the 26w that are simulated"},
		{"an interval that no judge takes", func(p *Plan) { p.Span, p.Interval = maxSpan, 170*week }, "interval", "is 170w; must be 1m to 27777h46m40s"},
		{"one to compare", func(p *Plan) { p.Intervals = []time.Duration{hour, 30 * week} }, "intervals", "is 30w, longer than"},
		{"a span of nothing", func(p *Plan) { p.Span = 0 }, "span", "is 0s"},
		{"power failures that are no number", func(p *Plan) { p.PowerFailuresPerYear = math.NaN() }, "power-failures", "is NaN"},
		{"stops that are no number", func(p *Plan) { p.StopsPerShift = math.NaN() }, "stops", "is NaN"},
		{"decline above all of it", func(p *Plan) { p.DeclinePerDay = 2 }, "decline", "is 2"},
		{"failure to more than new", func(p *Plan) { p.FailureTo = [2]float64{0.1, 1.5} }, "failure-to", "must be two shares"},
		{"failure the wrong way round", func(p *Plan) { p.FailureTo = [2]float64{0.5, 0.1} }, "failure-to", "the smaller first"},
		{"failures without end", func(p *Plan) { p.FailureEvery = time.Second }, "failure-every", "is 1s; must be 1h to "},
		{"no histories", func(p *Plan) { p.Histories = 0 }, "histories", "is 0"},
		{"too much to keep", func(p *Plan) { p.Histories, p.Interval = 90_000, time.Minute }, "histories", "must be fewer, or --span shorter"},
		{"no runs", func(p *Plan) { p.RunsPerEntry = 0 }, "runs", "is 0"},
		{"a service for ever", func(p *Plan) { p.Service = 60 * week }, "service", "is 60w"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := Default(8 * hour)
			c.spoil(&p)
			found := p.Check()
			require.Len(t, found, 1)
			assert.Equal(t, c.value, found[0].Path)
			assert.Contains(t, found[0].Message, c.says)
		})
	}
	p := Default(8 * hour)
	require.Empty(t, p.Check())
	p.ShiftsPerDay, p.Cycle, p.Span = 0, 0, 0
	assert.Len(t, p.Check(), 3, "all at once")
}

// The example of EN ISO 13849-1, annex C.4.3 (from memory): B10d 60 million operations, 220
// days a year, 16 hours a day, a cycle of 5 s.
func TestOperationsOfTheStandardsExample(t *testing.T) {
	o := Operations{DaysPerYear: 220, HoursPerDay: 16, Cycle: 5 * time.Second, B10d: 60e6}
	assert.InDelta(t, 2_534_400, o.PerYear(), 1e-6)
	assert.InDelta(t, 23.7, o.T10dYears(), 0.05)
	assert.InDelta(t, 237, o.MTTFdYears(), 0.5)
	assert.InDelta(t, 100, o.ChannelMTTFdYears(), 0, "4.5.2: a channel is credited with 100 years at most (from memory)")
	o.B10d = 6e6
	assert.InDelta(t, 23.7, o.ChannelMTTFdYears(), 0.05, "below the cap it is that of the component")
	c := Calendar{ShiftsPerDay: 2, Shift: 8 * hour, DaysPerWeek: 5, Cycle: 5 * time.Second}
	assert.InDelta(t, 2_534_400.0/220*260, c.Operations(0).PerYear(), 1e-6, "52 weeks of 5 days")
}

// Demands are the stops, and the accesses by guard of all shifts: 960 h of 8 h each are 120 shifts.
func TestAccessesAreDemands(t *testing.T) {
	p := Default(8 * hour)
	s := Summary{Tests: 120, Stops: 60, Scheduled: 960 * hour}
	assert.InDelta(t, 60, p.Demands(&s), 1e-9)
	assert.InDelta(t, 2, p.TestsPerDemand(&s), 1e-9)
	p.AccessesPerShift = 2.5
	assert.InDelta(t, 60+300, p.Demands(&s), 1e-9)
	assert.InDelta(t, 120.0/360, p.TestsPerDemand(&s), 1e-9)
	s.Outages = 40
	assert.InDelta(t, 60+40+300, p.Demands(&s), 1e-9)
	p.AccessesPerShift, s.Stops, s.Outages = 0, 0, 0
	assert.True(t, math.IsNaN(p.TestsPerDemand(&s)))
}

func TestDurationsInDaysAndWeeks(t *testing.T) {
	for text, want := range map[string]time.Duration{
		"8h": 8 * hour, "30s": 30 * time.Second, "1h30m": 90 * time.Minute, "3d": 3 * day, "26w": 26 * week, "1.5d": 36 * hour, "0s": 0,
	} {
		got, err := ParseDuration(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
	for _, text := range []string{"", "d", "w", "8", "3x", "1h2d", "1m1w", "1e9w", "9999999w", "NaNd", "-", "1d1d"} {
		_, err := ParseDuration(text)
		require.Error(t, err, text)
	}
	for want, of := range map[string]time.Duration{"26w": 26 * week, "1d": day, "90m": 90 * time.Minute, "8h": 8 * hour, "1.5s": 1500 * time.Millisecond, "10m": 10 * time.Minute} {
		if want == "90m" {
			want = "1h30m"
		}
		assert.Equal(t, want, Text(of))
	}
}

// What is written can be read, and nothing that is read ends in a panic.
func FuzzParseDuration(f *testing.F) {
	for _, seed := range []string{"8h", "26w", "1.5d", "1h2d", "", "-3w", "999999999999w", "µd"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, err := ParseDuration(text)
		if err != nil {
			return
		}
		again, err := ParseDuration(Text(got))
		require.NoError(t, err, Text(got))
		require.Equal(t, got, again)
	})
}

func TestPlanBoundsAreNotOverstepped(t *testing.T) {
	rig := simple()
	p := around(maxInterval, 1)
	p.Span, p.ShiftsPerDay, p.Shift, p.DaysPerWeek = maxSpan, 1, time.Minute, 1
	p.Window, p.StopsPerShift, p.FailureOnce, p.FailureEvery, p.WindowsPerShift = 0, 1e-9, false, maxSpan, 1000
	require.Empty(t, p.Check())
	r := lived(t, p, rig, finds(rig, 1))[0]
	assert.InDelta(t, maxSpan/maxInterval, r.Tests, 1)
	assert.LessOrEqual(t, r.Stops, 1)
}
