package sim

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Whatever came out of a run, what is expected from it is met by it.
func TestExpectedIsMetByItsRun(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawResult(t)
		e := Expected(r)
		for _, x := range compare(&e, r) {
			require.True(t, x.Met, "%s: want %s, got %s", x.Name, x.Want, x.Got)
		}
		require.Empty(t, checkExpect(&Scenario{Expect: e}), "words that a scenario may have")
	})
}

// Another end, verdict, cause, class or obligation, much more time or a larger load drop
// much farther do not meet it.
func TestExpectedIsNotMetByAnother(t *testing.T) {
	r := &Result{End: "fail", Verdict: failed, Cause: "moved", Class: Caught, DurationS: 9.3, LoadDropMM: 3.14, Obligations: kept()}
	e := Expected(r)
	for name, change := range map[string]func(*Result){
		"end":          func(r *Result) { r.End = "pass" },
		"verdict":      func(r *Result) { r.Verdict = proven },
		"cause":        func(r *Result) { r.Cause = "no-torque" },
		"class":        func(r *Result) { r.Class = Missed },
		"within":       func(r *Result) { r.DurationS = 12 },
		"load_drop_mm": func(r *Result) { r.LoadDropMM = 3.3 },
		"obligations":  func(r *Result) { r.Obligations[2].Kept = false },
	} {
		t.Run(name, func(t *testing.T) {
			other := *r
			other.Obligations = kept()
			change(&other)
			for _, x := range compare(&e, &other) {
				assert.Equal(t, x.Name != name, x.Met, "%s: want %s, got %s", x.Name, x.Want, x.Got)
			}
		})
	}
}

// A time and a drop are rounded up to figures that people write.
func TestExpectedFigures(t *testing.T) {
	for _, c := range []struct {
		durationS float64
		within    time.Duration
		dropMM    float64
		atMost    float64
	}{
		{0, time.Second, 0, 0.1},
		{3.2, 5 * time.Second, 0.03, 0.1},
		{8.004, 10 * time.Second, 0.1, 0.1},
		{9, 10 * time.Second, 0.101, 0.11},
		{19.5, 22 * time.Second, 0.3, 0.3},
		{25.3, 28 * time.Second, 3.1416, 3.2},
		{130.2, 150 * time.Second, 99.1, 100},
		{7200, 8000 * time.Second, 423.7, 430},
	} {
		e := Expected(&Result{DurationS: c.durationS, LoadDropMM: c.dropMM})
		assert.Equal(t, c.within, e.Within, "%g s", c.durationS)
		assert.Equal(t, c.atMost, *e.LoadDropMM.AtMost, "%g mm", c.dropMM)
	}
}

func TestExpectedLeavesOutWhatIsNoFigure(t *testing.T) {
	for _, x := range []float64{math.NaN(), math.Inf(1), math.MaxFloat64} {
		e := Expected(&Result{DurationS: x, LoadDropMM: x})
		assert.Zero(t, e.Within, "%g s", x)
		assert.Nil(t, e.LoadDropMM, "%g mm", x)
	}
}

func TestExpectedSaysWhereABrokenObligationComesFrom(t *testing.T) {
	r := &Result{Obligations: kept()}
	r.Obligations[0] = Obligation{Name: NoDrop, Detail: "load drop 7 mm, limit 5 mm; first in state press_down"}
	r.Obligations[7] = Obligation{Name: Restored}
	require.Equal(t, Broken{
		{NoDrop, "taken from the run: load drop 7 mm, limit 5 mm; first in state press_down"},
		{Restored, "taken from the run: broken"},
	}, Expected(r).Obligations)
}

func kept() []Obligation {
	var list []Obligation
	for _, o := range Obligations() {
		list = append(list, Obligation{Name: o.Name, Kept: true})
	}
	return list
}

// drawResult is any result; magnitudes cover a tick to a year, and a micrometre to
// kilometres.
func drawResult(t *rapid.T) *Result {
	r := &Result{
		End:         rapid.SampledFrom([]string{"pass", "fail", "stop", "none"}).Draw(t, "end"),
		Verdict:     rapid.SampledFrom([]string{proven, failed, none}).Draw(t, "verdict"),
		Cause:       rapid.SampledFrom([]string{"", "moved", "a cause: of its own"}).Draw(t, "cause"),
		Class:       rapid.SampledFrom(Classes()).Draw(t, "class"),
		DurationS:   math.Pow(10, rapid.Float64Range(-4, 7.5).Draw(t, "duration_s")),
		LoadDropMM:  math.Pow(10, rapid.Float64Range(-3, 6).Draw(t, "load_drop_mm")),
		SlipDeg:     rapid.Float64().Draw(t, "slip_deg"),
		Obligations: kept(),
	}
	if rapid.Bool().Draw(t, "at rest") {
		r.DurationS, r.LoadDropMM = 0, -r.LoadDropMM
	}
	for i := range r.Obligations {
		if rapid.Bool().Draw(t, "broken") {
			r.Obligations[i].Kept = false
			r.Obligations[i].Detail = rapid.String().Draw(t, "detail")
		}
	}
	return r
}
