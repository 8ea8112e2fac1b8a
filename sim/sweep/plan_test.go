package sweep

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sim"
)

// some are spreads of every kind that a run can have.
func some() []string {
	return []string{"capacity=uniform(0.9, 1.3)", "friction=uniform(70%, 130%)", "rig.load.mass_kg=normal(100%, 2%)", "judge.window_deg=table(0.5: 1, 1: 1)"}
}

// written are the runs of a plan as lines of a file, head and tail included.
func written(t *testing.T, p *Plan, workers int) string {
	t.Helper()
	var out bytes.Buffer
	lines := json.NewEncoder(&out)
	head, err := p.Head()
	require.NoError(t, err)
	require.NoError(t, lines.Encode(head))
	tally := head.Tally()
	require.NoError(t, p.Run(t.Context(), workers, tally, func(r Record) error { return lines.Encode(r) }))
	require.NoError(t, lines.Encode(Tail{tally.Runs()}))
	return out.String()
}

// A sweep is a pure function of its documents and its seed, on any number of workers.
func TestSweepDoesNotDependOnTheWorkers(t *testing.T) {
	p := plan(t, load(t, demo, nil), 40, some()...)
	require.Equal(t, written(t, p, 1), written(t, p, 7))
}

// One more spread does not shift what the others draw, nor the sensors' noise.
func TestSpreadsDrawForThemselves(t *testing.T) {
	c := load(t, demo, nil)
	few, many := plan(t, c, 1, some()[:1]...), plan(t, c, 1, some()...)
	for run := range 20 {
		a, b := few.draw(run), many.draw(run)
		require.Equal(t, a.sensors, b.sensors)
		require.Equal(t, a.z[0], b.z[0])
	}
}

// Draws of different runs, and of different spreads in one run, have nothing in common: the
// correlation of n pairs is within 4/√n.
func TestDrawsAreIndependent(t *testing.T) {
	p := plan(t, load(t, demo, nil), 1, some()...)
	const n = 5000
	var first, second, next []float64
	for run := range n {
		d := p.draw(run)
		first, second = append(first, d.z[0]), append(second, d.z[1])
		next = append(next, p.draw(run + 1).z[0])
	}
	require.InDelta(t, 0, stat.Correlation(first, second, nil), 4/math.Sqrt(n))
	require.InDelta(t, 0, stat.Correlation(first, next, nil), 4/math.Sqrt(n))
	mean, deviation := stat.MeanStdDev(first, nil)
	require.InDelta(t, 0, mean, 4/math.Sqrt(n))
	require.InDelta(t, 1, deviation, 4/math.Sqrt(2*n))
}

// The capacity that a run is to have is the one that the plant has at the verdict,
// whatever load it drew.
func TestCapacityIsOverTheLoadThatWasDrawn(t *testing.T) {
	p := plan(t, load(t, demo, nil), 25, some()...)
	require.NoError(t, p.Run(t.Context(), 2, NewTally(len(p.Spreads), 1), func(r Record) error {
		d := p.draw(r.Run)
		want, _, _ := p.Spreads[0].value(d.z[0])
		require.InDelta(t, want, r.Ratio(), 1e-3, "run %d", r.Run) // heat and wear of the test itself
		return nil
	}))
}

// Seed and columns of a record are all that it takes to have the run again.
func TestRunsAreReproducible(t *testing.T) {
	for name, p := range map[string]*Plan{
		"Rig":      plan(t, load(t, demo, nil), 6, some()...),
		"Sequence": plan(t, load(t, demo, nil), 6, "capacity=uniform(0.9, 1.3)", "sequence.press_margin=uniform(1.02, 1.2)"),
		"Map":      mapPlan(t),
		"Faulted":  plan(t, load(t, "lining-worn-thin", nil), 4, "rig.load.mass_kg=normal(100%, 2%)"),
	} {
		t.Run(name, func(t *testing.T) {
			tally := NewTally(len(p.Spreads), p.cells())
			require.NoError(t, p.Run(t.Context(), 2, tally, func(r Record) error {
				set := coarse(nil)
				for i, key := range p.Columns() {
					set[key] = r.Values[i]
				}
				c, _, err := scenarios.LoadCase(p.Case.Scenario.Scenario, scenarios.Overrides{Seed: r.Seed, Set: set})
				require.NoError(t, err)
				again, err := sim.Run(c, nil)
				require.NoError(t, err)
				d := p.draw(r.Run / p.cells())
				require.Equal(t, r, p.record(r.Run, r.Cell, &d, r.Values, again))
				return nil
			}))
		})
	}
}

