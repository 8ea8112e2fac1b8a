package catalogue_test

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

const demo = "healthy-down-and-up"

func load(tb testing.TB, name string, set map[string]string) *sim.Case {
	tb.Helper()
	c, _, err := scenarios.LoadCase(name, scenarios.Overrides{Set: set})
	require.NoError(tb, err)
	return c
}

// healthyCases are nominal cases of every built-in rig, with something set.
func healthyCases(t *testing.T, set map[string]string) []*sim.Case {
	t.Helper()
	var list []*sim.Case
	for _, rig := range scenarios.Names(scenarios.RigKind) {
		c, _, err := scenarios.LoadCase(demo, scenarios.Overrides{Rig: rig, Sequence: sequenceOf(t, rig), Set: set})
		require.NoError(t, err)
		list = append(list, c.Nominal())
	}
	return list
}

// sequenceOf is the sequence that passes on a rig: of two brakes each is tested alone.
func sequenceOf(t *testing.T, rig string) string {
	t.Helper()
	r, _, err := scenarios.LoadRig(rig)
	require.NoError(t, err)
	if r.Brake2.Exists() {
		return "two-brakes"
	}
	return "reference"
}

// withFaults is the case with all of the faults in it, each for itself held against the
// rules, and what is wrong with them.
func withFaults(c *sim.Case, faults ...sim.Fault) (*sim.Case, problem.List, error) {
	s := c.Scenario
	s.Faults = faults
	return c.With(s)
}

func fromStart(c *sim.Case, f *catalogue.Entry, number float64) sim.Fault {
	return sim.Fault{When: &sim.Moment{}, Set: f.Values(&c.Rig, number)}
}

// named is the case with a fault of the catalogue in it, settings and all.
func named(t *testing.T, c *sim.Case, f *catalogue.Entry, number float64) *sim.Case {
	t.Helper()
	s := c.Scenario
	addTo(t, catalogue.Selection{Entry: *f, Severity: number}, &s, c)
	n, _, err := c.With(s)
	require.NoError(t, err, "%s on %s", f.Name, c.Rig.Rig)
	return n
}

func ends(f *catalogue.Entry) []float64 {
	if f.Scale == nil {
		return []float64{0}
	}
	return []float64{f.Scale.Mild, f.Scale.Usual, f.Scale.Severe}
}

func groupNames() []string {
	return []string{
		catalogue.BrakeGroup, catalogue.MachineGroup, catalogue.DriveGroup, catalogue.SensorGroup,
		catalogue.LinkGroup, catalogue.ControllerGroup, catalogue.PartnerGroup, catalogue.OperationGroup, catalogue.EngineeringGroup,
	}
}

