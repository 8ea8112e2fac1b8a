package trend_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/sim/evaluate"
	"holdbench/sim/trend"
)

var noise = []float64{0.3, -0.5, 0.1, 0.4, -0.2, -0.4, 0.5, -0.1, 0.2, -0.3}

// weekly is a closing time in ms, a test a week, by the number of the week.
func weekly(n int, limit *trend.Limit, level func(week float64) float64) trend.Series {
	s := trend.Series{Quantity: trend.Quantities()[4], Limit: limit}
	for i := range n {
		s.Times = append(s.Times, float64(7*i))
		s.Values = append(s.Values, level(float64(i))+noise[i%len(noise)])
	}
	return s
}

func look(s trend.Series) trend.Trend {
	first := time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC)
	asOf := 0.0
	if n := len(s.Times); n > 0 {
		asOf = s.Times[n-1]
	}
	return trend.Analyse([]trend.Series{s}, trend.Axis{Dated: true, First: first}, trend.Options{AsOf: asOf}).Trends[0]
}

// What a service engineer wants to hear of a closing time with a limit of 60 ms.
func TestAdvice(t *testing.T) {
	limit := trend.AtMost(60, "data sheet")
	steady := func(float64) float64 { return 40 }
	for name, x := range map[string]struct {
		series  trend.Series
		word    string
		why     string
		finding bool
	}{
		"none":      {weekly(0, limit, steady), trend.Watch, "no test shows it", false},
		"thin":      {weekly(9, limit, steady), trend.Watch, "more tests are needed: there are 9,", false},
		"steady":    {weekly(30, limit, steady), trend.NoTrend, "none is found", false},
		"rises":     {weekly(30, limit, func(w float64) float64 { return 40 + w/2 }), trend.Service, "it rises and may reach the limit by then, within the horizon", true},
		"slowly":    {weekly(30, limit, func(w float64) float64 { return 40 + w/15 }), trend.Service, "it rises and may reach the limit by then, beyond the horizon", false},
		"away":      {weekly(30, limit, func(w float64) float64 { return 40 - w/2 }), trend.Trending, "falls, away from the limit", false},
		"unlimited": {weekly(30, nil, func(w float64) float64 { return 40 + w/2 }), trend.Watch, "no limit is known", false},
		"reached":   {weekly(30, limit, func(w float64) float64 { return 40 + w }), trend.LimitReached, "newest", true},
		"at once":   {weekly(3, limit, func(w float64) float64 { return 40 + 15*w }), trend.LimitReached, "newest", true},
		"falls":     {weekly(30, &trend.Limit{Low: 20, High: math.Inf(1)}, func(w float64) float64 { return 40 - w/2 }), trend.Service, "it falls and may reach the limit by then", true},
		"creeps":    {weekly(30, trend.AtMost(1e6, ""), func(w float64) float64 { return 40 + w/2 }), trend.Trending, "it rises, too slowly to come to the limit", false},
		"passed": {weekly(30, limit, func(w float64) float64 {
			if w == 5 || w == 7 {
				return 61
			}
			return 40
		}), trend.Watch, "no trend: none is found; at the limit or past it: 2 of 30 tests, the last 2026-02-23", false},
		// A new level just below the limit, which two tests of it have reached.
		"step": {weekly(30, limit, func(w float64) float64 {
			switch {
			case w == 20 || w == 22:
				return 60
			case w > 15:
				return 59
			}
			return 40
		}), trend.Watch, "since the last change of level; look for its cause if no service explains it; at the limit or past it: 2 of 30 tests", false},
		// Ten values that rise by chance: no trend at the level, and the limit is near.
		"unclear": {weekly(10, trend.AtMost(41, ""), func(w float64) float64 { return 40 + w/40 }), trend.Watch, "do not rule out", false},
	} {
		got := look(x.series)
		assert.Equal(t, x.word, got.Word, name)
		assert.Contains(t, got.Why, x.why, name)
		assert.Equal(t, x.finding, got.Finding, name)
	}
}