func mapPlan(t *testing.T) *Plan {
	t.Helper()
	p := plan(t, load(t, demo, nil), 3, "capacity=uniform(0.9, 1.3)")
	p.Windows, p.Dwells = []float64{0.2, 2}, []time.Duration{100 * time.Millisecond, 6 * time.Second}
	require.NoError(t, p.Check())
	return p
}

// rarePlan has found already where to look.
func rarePlan(t *testing.T) *Plan {
	t.Helper()
	p := plan(t, load(t, "healthy-down", nil), 11, "capacity=normal(1.6, 0.15)", "rig.brake.feedback_signal=table(actual: 1)")
	p.Rare = sim.Missed
	p.tilt = []Tilt{{"capacity", -4, 0.3}, {Key: "rig.brake.feedback_signal"}}
	require.NoError(t, p.Check())
	return p
}

// Every cell of a map has the same draws.
func TestCellsShareTheirDraws(t *testing.T) {
	p := mapPlan(t)
	byRun := map[int][]Record{}
	require.NoError(t, p.Run(t.Context(), 2, NewTally(1, 4), func(r Record) error {
		byRun[r.Run/4] = append(byRun[r.Run/4], r)
		return nil
	}))
	require.Len(t, byRun, 3)
	for _, cells := range byRun {
		require.Len(t, cells, 4)
		for _, r := range cells {
			require.Equal(t, cells[0].Seed, r.Seed)
			require.Equal(t, cells[0].Values[0], r.Values[0])
		}
		require.Equal(t, []string{"0.2", "100ms", "4s"}, cells[0].Values[1:])
		require.Equal(t, []string{"2", "6s", "9s"}, cells[3].Values[1:], "a longer dwell takes the deadline along")
	}
}

// Parts put together are what one sweep would have been, byte for byte, in any order.
func TestPartsEqualTheWhole(t *testing.T) {
	for name, p := range map[string]*Plan{"Curve": plan(t, load(t, demo, nil), 23, some()...), "Map": mapPlan(t), "Rare": rarePlan(t)} {
		t.Run(name, func(t *testing.T) {
			whole := written(t, p, 2)
			texts, names := make([]string, 3), []string{"third", "first", "second"}
			for i, part := range []int{3, 1, 2} {
				one := *p
				one.Part, one.Parts = part, 3
				if part > 1 {
					one.Command = []string{"holdbench run ../the-same.yaml"} // named in another way
				}
				require.NoError(t, one.Check())
				texts[i] = written(t, &one, 2)
			}
			merged, err := mergeTexts(t, texts, names)
			require.NoError(t, err)
			require.Equal(t, whole, merged)
		})
	}
}

func mergeTexts(t *testing.T, texts, names []string) (string, error) {
	t.Helper()
	var parts []*Reader
	for _, text := range texts {
		r, err := NewReader(strings.NewReader(text))
		require.NoError(t, err)
		parts = append(parts, r)
	}
	var out bytes.Buffer
	lines := json.NewEncoder(&out)
	runs := 0
	err := Merge(parts, names, func(h Head) error { return lines.Encode(h) }, func(r Record) error {
		runs++
		return lines.Encode(r)
	})
	require.NoError(t, lines.Encode(Tail{runs}))
	return out.String(), err
}

// Parts of machines that calculate differently are not put together: their runs are not those of one sweep.
func TestPartsOfOtherMachinesAreRefused(t *testing.T) {
	p := plan(t, load(t, demo, nil), 4, some()...)
	var texts []string
	for part := range 2 {
		one := *p
		one.Part, one.Parts = part+1, 2
		texts = append(texts, written(t, &one, 1))
	}
	require.Contains(t, texts[1], `"self_test":"`+plant.SelfTest()+`"`)
	other := strings.Replace(texts[1], plant.SelfTest(), "0123456789abcdef", 1)
	_, err := mergeTexts(t, []string{texts[0], other}, []string{"one.jsonl", "two.jsonl"})
	require.EqualError(t, err, "one.jsonl and two.jsonl were made by machines or versions of holdbench that calculate differently: the self-test is "+plant.SelfTest()+
		" in one and 0123456789abcdef in the other; must be run again by one version")
	before := strings.Replace(texts[1], `"self_test":"`+plant.SelfTest()+`",`, "", 1) // of a version that had no self-test
	_, err = mergeTexts(t, []string{texts[0], before}, []string{"one.jsonl", "two.jsonl"})
	require.ErrorContains(t, err, "none in the other")
}

// Wherever a sweep is interrupted, the rest and the sums are the same.
func TestSweepContinues(t *testing.T) {
	p := plan(t, load(t, demo, nil), 30, some()...)
	head, err := p.Head()
	require.NoError(t, err)
	var all []Record
	once := head.Tally()
	require.NoError(t, p.Run(t.Context(), 2, once, func(r Record) error { all = append(all, r); return nil }))
	for _, done := range []int{0, 1, 17, 30} {
		again := head.Tally()
		for i := range all[:done] {
			again.Add(&all[i])
		}
		rest := all[:done:done]
		require.NoError(t, p.Run(t.Context(), 3, again, func(r Record) error { rest = append(rest, r); return nil }))
		require.Equal(t, all, rest)
		require.Equal(t, once.Summary(&head), again.Summary(&head))
	}
}

