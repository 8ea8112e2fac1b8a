package report

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/plant"
	"holdbench/plant/recording"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/evaluate"
	"holdbench/sim/probe"
)

// A curve keeps its ends and its extremes, so that no peak of a run is lost, in rising time, and has no
// more points than a figure can show.
func TestReducedKeepsThePeaks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.OneOf(rapid.Float64Range(-100, 100), rapid.Just(math.NaN())), 1, 3000).Draw(t, "values")
		list := reduced(len(values), func(i int) point { return point{float64(i), values[i]} })
		low, high := math.Inf(1), math.Inf(-1)
		for _, y := range values {
			if !math.IsNaN(y) {
				low, high = math.Min(low, y), math.Max(high, y)
			}
		}
		seenLow, seenHigh := math.Inf(1), math.Inf(-1)
		for i, p := range list {
			if i > 0 && p.x < list[i-1].x {
				t.Fatalf("point %d is at %g, before %g", i, p.x, list[i-1].x)
			}
			if !p.isGap() {
				seenLow, seenHigh = math.Min(seenLow, p.y), math.Max(seenHigh, p.y)
			}
		}
		if seenLow != low || seenHigh != high {
			t.Fatalf("%g to %g of %g to %g", seenLow, seenHigh, low, high)
		}
		if len(list) > 4*columns+2 {
			t.Fatalf("%d points", len(list))
		}
	})
}

// What is left out of a curve moves it by no more than a third of a pixel.
func TestSimplifiedStaysOnTheCurve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ys := rapid.SliceOfN(rapid.IntRange(0, 800), 2, 200).Draw(t, "ys")
		run := make([]dot, len(ys))
		for i, y := range ys {
			run[i] = dot{10 * i, y}
		}
		kept := simplified(run)
		at := 0
		for _, p := range run {
			if p.x > kept[at+1].x {
				at++
			}
			if away := distance(p, kept[at], kept[at+1]); away > tolerance {
				t.Fatalf("%v is %g away", p, away)
			}
		}
	})
}

// The steps of an axis are round, and about as many as were asked for.
func TestTicks(t *testing.T) {
	for _, c := range []struct {
		extent, step float64
		value        float64
		text         string
	}{{10, 5, 5, "5"}, {7.9, 2, -4, "-4"}, {0.3, 0.1, 0.2, "0.2"}, {1200, 500, 1000, "1000"}, {0.02, 0.005, 0.015, "0.015"}} {
		step := tickStep(c.extent, 4)
		assert.InDelta(t, c.step, step, 1e-12, c.extent)
		assert.Equal(t, c.text, tickText(c.value, step))
	}
}

// Nothing of a legend runs out of the figure, however many lines a panel has.
func TestLegendStaysInTheFigure(t *testing.T) {
	p := panel{name: "torque, N·m"}
	for range 9 {
		p.series = append(p.series, series{name: "a curve with a rather long name"})
	}
	for _, e := range p.entries() {
		assert.LessOrEqual(t, e.x+sampleWide+letters(e.name), plotRight)
	}
	assert.Greater(t, p.head(), 4*legendRow)
}

// A recording is compared at its own times, between two samples of the simulation on their line, in the
// unit of the simulation: an rms current is an amplitude over the square root of two.
func TestRecordedIsCompared(t *testing.T) {
	trace := &Trace{t: []float32{0, 1, 2}}
	trace.values[positionMM] = []float32{0, 10, 10}
	trace.values[currentA] = []float32{2, 2, 2}
	recorded, err := recording.Read("measured.csv", strings.NewReader("t_s,position_mm,current_rms_a\n0.5,5.25,1.4142135623730951\n1.5,9,1.4142135623730951\n3,0,0\n"), recording.Options{})
	require.NoError(t, err)
	r, err := NewRecorded(recorded)
	require.NoError(t, err)
	notes := strings.Join(r.notes(trace, nil), "\n")
	assert.Contains(t, notes, "position_mm: the largest difference, recorded less simulated, is -1 mm, at 1.500 s; root mean square 0.729 mm, over 2 samples in common.")
	assert.Contains(t, notes, "current_rms_a: the largest difference, recorded less simulated, is 0 A")
}