// A line that rises by half a millisecond a week meets 60 ms 40 weeks after the first test, on 12 October.
func TestServiceBeforeADate(t *testing.T) {
	got := look(weekly(30, trend.AtMost(60, ""), func(w float64) float64 { return 40 + w/2 }))
	assert.InDelta(t, 0.5/7, got.Line.Slope, 0.002)
	assert.InDelta(t, 280, got.Meets.Meets, 10)
	assert.Less(t, got.Meets.Earliest, 280.0)
	assert.Greater(t, got.Meets.Latest, 275.0)
	assert.Regexp(t, `2026-(09|10)-\d\d`, got.Before.Date)
}

// A brake is exchanged after 20 weeks: its closing time falls at once, and the trend is that of the new one.
func TestTrendIsTakenAfterAChangeOfLevel(t *testing.T) {
	got := look(weekly(45, trend.AtMost(60, ""), func(w float64) float64 {
		if w < 20 {
			return 50
		}
		return 40 + (w-20)/8
	}))
	require.Len(t, got.Changes, 1)
	assert.Equal(t, 20, got.Start)
	assert.Equal(t, "2026-05-18", got.Changes[0].After.Date)
	assert.Equal(t, "2026-05-25", got.Changes[0].Before.Date)
	assert.Less(t, got.Changes[0].Shift, -7.0)
	assert.Equal(t, trend.Service, got.Word)
	assert.InDelta(t, 0.125/7, got.Line.Slope, 0.003)
	steady := look(weekly(45, trend.AtMost(60, ""), func(w float64) float64 { return 40 + w/8 }))
	assert.Empty(t, steady.Changes, "a steady rise is no change of level")
}

// Errors of the first order with 0.6 are told in most series, independent ones in one of twenty.
func TestNeighboursThatDependAreTold(t *testing.T) {
	told := map[float64]int{}
	for seed := range uint64(100) {
		for _, share := range []float64{0, 0.6} {
			random, last := rand.New(rand.NewPCG(3, seed)), 0.0
			got := look(weekly(60, nil, func(float64) float64 {
				last = share*last + random.NormFloat64()
				return 40 + last
			}))
			if got.Serial != nil && got.Serial.Dependent() {
				told[share]++
			}
		}
	}
	assert.Greater(t, told[0.6], 80)
	assert.Less(t, told[0], 12)
}

// Nothing that can be measured makes an analysis fail, or find something without a reason.
func TestAnySeries(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 40).Draw(t, "n")
		s := trend.Series{Quantity: trend.Quantities()[rapid.IntRange(0, 6).Draw(t, "quantity")], Limit: trend.AtMost(rapid.Float64Range(-5, 5).Draw(t, "limit"), "")}
		day := 0.0
		for range n {
			day += float64(rapid.IntRange(0, 3).Draw(t, "later"))
			s.Times, s.Values = append(s.Times, day), append(s.Values, float64(rapid.IntRange(-4, 4).Draw(t, "value")))
		}
		got := look(s)
		assert.NotEmpty(t, got.Word)
		assert.NotEmpty(t, got.Why)
		assert.False(t, got.Found && got.Tests() < trend.LeastTests)
		assert.Equal(t, got.Word == trend.Service, got.Before != nil)
	})
}

func TestLimits(t *testing.T) {
	names, l, err := trend.ParseLimit("movement_deg=0.8")
	require.NoError(t, err)
	assert.Equal(t, []string{"movement_down_deg", "movement_up_deg", "brake_2_movement_down_deg", "brake_2_movement_up_deg"}, names)
	assert.Equal(t, 0.8, l.High)
	names, l, err = trend.ParseLimit("holding_rms_a=3..6.5")
	require.NoError(t, err)
	assert.Equal(t, []string{"holding_rms_a"}, names)
	assert.Equal(t, [2]float64{3, 6.5}, [2]float64{l.Low, l.High})
	for text, wants := range map[string]string{
		"closing_ms": "has no value", "closing_s=0.06": "no quantity; must be one of", "closing_ms=fast": "no number",
		"closing_ms=": "no limit", "closing_ms=..": "no limit", "closing_ms=5..4": "no limit", "closing_ms=NaN": "no number", "closing_ms=Inf": "no number",
	} {
		_, _, err := trend.ParseLimit(text)
		assert.ErrorContains(t, err, wants, text)
	}
}