func TestCatalogueReadsWell(t *testing.T) {
	name := regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`)
	sentence := regexp.MustCompile(`^[A-Z].*\.$`)
	remedies, used := map[string]bool{}, map[string]bool{}
	for _, r := range catalogue.Remedies() {
		assert.Regexp(t, name, r.Name)
		assert.Regexp(t, sentence, r.Text)
		assert.False(t, remedies[r.Name], "remedy %s stands twice", r.Name)
		remedies[r.Name] = true
	}
	seen, groups := map[string]bool{}, map[string]int{}
	for _, f := range catalogue.Entries() {
		assert.Regexp(t, name, f.Name)
		assert.Regexp(t, sentence, f.What, f.Name)
		assert.Regexp(t, sentence, f.DetectedBy, f.Name)
		assert.False(t, seen[f.Name], "%s stands twice", f.Name)
		assert.Contains(t, groupNames(), f.Group, f.Name)
		assert.True(t, remedies[f.Remedy], "%s: there is no remedy %q", f.Name, f.Remedy)
		seen[f.Name], used[f.Remedy] = true, true
		groups[f.Group]++
	}
	assert.GreaterOrEqual(t, len(seen), 85)
	assert.Equal(t, remedies, used, "every remedy helps against something")
	for _, g := range groupNames() {
		assert.GreaterOrEqual(t, groups[g], 3, "group %s is too small to choose within", g)
	}
}

func TestCatalogueSetsTargetsOnly(t *testing.T) {
	known := map[string]bool{}
	for _, target := range sim.Targets() {
		known[target.Name] = true
	}
	rig := plant.Defaults()
	for _, f := range catalogue.Entries() {
		values := f.Values(&rig, f.Usual())
		require.True(t, len(values) > 0 || f.Settings != nil, f.Name)
		for target := range values {
			assert.True(t, known[target], "%s sets %s", f.Name, target)
		}
		if s := f.Scale; s != nil {
			assert.NotContains(t, f.Set, s.Target, f.Name)
			assert.Positive(t, (s.Mild-s.Usual)*(s.Usual-s.Severe), "%s: usual lies between mild and severe", f.Name)
			assert.Equal(t, s.Severe, s.Between(1), f.Name)
			assert.Equal(t, s.Mild, s.Between(-1), f.Name)
		}
	}
}

func TestEveryFittingFaultMakesAValidCase(t *testing.T) {
	t.Parallel()
	fits := map[string][]string{}
	for _, c := range healthyCases(t, nil) {
		var all []sim.Fault
		for _, f := range catalogue.Entries() {
			if !f.Fits(&c.Rig) {
				continue
			}
			fits[f.Name] = append(fits[f.Name], c.Rig.Rig)
			require.True(t, f.FitsCase(c), "%s on %s: the reference sequence has all parameters", f.Name, c.Rig.Rig)
			for _, number := range ends(&f) {
				named(t, c, &f, number)
				if one := fromStart(c, &f, number); len(one.Set) > 0 {
					all = append(all, one)
				}
			}
		}
		_, warnings, err := withFaults(c, all...)
		require.NoError(t, err, c.Rig.Rig)
		require.Empty(t, warnings, c.Rig.Rig)
	}
	only := map[string]string{
		"counterbalance-lost": "kiln-gate", "gas-spring-weak": "store-lift", "payload-added": "store-lift",
		"payload-dropped": "store-lift", "partner-left-coupled": "twin-lift", "test-position-low-load": "tilt-arm",
		"second-brake-worn": "ladle-lift", "second-brake-stays-open": "ladle-lift", "second-brake-stays-closed": "ladle-lift",
		"second-feedback-stuck-closed": "ladle-lift", "second-feedback-stuck-open": "ladle-lift", "brake-switches-swapped": "ladle-lift",
		"brake-over-excited": "tilt-arm", "brake-magnet-weak": "tilt-arm",
		"guard-forced-open": "store-lift", "guard-switch-stuck-closed": "store-lift", "guard-switch-stuck-open": "store-lift",
		"mode-switch-at-setup": "store-lift", "access-requested": "store-lift",
		"judge-current-gain-wrong": "twin-lift", "judge-current-offset": "twin-lift",
	}
	for _, f := range catalogue.Entries() {
		rigs := scenarios.Names(scenarios.RigKind)
		if f.Group == catalogue.PartnerGroup {
			rigs = []string{"twin-lift"}
		}
		if strings.HasPrefix(f.Name, "judge-requirement") {
			rigs = []string{"ladle-lift", "tilt-arm", "twin-lift"} // whose judge owns its torque
		}
		if f.Name == "sense-by-magnitude" || f.Name == "requirement-too-high" {
			rigs = []string{"kiln-gate", "pane-hoist", "store-lift"} // whose judge compares a current
		}
		if f.Name == "support-removed" {
			rigs = []string{"ladle-lift", "store-lift"}
		}
		if rig, ok := only[f.Name]; ok {
			rigs = []string{rig}
		}
		assert.Equal(t, rigs, fits[f.Name], f.Name)
	}
}

func TestPermanentFaultsCannotBeUndone(t *testing.T) {
	for _, c := range healthyCases(t, nil) {
		var all []sim.Fault
		var lasting, refused []string
		for _, f := range catalogue.Entries() {
			if one := fromStart(c, &f, f.Usual()); f.Fits(&c.Rig) && len(one.Set) > 0 {
				one.For = time.Second
				if f.Permanent {
					lasting = append(lasting, fmt.Sprintf("faults[%d].for", len(all)))
				}
				all = append(all, one)
			}
		}
		_, _, err := withFaults(c, all...)
		for _, p := range problem.Of(err) {
			refused = append(refused, p.Path)
		}
		require.Equal(t, lasting, refused, c.Rig.Rig)
	}
}

func TestFaultThatIsThereAlreadyDoesNotFit(t *testing.T) {
	c := load(t, demo, map[string]string{"rig.brake.feedback_signal": "open"})
	for _, f := range catalogue.Entries() {
		if strings.HasPrefix(f.Name, "feedback-stuck") {
			require.Equal(t, f.Name == "feedback-stuck-closed", f.Fits(&c.Rig), f.Name)
		}
	}
}

// quiet are the faults that a healthy brake hides in one test on some rig, and why.
func quiet() map[string]string {
	return map[string]string{
		"drive-switches-on-late":    "the drive is never off in a run that passes",
		"partner-lining-worn":       "the partner's brake is not tested",
		"coupling-gap-grown":        "there is no coupled travel",
		"sense-by-magnitude":        "the current of a press is enough either way",
		"window-too-wide":           "a healthy brake stays inside the narrow one too",
		"deadline-too-short":        "nothing disturbs the torque",
		"obstacle-below":            "only the arm travels down",
		"obstacle-above":            "the arm travels down",
		"support-removed":           "an axis that passes is not set down",
		"encoder-wraps-wrong":       "the axis leaves the wrap before the judge looks",
		"trigger-twice":             "the sequence looks at the trigger before it begins",
		"interval-wrong":            "the sequence compares no times",
		"cancelled":                 "at the start there is nothing to give up",
		"proof-lapses":              "nothing falls back on the old proof",
		"previous-proof-valid":      "the sequence takes only a proof of its ask",
		"test-on-the-wrap":          "the judge takes the shorter angular distance",
		"acknowledge-stuck":         "nothing has failed that it could acknowledge",
		"judge-directions-too-few":  "the brake holds in both directions",
		"judge-requirement-too-low": "the sequence presses as it should",
		"scan-left-out":             "the next scan reads and sets what this one would have",
		"guard-switch-stuck-closed": "nothing of the axis depends on it, only the person inside",
	}
}

// Every fault at its severe end changes what comes of a run, unless it is one that hides;
// and what is said of the brake is what the truth says. Both hold on a tick of 1 ms as well.
func TestSevereFaultsChangeTheRun(t *testing.T) {
	t.Parallel()
	hidden := map[string]string{}
	for _, c := range healthyCases(t, map[string]string{"rig.clock.tick": "1ms"}) {
		healthy, err := sim.Run(c, nil)
		require.NoError(t, err)
		require.Equal(t, sim.SoundPass, healthy.Class)
		for _, f := range catalogue.Entries() {
			if !f.Fits(&c.Rig) {
				continue
			}
			list := ends(&f)
			r, err := sim.Run(named(t, c, &f, list[len(list)-1]), nil)
			require.NoError(t, err)
			fit := r.WeakestNM() >= r.RequiredTorqueNM
			assert.True(t, r.Class == sim.Missed || fit != (r.Class == sim.Caught), "%s on %s: %s with %.3g of %.3g N·m", f.Name, c.Rig.Rig, r.Class, r.WeakestNM(), r.RequiredTorqueNM)
			if differs(healthy, r) {
				continue
			}
			why, known := quiet()[f.Name]
			assert.True(t, known, "%s changes nothing on %s: %+v", f.Name, c.Rig.Rig, r)
			assert.Equal(t, sim.SoundPass, r.Class, f.Name)
			hidden[f.Name] = why
		}
	}
	assert.Equal(t, quiet(), hidden, "what is said to hide must hide somewhere")
}

// differs is whether a run came out differently: its verdict, its end, or a peak of it.
func differs(a, b *sim.Result) bool {
	apart := func(x, y, floor float64) bool {
		return math.Abs(x-y) > max(floor, 0.02*math.Abs(x))
	}
	return a.Class != b.Class || a.Verdict != b.Verdict || a.EndedIn != b.EndedIn || a.Cause != b.Cause ||
		apart(a.PeakTorqueNM, b.PeakTorqueNM, 0.1) || apart(a.DurationS, b.DurationS, 0.05) || apart(a.LoadDropMM, b.LoadDropMM, 0.05)
}

// What a weak brake holds is the rated torque times what its fault leaves of it, to the four
// digits in which a fault is entered.
func TestWeakBrakesHaveTheCapacityOfTheirSeverity(t *testing.T) {
	left := map[string]func(x float64) float64{
		"lining-worn":          func(x float64) float64 { return x },
		"oil-on-lining":        func(x float64) float64 { return x },
		"brake-closes-partly":  func(x float64) float64 { return x },
		"lining-glazed":        func(x float64) float64 { return 1 - x },
		"brake-hot":            func(x float64) float64 { return 1 - x },
		"air-gap-grown":        func(x float64) float64 { return 2 - x },
		"lining-soaked":        func(x float64) float64 { return 1 - x },
		"hand-release-engaged": func(x float64) float64 { return 1 - x },
		"brake-magnet-weak":    func(x float64) float64 { return x * x },
		// ambient 20 °C, a knee at 60 °C and 0.005/K: 1 − 0.005 (x − 40)
		"brake-fades-in-production": func(x float64) float64 { return 1.2 - 0.005*x },
	}
	for _, c := range healthyCases(t, nil) {
		left["coil-residual-voltage"] = func(x float64) float64 { return 1 - x*x }
		if c.Rig.Brake.Kind == plant.KindMagnet {
			left["coil-residual-voltage"] = func(x float64) float64 { return (1 - x) * (1 - x) }
		}
		for _, f := range catalogue.Entries() {
			share, ok := left[f.Name]
			if !ok || !f.Fits(&c.Rig) {
				continue
			}
			rig := c.Rig
			for target, text := range f.Values(&c.Rig, f.Scale.Severe) {
				field, ok := plant.FindField(target)
				require.True(t, ok, target)
				require.NoError(t, field.Set(&rig, text))
			}
			d := plant.Derive(&rig)
			assert.InDelta(t, share(f.Scale.Severe)*c.Rig.Brake.StaticNM, d.BrakeCapacityNM, 2e-4*c.Rig.Brake.StaticNM, f.Name)
			assert.Less(t, d.BrakeCapacityNM, d.RequiredTestNM, "%s at its severe end has insufficient torque", f.Name)
		}
	}
}

// A guide that sticks breaks away with a jerk: the shaft is accelerated at the beginning of the travel by more than twice
// of what it is without the fault.
func TestStickingGuideBreaksAwayWithAJerk(t *testing.T) {
	t.Parallel()
	f, err := catalogue.Find("guide-stick-slip")
	require.NoError(t, err)
	c := load(t, demo, nil).Nominal()
	sticking, _, err := withFaults(c, f.At(&c.Rig, f.Usual(), sim.Moment{}))
	require.NoError(t, err)
	assert.Greater(t, breakaway(t, sticking), 2*breakaway(t, c))
}

// breakaway is the largest acceleration of the shaft in the first tenth of a second of the travel, in rad/s a scan.
func breakaway(t *testing.T, c *sim.Case) float64 {
	t.Helper()
	b := &breakawayTrace{scans: int(100 * time.Millisecond / c.Rig.Clock.FunctionalScan)}
	_, err := sim.Run(c, b)
	require.NoError(t, err)
	require.Zero(t, b.scans)
	return b.most
}

type breakawayTrace struct {
	scans       int // of the travel that are left
	speed, most float64
}

func (b *breakawayTrace) Row(r *sim.Row) error {
	if r.State == "travel" && b.scans > 0 {
		b.scans--
		b.most = max(b.most, math.Abs(r.Truth.SpeedRadS-b.speed))
	}
	b.speed = r.Truth.SpeedRadS
	return nil
}
