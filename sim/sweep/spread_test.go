package sweep

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"holdbench/plant"
	"holdbench/plant/portable"
	"holdbench/sim"
)

// The rig of the demo carries 180 kg and its brake responds in 25 ms.
func TestParseSpread(t *testing.T) {
	c := load(t, demo, nil)
	mass, delay := c.Rig.Load.MassKG, c.Rig.Brake.ResponseDelay.Seconds()
	for _, s := range []struct {
		text string
		z    float64
		want float64
	}{
		{"rig.load.mass_kg=normal(200, 5)", 2, 210},
		{"rig.load.mass_kg = normal( 100% , 5% )", -1, 0.95 * mass},
		{"rig.load.mass_kg=uniform(100, 300)", 0, 200},
		{"rig.load.mass_kg=normal(200, 5, 195, 300)", -40, 195},
		{"rig.load.mass_kg=triangular(100, 150, 200)", 0, 150},
		{"rig.brake.response_delay=uniform(40ms, 60ms)", 0, 0.05},
		{"rig.brake.response_delay=normal(110%, 1ms)", 1, 1.1*delay + 0.001},
		{"judge.dwell=uniform(500ms, 1.5s)", 0, 1},
		{"sequence.press_margin=normal(1.1, 0.01)", -2, 1.08},
		{"capacity=uniform(80%, 120%)", 0, 1},
		{"friction=uniform(0.5, 2)", 0, 1.25},
	} {
		spread, err := ParseSpread(c, s.text)
		require.NoError(t, err, s.text)
		x, _, isText := spread.value(s.z)
		require.False(t, isText)
		require.InDelta(t, s.want, x, 1e-9*s.want, s.text)
	}
}

// What a spread draws is what its name says: mean and deviation are those of the textbook
// (Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions 1 and 2, 1994 and 1995;
// from memory), within five standard errors of the mean.
func TestSpreadsHaveTheirDistribution(t *testing.T) {
	c := load(t, demo, nil)
	const n = 20000
	for _, s := range []struct {
		text            string
		mean, deviation float64
	}{
		{"rig.load.mass_kg=normal(200, 5)", 200, 5},
		{"rig.load.mass_kg=uniform(100, 300)", 200, 200 / math.Sqrt(12)},
		{"rig.load.mass_kg=triangular(100, 150, 300)", 550.0 / 3, math.Sqrt((100*100 + 150*150 + 300*300 - 100*150 - 100*300 - 150*300) / 18.0)},
		// one side of a normal distribution: mean σ√(2/π), variance σ²(1 − 2/π)
		{"rig.load.mass_kg=normal(200, 5, 200, 1000)", 200 + 5*math.Sqrt(2/math.Pi), 5 * math.Sqrt(1-2/math.Pi)},
		{"rig.load.mass_kg=table(100: 3, 300: 1)", 150, 100 * math.Sqrt(3) / 2},
	} {
		spread, err := ParseSpread(c, s.text)
		require.NoError(t, err, s.text)
		var x []float64
		for run := range n {
			v, _, _ := spread.value(source(1, run, spread.Key).NormFloat64())
			x = append(x, v)
		}
		mean, deviation := stat.MeanStdDev(x, nil)
		require.InDelta(t, s.mean, mean, 5*s.deviation/math.Sqrt(n), s.text)
		require.InDelta(t, s.deviation, deviation, 0.03*s.deviation, s.text)
	}
}

// A draw farther out is never a smaller number: halves and tilts rest on that.
func TestSpreadsRise(t *testing.T) {
	c := load(t, demo, nil)
	texts := []string{
		"rig.load.mass_kg=normal(200, 5)", "rig.load.mass_kg=normal(200, 5, 190, 215)", "rig.load.mass_kg=uniform(100, 300)",
		"rig.load.mass_kg=triangular(100, 150, 200)", "rig.load.mass_kg=triangular(100, 100, 200)",
	}
	rapid.Check(t, func(t *rapid.T) {
		spread, err := ParseSpread(c, rapid.SampledFrom(texts).Draw(t, "spread"))
		require.NoError(t, err)
		a := rapid.Float64Range(-9, 9).Draw(t, "a")
		b := rapid.Float64Range(a, 9).Draw(t, "b")
		x, _, _ := spread.value(a)
		y, _, _ := spread.value(b)
		require.LessOrEqual(t, x, y)
	})
}