// A limit in another unit is refused where every test is past it by far, and told of where it is far away.
func TestLimitsInAnotherUnit(t *testing.T) {
	quantity := func(name string) trend.Quantity {
		for _, q := range trend.Quantities() {
			if q.Name == name {
				return q
			}
		}
		panic(name)
	}
	for _, x := range []struct{ limit, refused, note string }{
		{"closing_ms=60", "", ""},
		{"closing_ms=0.06", "closing_ms=0.06 is less than 1/20 of every test: the tests have 39 to 52 ms; must be in ms: 0.06 s are closing_ms=60", ""},
		{"closing_ms=60000", "", "more than 20 times every test: the tests have 39 to 52 ms; must be in ms: 60000 µs are closing_ms=60"},
		{"closing_ms=30", "", "every test is past the limit of closing_ms: the tests have 39 to 52 ms"},
		{"closing_ms=2000..3000", "closing_ms=2000.. is more than 20 times every test", ""},
		{"closing_ms=1..60", "", ""},
		{"movement_down_deg=2.4", "", ""}, // a window of many increments
		{"movement_down_deg=120", "", "must be in deg: 120 mdeg are movement_down_deg=0.12"},
		{"stopping_mm=0.025", "must be in mm: 0.025 m are stopping_mm=25", ""},
	} {
		names, limit, err := trend.ParseLimit(x.limit)
		require.NoError(t, err)
		s := trend.Series{Quantity: quantity(names[0]), Limit: limit}
		note, err := s.DoubtLimit()
		require.NoError(t, err, "no test shows it")
		assert.Empty(t, note)
		s.Values = map[string][]float64{"closing_ms": {39, 52, 45}, "movement_down_deg": {0.02, 0.06}, "stopping_mm": {12, 14}}[names[0]]
		note, err = s.DoubtLimit()
		if x.refused == "" {
			require.NoError(t, err, x.limit)
		} else {
			require.ErrorContains(t, err, x.refused)
		}
		assert.Contains(t, note, x.note)
		assert.Equal(t, x.note == "", note == "", "%s: %s", x.limit, note)
	}
}

// tests are closing times in s of a rig, a week apart.
func tests(closing ...float64) []trend.Test {
	var all []trend.Test
	for i := range closing {
		all = append(all, trend.Test{
			Name: string(rune('a'+i)) + ".json", At: time.Date(2026, 1, 5+7*i, 0, 0, 0, 0, time.UTC), Recording: string(rune('a' + i)),
			Rig: "axis", RigSHA256: "1", Figures: evaluate.Figures{ClosingS: &closing[i]},
		})
	}
	return all
}

func TestHistory(t *testing.T) {
	all := tests(0.04, 0.05, 0.06, 0.07)
	all[0], all[2] = all[2], all[0]
	day := func(text string) time.Time {
		at, err := time.Parse(time.DateOnly, text)
		require.NoError(t, err)
		return at
	}
	h, err := trend.NewHistory(all, trend.Period{Since: day("2026-01-12"), AsOf: day("2026-01-19")})
	require.NoError(t, err)
	s := h.Series(nil)[4]
	assert.InDeltaSlice(t, []float64{50, 60}, s.Values, 1e-12)
	assert.Equal(t, []float64{7, 14}, s.Times)
	assert.Equal(t, "2026-01-12", h.Moment(7).Date)
	assert.Empty(t, h.Notes)

	moved := 0.02
	all[1].Figures2 = &evaluate.Figures{MovementUpDeg: &moved}
	h, err = trend.NewHistory(all, trend.Period{ByNumber: true})
	require.NoError(t, err)
	assert.InDeltaSlice(t, []float64{60, 50, 40, 70}, h.Series(nil)[4].Values, 1e-12)
	assert.Equal(t, trend.Moment{At: 4}, *h.Moment(4))
	second := h.Series(nil)[10]
	assert.Equal(t, "brake_2_movement_up_deg", second.Quantity.Name)
	assert.Equal(t, [][]float64{{2}, {0.02}}, [][]float64{second.Times, second.Values})
	assert.Len(t, h.Notes, 1)

	same := tests(0.04, 0.05, 0.06)
	same[1].At, same[2].Recording, same[1].Version = same[0].At, "a", "other"
	h, err = trend.NewHistory(same, trend.Period{})
	require.NoError(t, err)
	assert.Len(t, h.Tests, 2)
	require.Len(t, h.Notes, 3)
	assert.Contains(t, h.Notes[0], "c.json is of the same recording as a.json")
}