// The curve of a recording is drawn, and looked for in the run, at its times shifted to those of the run.
func TestRecordedIsShifted(t *testing.T) {
	trace := &Trace{t: []float32{0, 1, 2}}
	trace.values[positionMM] = []float32{0, 10, 10}
	recorded, err := recording.Read("measured.csv", strings.NewReader("t_s,position_mm\n1000.5,5\n1001.5,10\n"), recording.Options{})
	require.NoError(t, err)
	r, err := NewRecorded(recorded)
	require.NoError(t, err)
	require.Error(t, r.apart(trace), "as recorded")
	judged := &Judged{Beside: &evaluate.Beside{AlignedBy: "brake", ShiftS: -1000}}
	r.align(judged)
	require.NoError(t, r.apart(trace))
	assert.Equal(t, []point{{0.5, 5}, {1.5, 10}}, r.series("position")[0].points)
	assert.Contains(t, r.aligned(judged), "(brake): a time of the recording is -1000 s later in the run")
	assert.Contains(t, r.aligned(nil), "Not aligned")
}

// A study of another machine, or of some faults only, closes nothing in a record and is named.
func TestStudiesOfSomethingElse(t *testing.T) {
	p, err := sequence.Compile(sequence.Document{
		Sequence: "own", Start: "a", Ends: sequence.Ends{{State: "b", Kind: "pass"}},
		States: sequence.States{{Name: "a", Set: sequence.Settings{{Output: "drive", Value: "hold"}}, Go: []sequence.Transition{{To: "b", When: "trigger"}}}, {Name: "b"}},
	}, nil)
	require.NoError(t, err)
	in := &Input{
		Rigs: []*Rig{{Rig: plant.Rig{Rig: "my-axis"}}}, Sequences: []*Sequence{{Logic: p}},
		Studies: Studies{
			Probes:    []*Probe{{Study: Study{File: "p.json"}, Head: probe.Head{Rig: "my-axis", Sequence: "own", Faults: []string{"lining-worn"}}}},
			Lives:     []*Life{{Study: Study{File: "l.json"}, Values: LifeValues{Life: "kiln-gate", Sequence: "own"}}},
			Mutations: []*Mutation{{Study: Study{File: "m.json"}, Mutants: []Mutant{{States: []string{"a"}}}}},
		},
	}
	in.compareStudies()
	var got []string
	for _, c := range in.partial() {
		got = append(got, c.Text)
	}
	assert.Equal(t, []string{
		"the probe p.json: cannot be compared, its file has no content hashes",
		"the mutation test m.json: cannot be compared, its file has no content hashes",
		"the life l.json: of other documents or values, of the rig kiln-gate, which is not in this record",
		"the probe p.json tried some faults or some states only: every fault in every state stays open",
		"the mutation test m.json made mistakes in some states only (a): whether the test cases notice mistakes in the others stays open",
	}, got)
}

// Nothing that stands in a wide table is missing in its form for paper, and no empty cell is in it.
func TestListedHasAllCells(t *testing.T) {
	wide := Table{Caption: "transitions", Columns: heads("number", "from", "when", "cause")}
	wide.addCells(Cell{Text: "T1.1"}, Cell{Text: "ready"}, Cell{}, Cell{Text: "slipped", Tone: "bad"})
	list := wide.listed()
	assert.Equal(t, [][]Cell{{{Text: "T1.1"}, {Text: "from: ready; cause: slipped", Tone: "bad"}}}, list.Rows)
}

// A long result that is its limit is not said twice; a short one and one that differs are.
func TestSimulatedIsNotRepeated(t *testing.T) {
	path := "ready → travel → clamp → press"
	assert.Equal(t, "the same", simulated(&sim.Expectation{Want: path, Got: path}))
	assert.Equal(t, "pass", simulated(&sim.Expectation{Want: "pass", Got: "pass"}))
	assert.Equal(t, path, simulated(&sim.Expectation{Want: path + " → passed", Got: path}))
}

// A text in the style sheet is a text: a colon is kept, and nothing ends it.
func TestQuotedInTheStyleSheet(t *testing.T) {
	assert.Equal(t, `"part\3a  7"`, string(quoted("part: 7")))
	assert.NotRegexp(t, `[<>{};]|[^\\]".`, string(quoted(`</style>"}`))[1:])
}