func TestCancelledSweepKeepsFinishedRuns(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	p := plan(t, load(t, demo, nil), 1000, some()...)
	tally := NewTally(len(p.Spreads), 1)
	handed := 0
	err := p.Run(ctx, 2, tally, func(r Record) error {
		require.Equal(t, handed, r.Run)
		if handed++; handed == 5 {
			cancel()
		}
		return nil
	})
	require.ErrorIs(t, err, context.Canceled)
	require.GreaterOrEqual(t, handed, 5)
	require.Less(t, handed, 1000)
	require.Equal(t, handed, tally.Runs())
}

// A draw that no rig can be ends a sweep, says which and why, and leaves what was done before.
func TestInvalidDraw(t *testing.T) {
	p := plan(t, load(t, demo, nil), 400, "rig.guide.sliding_nm=normal(0.08, 0.03)")
	tally := NewTally(1, 1)
	err := p.Run(t.Context(), 2, tally, func(Record) error { return nil })
	var invalid *InvalidError
	require.ErrorAs(t, err, &invalid)
	require.Equal(t, tally.Runs(), invalid.Run)
	require.Regexp(t, `^run \d+ drew rig.guide.sliding_nm=[-0-9.e]+, which is no valid rig: guide.*; must be a spread within these limits, such as normal\(MEAN, DEVIATION, LOWEST, HIGHEST\)$`, err.Error())
}

// A record that cannot be kept ends the sweep with that error, and is not counted.
func TestSweepEndsWithTheErrorOfTheReceiver(t *testing.T) {
	p := plan(t, load(t, demo, nil), 100, some()...)
	tally := NewTally(len(p.Spreads), 1)
	full := errors.New("no space left")
	err := p.Run(t.Context(), 2, tally, func(r Record) error {
		if r.Run == 3 {
			return full
		}
		return nil
	})
	require.ErrorIs(t, err, full)
	require.Equal(t, 3, tally.Runs())
}

func TestPlanErrors(t *testing.T) {
	c := load(t, demo, nil)
	good := func() *Plan {
		return &Plan{Case: c, Runs: 10, Seed: 1, Confidence: 0.95, Part: 1, Parts: 1}
	}
	require.NoError(t, good().Check())
	for _, wrong := range []struct {
		change func(*Plan)
		want   string
	}{
		{func(p *Plan) { p.Runs = 0 }, "runs are 0; must be from 1 to 1000000000"},
		{func(p *Plan) { p.Confidence = 1 }, "confidence is 1; must be between 0 and 1, such as 0.95"},
		{func(p *Plan) { p.Confidence = math.NaN() }, "confidence is NaN; must be between 0 and 1, such as 0.95"},
		{func(p *Plan) { p.Until = 0.7 }, "until is 0.7; must be above 0 and below 0.5"},
		{func(p *Plan) { p.Part = 2 }, "part 2 of 1 does not exist; must be from 1 to the number of parts"},
		{func(p *Plan) { p.Parts = 11 }, "11 parts are too many; must be at most 10000, with at least one run each"},
		{func(p *Plan) { p.Until, p.Parts = 0.1, 2 }, "a part does not know the runs of the other parts; must be either until or a part"},
		{func(p *Plan) { p.Windows = []float64{1} }, "a map has 1 windows and 0 dwells; must have at least one of each"},
		{func(p *Plan) { p.Rare = "caught" }, `rare is "caught"; must be missed or false-alarm`},
		{func(p *Plan) {
			p.Spreads = spreadsOf(t, c, "capacity=normal(1, 1)", "rig.brake.condition=normal(1, 1)")
		}, "capacity and rig.brake.condition both set rig.brake.condition; must be one of them"},
		{func(p *Plan) {
			p.Spreads = spreadsOf(t, c, "friction=normal(1, 1)", "friction=normal(1, 1)")
			p.Runs = -1
		}, "runs are -1; must be from 1 to 1000000000\nfriction and friction both set rig.guide.sliding_nm; must be one of them"},
	} {
		p := good()
		wrong.change(p)
		require.EqualError(t, p.Check(), wrong.want)
	}
}

func spreadsOf(t *testing.T, c *sim.Case, texts ...string) []Spread {
	t.Helper()
	var list []Spread
	for _, text := range texts {
		s, err := ParseSpread(c, text)
		require.NoError(t, err)
		list = append(list, s)
	}
	return list
}