// A requirement that was assumed is reported, and the bare test torque proves nothing.
func TestAssumedRequirementsAreTold(t *testing.T) {
	all := tests(0.04, 0.05, 0.06, 0.07)
	for i, against := range []string{evaluate.RequirementSized, evaluate.RequirementRecorded, evaluate.RequirementSized, evaluate.RequirementBare} {
		all[i].Verdict, all[i].Requirement = evaluate.Proven, against
	}
	h, err := trend.NewHistory(all, trend.Period{})
	require.NoError(t, err)
	require.Len(t, h.Notes, 2)
	assert.Equal(t, "tests judged against the sized requirement, as none is recorded: 2 of 4, as c.json", h.Notes[0])
	assert.Contains(t, h.Notes[1], "against the bare test torque, as no requirement is recorded and the rig cannot be sized: these are no proof: 1 of 4, as d.json")
	assert.Equal(t, []int{3}, h.Unproven())
	assert.False(t, h.NewestProven())
}

// A stop by the drive says nothing of the brake, and is left out.
func TestStopsByTheDriveAreLeftOut(t *testing.T) {
	all, way := tests(0.04, 0.05), 12.0
	all[0].Figures.StoppingMM, all[0].Figures.StoppingBy = &way, evaluate.ByDrive
	all[1].Figures.StoppingMM, all[1].Figures.StoppingBy = &way, evaluate.ByBrake
	h, err := trend.NewHistory(all, trend.Period{})
	require.NoError(t, err)
	for _, s := range h.Series(nil) {
		if s.Quantity.Name == "stopping_mm" {
			assert.Equal(t, []float64{12}, s.Values)
		}
	}
	require.Len(t, h.Notes, 1)
	assert.Contains(t, h.Notes[0], "not by the brake alone, or not known: 1;")
}

func TestTestsThatAreNoHistory(t *testing.T) {
	for wants, change := range map[string]func(all []trend.Test, p *trend.Period){
		"b.json: is a test of the rig other, and a.json is one of axis":   func(all []trend.Test, _ *trend.Period) { all[1].Rig = "other" },
		"b.json: was judged by another document of the rig axis":          func(all []trend.Test, _ *trend.Period) { all[1].RigSHA256 = "2" },
		"c.json: the date of the test is not known":                       func(all []trend.Test, _ *trend.Period) { all[2].At = time.Time{} },
		"there is no test up to 2025-01-01":                               func(_ []trend.Test, p *trend.Period) { p.AsOf = time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC) },
		"there is no test since 2027-01-01":                               func(_ []trend.Test, p *trend.Period) { p.Since = time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC) },
		"--since and --as-of need dates, and the tests are counted by nu": func(_ []trend.Test, p *trend.Period) { p.Since, p.ByNumber = time.Unix(1, 0), true },
		"the first test is of 1800-01-05":                                 func(all []trend.Test, _ *trend.Period) { all[0].At = time.Date(1800, 1, 5, 0, 0, 0, 0, time.UTC) },
		"or --as-of, more than 50 years":                                  func(_ []trend.Test, p *trend.Period) { p.AsOf = time.Date(2300, 1, 1, 0, 0, 0, 0, time.UTC) },
	} {
		all, p := tests(0.04, 0.05, 0.06), trend.Period{}
		change(all, &p)
		_, err := trend.NewHistory(all, p)
		require.ErrorContains(t, err, wants)
	}
	_, err := trend.NewHistory(nil, trend.Period{})
	assert.ErrorContains(t, err, "there are no tests")
}