// What is assumed fits every built-in rig, and leaves out what a rig has none of.
func TestAssumedSpreadsFit(t *testing.T) {
	const payload, second = 1, 4
	for name, left := range map[string]int{
		demo: payload + second, "healthy-arm": payload + second, "healthy-counterbalanced": payload + second,
		"healthy-coupled-pair": payload + second, "healthy-with-payload": second, "healthy-two-brakes": payload,
	} {
		list, err := AssumedFor(load(t, name, nil))
		require.NoError(t, err)
		require.Len(t, list, len(Assumed())-left, name)
	}
	list, err := AssumedFor(load(t, demo, map[string]string{"rig.encoder.noise_deg": "0", "rig.brake.ambient_c": "0"}))
	require.NoError(t, err)
	require.Len(t, list, len(Assumed())-payload-second-1)
}

// assumedText is the assumed spread of a key on a case, empty if there is none.
func assumedText(t *testing.T, c *sim.Case, key string) string {
	t.Helper()
	list, err := AssumedFor(c)
	require.NoError(t, err)
	for i := range list {
		if list[i].Key == key {
			return list[i].Text
		}
	}
	return ""
}

// A second brake varies as the first does. One behind a gear of 20:1 turns by a twentieth, and so
// creeps by a twentieth: 30/20 = 1.5 deg/s of its own shaft.
func TestAssumedOfTheSecondBrake(t *testing.T) {
	c := load(t, "healthy-two-brakes", nil)
	require.Equal(t, assumedText(t, c, "rig.brake.response_delay"), assumedText(t, c, "rig.brake_2.response_delay"))
	require.Equal(t, "table(0: 0.8, 30: 0.2)", assumedText(t, c, "rig.brake.creep_deg_per_s"))
	require.Equal(t, "table(0: 0.8, 1.5: 0.2)", assumedText(t, c, "rig.brake_2.creep_deg_per_s"))
	c = load(t, "healthy-two-brakes", map[string]string{"rig.brake_2.place": "motor"})
	require.Equal(t, "table(0: 0.8, 30: 0.2)", assumedText(t, c, "rig.brake_2.creep_deg_per_s"))
}

// The payload of the test varies as a weighed mass does, within the payloads in operation.
func TestAssumedPayload(t *testing.T) {
	const key = "rig.load.payload_kg"
	for _, test := range []struct{ least, most, want string }{
		{"0", "150", "normal(100%, 2%, 90%, 110%)"},
		{"0", "0", "normal(100%, 2%, 90%, 110%)"},
		{"0", "40", "normal(100%, 2%, 36, 40)"},
		{"39", "41", "normal(100%, 2%, 39, 41)"},
		{"40", "40", ""},
	} {
		c := load(t, "healthy-with-payload", map[string]string{"rig.load.payload_least_kg": test.least, "rig.load.payload_most_kg": test.most})
		require.Equal(t, test.want, assumedText(t, c, key), test)
	}
}

// The capacity of a second brake is a spread of its own, and that of a run is the weaker one's.
func TestCapacityOfTheSecondBrake(t *testing.T) {
	_, err := ParseSpread(load(t, demo, nil), "capacity_2=uniform(0.7, 1.6)")
	require.ErrorContains(t, err, "rig pane-hoist has one brake, so that capacity_2 cannot vary")
	c := load(t, "healthy-two-brakes", nil)
	rig := c.Rig
	require.NoError(t, setCapacity(&rig, CapacityKey, 1.4))
	require.NoError(t, setCapacity(&rig, Capacity2Key, 0.8))
	d := plant.Derive(&rig)
	require.InEpsilon(t, 1.4, d.BrakeCapacityNM/d.RequiredTestNM, 1e-5)
	require.InEpsilon(t, 0.8, d.Brake2CapacityNM/d.RequiredTestNM, 1e-5)
	varied, err := c.Varied(rig, 1, nil)
	require.NoError(t, err)
	r, err := sim.Run(varied, nil)
	require.NoError(t, err)
	require.Equal(t, sim.Caught, r.Class)
	rec := (&Plan{Case: c}).record(0, 0, &draw{}, nil, r)
	require.InEpsilon(t, 0.8, rec.Ratio(), 1e-5)
}

func TestTablesOfWords(t *testing.T) {
	c := load(t, demo, nil)
	s, err := ParseSpread(c, "rig.brake.feedback_signal=table(actual: 9, closed: 1)")
	require.NoError(t, err)
	closed := 0
	random := rand.New(rand.NewPCG(1, 2))
	const n = 10000
	for range n {
		z := random.NormFloat64()
		_, text, isText := s.value(z)
		require.True(t, isText)
		require.Equal(t, text == "closed", s.upper(z))
		if text == "closed" {
			closed++
		}
	}
	reach := 5 * math.Sqrt(n*0.1*0.9) // of a binomial
	require.InDelta(t, n/10, closed, reach)
}

