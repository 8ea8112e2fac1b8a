package sizing_test

import (
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/plant/problem"
	"holdbench/plant/sizing"
)

// A value that cannot be is refused with the value found and the permitted values, and the
// assumption keeps its value.
func TestAssumptionsAreRefused(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"factor", "much", `is "much"; must be between 0.1 and 10`},
		{"factor", "NaN", `is "NaN"; must be between 0.1 and 10`},
		{"factor", "Inf", `is "Inf"; must be between 0.1 and 10`},
		{"maximum-load-kg", "-1", `is "-1"; must be between 0.001 and 1,000,000 kg`},
		{"torque-constant-tolerance", "5", `is "5"; must be between 0 and 0.5; 0.05 is 5 %`},
		{"margin-scans", "2.5", `is "2.5"; must be a whole number between 0 and 1000`},
		{"dwell", "1", `is "1"; must be a duration such as 8ms, 1.5s or 8h, between 0.001 and 600 s`},
		{"credit-friction", "perhaps", `is "perhaps"; must be true or false`},
		{"nosuch", "1", "nosuch is not an assumption of a sizing"},
	} {
		r := screwRig()
		w := sizing.DefaultAssumptions(&r, nil)
		before := w.Factor
		require.EqualError(t, w.Set(c.name, c.text), c.want)
		assert.Equal(t, before, w.Factor)
	}
}

// Assumptions that contradict each other or the rig are all reported at once.
func TestAssumptionsThatContradict(t *testing.T) {
	r := screwRig()
	w := sizing.DefaultAssumptions(&r, nil)
	for name, text := range map[string]string{"minimum-load-kg": "200", "maximum-load-kg": "100", "test-position-mm": "1300", "counterbalance-loss": "0.1", "creep-mm-s": "1", "dwell": "1s"} {
		require.NoError(t, w.Set(name, text))
	}
	_, err := sizing.Compute(&r, nil, w)
	names := make([]string, len(problem.Of(err)))
	for i, p := range problem.Of(err) {
		names[i] = p.Path
	}
	assert.Equal(t, []string{"minimum-load-kg", "maximum-load-kg", "test-position-mm", "counterbalance-loss", "creep-mm-s"}, names)
}

func TestALoadThatDoesNotPullIsRefused(t *testing.T) {
	r := screwRig()
	r.Load.InclineDeg = 0
	_, err := sizing.Compute(&r, nil, sizing.DefaultAssumptions(&r, nil))
	require.Len(t, problem.Of(err), 1)
	assert.Contains(t, problem.Of(err)[0].Message, "must be a gravity-loaded axis")
}

// A factor below 1 is a brake that may be weaker than the load: the load alone is more.
func TestATestThatNeedsNoPressIsRefused(t *testing.T) {
	r := screwRig()
	w := sizing.DefaultAssumptions(&r, nil)
	require.NoError(t, w.Set("factor", "0.9"))
	_, err := sizing.Compute(&r, nil, w)
	require.Len(t, problem.Of(err), 1)
	assert.Equal(t, "factor", problem.Of(err)[0].Path)
	assert.Contains(t, problem.Of(err)[0].Message, "is 0.9, which the load alone applies to the brake; must be above 0.9573")
}

// For any rig, the requirement of the judge is no less than that, in the direction
// it is for: rounded to nearest, half of the rigs would be tested with too little. Four
// digits cost a thousandth at most.
func TestRequirementsAreRoundedAwayFromZero(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := screwRig()
		r.Load.MassKG = rapid.Float64Range(10, 1000).Draw(t, "mass")
		s, err := sizing.Compute(&r, referenceParams(), sizing.DefaultAssumptions(&r, referenceParams()))
		require.NoError(t, err)
		for id, key := range map[string]string{"required_down_nm": "required_down_nm", "required_up_nm": "required_up_nm", "required_test_torque_nm": "test_torque_nm"} {
			i := slices.IndexFunc(s.Settings, func(one sizing.Setting) bool { return one.Key == "sequence."+key })
			require.GreaterOrEqual(t, i, 0)
			set, err := strconv.ParseFloat(s.Settings[i].Value, 64)
			require.NoError(t, err)
			l, _ := s.Line(id)
			share := set / l.Value
			require.GreaterOrEqual(t, share, 1-1e-12, "%s: %g of %g", key, set, l.Value)
			require.Less(t, share, 1.001, "%s: %g of %g", key, set, l.Value)
		}
	})
}