func TestParseSpreadErrors(t *testing.T) {
	c := load(t, demo, nil)
	for text, want := range map[string]string{
		"":                          `"" is no spread; must be KEY=DISTRIBUTION such as rig.load.mass_kg=normal(180, 5)`,
		"capacity":                  `"capacity" is no spread; must be KEY=DISTRIBUTION such as rig.load.mass_kg=normal(180, 5)`,
		"rig.load.mas_kg=x":         `"rig.load.mas_kg" cannot vary between runs; the nearest valid one is "rig.load.mass_kg"`,
		"load.mass_kg=x":            `"load.mass_kg" cannot vary between runs; the nearest valid one is "rig.load.mass_kg"`,
		"sequence.none=x":           `"sequence.none" cannot vary between runs; the nearest valid one is "sequence.coupled"`,
		"capacity=1.5":              `capacity is "1.5"; must be one of normal(MEAN, DEVIATION), normal(MEAN, DEVIATION, LOWEST, HIGHEST), uniform(LOWEST, HIGHEST), triangular(LOWEST, LIKELIEST, HIGHEST), table(VALUE: WEIGHT, ...)`,
		"capacity=normal(1)":        `capacity=normal(1): there is no distribution normal with 1 numbers; must be one of normal(MEAN, DEVIATION), normal(MEAN, DEVIATION, LOWEST, HIGHEST), uniform(LOWEST, HIGHEST), triangular(LOWEST, LIKELIEST, HIGHEST), table(VALUE: WEIGHT, ...)`,
		"capacity=normal(1, 0)":     `capacity=normal(1, 0): the deviation is 0; must be above 0`,
		"capacity=normal(1, x)":     `capacity=normal(1, x): "x" is no number; must be one such as 1.5, or a percentage such as 110%`,
		"judge.dwell=uniform(1, 2)": `judge.dwell=uniform(1, 2): "1" is no duration; must be one such as 45ms, or a percentage such as 110%`,
		"capacity=normal(NaN, 1)":   `capacity=normal(NaN, 1): "NaN" is no number; must be one such as 1.5, or a percentage such as 110%`,
		"capacity=uniform(2, 1)":    `capacity=uniform(2, 1): the range is 2 to 1; the lowest must be below the highest`,

		"capacity=triangular(1, 3, 2)":            `capacity=triangular(1, 3, 2): the values are 1, 3 and 2; must rise`,
		"capacity=normal(1, 0.01, 9, 10)":         `capacity=normal(1, 0.01, 9, 10): the distribution has no share between 9 and 10; the lowest must be below the highest, near the mean`,
		"capacity=table(1)":                       `capacity=table(1): "1" has no weight; must be VALUE: WEIGHT`,
		"capacity=table(1: 0)":                    `capacity=table(1: 0): weight "0" of "1"; must be a number above 0`,
		"rig.brake.feedback_signal=uniform(0, 1)": `rig.brake.feedback_signal=uniform(0, 1): the value is no number; must be a table of its words`,
		"rig.drive.ready=normal(100%, 10%)":       `rig.drive.ready=normal(100%, 10%): the value is no number; must be a table of its words`,
	} {
		_, err := ParseSpread(c, text)
		require.EqualError(t, err, want)
	}
}

// Whatever the text, it is a spread or is refused, and what a spread draws is a number.
func FuzzSpread(f *testing.F) {
	for _, text := range Assumed() {
		f.Add(text)
	}
	f.Add("rig.brake.feedback_signal=table(actual: 9, closed: 1)")
	f.Add("capacity=triangular(-1e308, 0, 1e308)")
	c := load(f, demo, nil)
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseSpread(c, text)
		if err != nil {
			return
		}
		for _, z := range []float64{-40, -1, 0, 1, 40} {
			x, _, _ := s.value(z)
			require.False(t, math.IsNaN(x), "%s at %g", text, z)
		}
	})
}

// The share below z is that of a standard normal distribution: 0.9772 below two deviations
// (any table of it).
func TestShare(t *testing.T) {
	require.InDelta(t, 0.9772, portable.NormalCDF(2), 5e-5)
	require.InDelta(t, distuv.UnitNormal.CDF(-3), portable.NormalCDF(-3), 1e-15)
}