// Every line has its derivation, IDs are unique and end in a unit where there is one,
// and every value that is to be set has its line.
func TestEveryLineIsWhole(t *testing.T) {
	r := armRig()
	s := compute(t, &r, nil)
	suffixes := map[string]string{"N·m": "_nm", "N·m/s": "_nm_s", "A": "_a", "deg": "_deg", "deg/s": "_deg_s", "mm": "_mm", "mm/s": "_mm_s", "s": "_s", "per dwell": "", "": ""}
	seen := map[string]bool{}
	for _, section := range s.Sections {
		for _, l := range section.Lines {
			assert.False(t, seen[l.ID], l.ID)
			seen[l.ID] = true
			assert.Contains(t, suffixes, l.Unit, l.ID)
			for what, text := range map[string]string{"name": l.Name, "formula": l.Formula, "source": l.Source} {
				assert.NotEmpty(t, text, "%s of %s", what, l.ID)
				assert.Equal(t, strings.TrimSpace(text), text)
			}
			assert.LessOrEqual(t, len([]rune(l.Name)), 26, l.Name)
			assert.True(t, strings.HasSuffix(l.ID, suffixes[l.Unit]), "%s in %s", l.ID, l.Unit)
		}
	}
	for _, one := range s.Settings {
		_, name, _ := strings.Cut(one.Key, ".")
		id := map[string]string{"dwell": "dwell_s", "run_limit": "run_limit_s", "deadline": "deadline_s", "interval": "interval_s", "load_torque_nm": "nominal_load_nm", "test_torque_nm": "required_test_torque_nm"}[name]
		assert.True(t, seen[name] || seen[id], one.Key)
	}
}

// What is a guess or from memory says so, until somebody sets it.
func TestSourcesAreStated(t *testing.T) {
	r := screwRig()
	s := compute(t, &r, nil)
	assert.Contains(t, line(t, &s, "required_test_torque_nm").Source, "from memory")
	assert.Contains(t, line(t, &s, "guaranteed_brake_nm").Source, "from memory")
	assert.Contains(t, line(t, &s, "tolerance_factor").Source, "t_k from memory, t_i from memory")
	assert.Contains(t, line(t, &s, "interval_s").Source, "from memory")
	s = compute(t, &r, map[string]string{"guaranteed-share": "0.9", "torque-constant-tolerance": "0.04"})
	assert.Equal(t, "--guaranteed-share", line(t, &s, "guaranteed_brake_nm").Source)
	assert.Equal(t, "--torque-constant-tolerance, t_i from memory", line(t, &s, "tolerance_factor").Source)
}

// Settings: what must be certain is rounded up, what is enough stays, the window keeps its
// whole increments, and parameters that a sequence does not have are not set.
func TestSettings(t *testing.T) {
	r := screwRig()
	r.Judge.Sense, r.Judge.Deadline = "magnitude", time.Second
	s := compute(t, &r, map[string]string{"factor": "1.5"})
	find := func(key string) sizing.Setting {
		i := slices.IndexFunc(s.Settings, func(one sizing.Setting) bool { return one.Key == key })
		if i < 0 {
			return sizing.Setting{}
		}
		return s.Settings[i]
	}
	assert.Equal(t, "1.5", find("rig.test.factor").Value)
	assert.Equal(t, "4.215", find("sequence.test_torque_nm").Value, "1.5 · 2.80940 = 4.21410, up")
	assert.Equal(t, "signed", find("judge.sense").Value)
	assert.Equal(t, "8h", find("judge.interval").Value)
	assert.Equal(t, "1s", find("judge.deadline").Now)
	assert.NotEqual(t, "1s", find("judge.deadline").Value, "too short for press and dwell")
	assert.Empty(t, find("sequence.press_time_s"), "4 s are enough")
	assert.Empty(t, find("sequence.nosuch"))
	assert.Empty(t, find("sequence.press_limit_nm"), "this sequence has none")
	assert.Equal(t, []string{"load_torque", "torque_constant", "press_limit", "load_tolerance"}, s.Missing)
	r.Clock.LinkDelayScans, r.Clock.SafetyScan = 16, 16*time.Millisecond
	s = compute(t, &r, nil)
	assert.Equal(t, "0.274", find("sequence.signal_slack_s").Value, "17 · 16 ms and the functional scan of 2 ms")
	assert.Equal(t, "0.29", find("sequence.ask_gap_s").Value, "a scan more than that")
}

// Whatever is typed is taken and in its range, or refused; nothing panics.
func FuzzAssumption(f *testing.F) {
	for _, text := range []string{"1.3", "8h", "true", "1e-6", "-0", "0x1p-2", "", "∞", "99999999999h"} {
		f.Add("factor", text)
		f.Add("dwell", text)
		f.Add("credit-friction", text)
		f.Add("margin-scans", text)
	}
	f.Fuzz(func(t *testing.T, name, text string) {
		r := screwRig()
		w := sizing.DefaultAssumptions(&r, nil)
		if err := w.Set(name, text); err != nil {
			return
		}
		require.True(t, w.Factor >= 0.1 && w.Factor <= 10)
		require.True(t, w.Dwell >= time.Millisecond && w.Dwell <= 600*time.Second)
		require.True(t, w.MarginScans >= 0 && w.MarginScans <= 1000)
		_, _ = sizing.Compute(&r, nil, w)
	})
}
