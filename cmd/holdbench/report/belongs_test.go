package report

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/sweep"
)

// recordOf is a record of one test case, made from three files.
func recordOf(t *testing.T) (in *Input, files []sim.Document) {
	t.Helper()
	files = []sim.Document{{Kind: "scenario", Name: "worn", SHA256: "5ce0"}, {Kind: "rig", Name: "my-axis.yaml", SHA256: "4191"}, {Kind: "sequence", Name: "own.yaml", SHA256: "5e90"}}
	ready := &sim.Case{Scenario: sim.Scenario{Scenario: "worn"}, Rig: plant.Rig{Rig: "my-axis"}, Sequence: &sequence.Description{}, Sources: files}
	return &Input{Version: "v2", Rigs: []*Rig{{Rig: ready.Rig}}, Runs: []*Run{{Number: 1, Ready: ready, Result: &sim.Result{}}}}, files
}

// A study is evidence for the documents that it was made from, by their content, and for no others.
func TestStudiesBelongByContent(t *testing.T) {
	other := func(kind string) sim.Document { return sim.Document{Kind: kind, Name: "x.yaml", SHA256: "0000"} }
	for name, c := range map[string]struct {
		made        func(s *Study, files []sim.Document)
		word, about string
	}{
		"the same files":   {func(s *Study, f []sim.Document) { s.Sources = f }, ofThese, ""},
		"another rig":      {func(s *Study, f []sim.Document) { s.Sources = []sim.Document{f[0], other("rig"), f[2]} }, ofOthers, "rig x.yaml with the SHA-256 0000… is not in this record"},
		"another sequence": {func(s *Study, f []sim.Document) { s.Sources = []sim.Document{f[0], f[1], other("sequence")} }, ofOthers, "sequence x.yaml"},
		"another version":  {func(s *Study, f []sim.Document) { s.Sources, s.Version = f, "v1" }, ofOthers, "made with holdbench v1, and this record with v2"},
		"a scenario changed": {func(s *Study, f []sim.Document) {
			s.Sources, s.scenario = []sim.Document{other("scenario"), f[1], f[2]}, "worn"
		}, ofOthers, "another content of that name"},
		"another scenario": {func(s *Study, f []sim.Document) {
			s.Sources, s.scenario = []sim.Document{other("scenario"), f[1], f[2]}, "else"
		}, ofThese, "is no test case of this record"},
		"a rig within another": {func(s *Study, _ []sim.Document) { s.Sources = []sim.Document{other("scenario")} }, notCompared, "holds the rig or the sequence"},
		"no hash":              {func(s *Study, _ []sim.Document) { s.rig = "my-axis" }, notCompared, "no content hashes"},
		"no hash, other name":  {func(s *Study, _ []sim.Document) { s.rig = "kiln-gate" }, ofOthers, "of the rig kiln-gate, which is not in this record"},
		"another fingerprint":  {func(s *Study, _ []sim.Document) { s.scenario, s.same = "worn", func(*Run) bool { return false } }, ofOthers, "its fingerprint is not that of T1"},
		"values set by flags":  {func(s *Study, f []sim.Document) { s.Sources, s.same = f, func(*Run) bool { return false } }, ofOthers, "values were set"},
		"values of no case":    {func(s *Study, f []sim.Document) { s.Sources, s.settings = f[1:], []string{"judge.dwell=300ms"} }, ofOthers, "no test case of these documents has: judge.dwell=300ms"},
		"values of a case": {func(s *Study, f []sim.Document) {
			s.Sources, s.settings, s.valued = f[1:], []string{"judge.dwell=300ms"}, func(*Run) bool { return true }
		}, ofThese, ""},
		"values not told":      {func(s *Study, f []sim.Document) { s.Sources, s.noSettings = f[1:], true }, notCompared, "does not say which values were set"},
		"the same fingerprint": {func(s *Study, _ []sim.Document) { s.same = func(*Run) bool { return true } }, ofThese, ""},
	} {
		t.Run(name, func(t *testing.T) {
			in, files := recordOf(t)
			s := &Study{File: "s.json"}
			c.made(s, files)
			in.compare(s)
			word, reasons := s.state()
			assert.Equal(t, c.word, word.Text)
			assert.Contains(t, reasons, c.about)
			section := s.marked(&Section{Title: "Study", Tables: []Table{{Caption: "rates"}}})
			if c.word == ofThese {
				assert.Empty(t, section.Tables[0].Mark.Text)
			} else {
				assert.Equal(t, c.word, section.Tables[0].Mark.Text, "its table says so")
			}
		})
	}
}

// A sweep is recognised by the fingerprint of its case, with the seed that it was made with.
func TestFingerprintOfASweep(t *testing.T) {
	in, _ := recordOf(t)
	ready := *in.Runs[0].Ready
	ready.Scenario.Seed = 7
	documents, err := ready.Fingerprint()
	require.NoError(t, err)
	w := &Sweep{Summary: sweep.Summary{Head: sweep.Head{Sweep: "worn", Documents: documents, Seed: 7}}}
	in.Studies.Sweeps = []*Sweep{w}
	in.compareStudies()
	assert.True(t, w.counts())
	w.Summary.Documents = "0123"
	in.compareStudies()
	assert.False(t, w.counts())
	assert.Contains(t, in.Studies.missing(), "how often an insufficient brake is missed when data spread (holdbench sweep --json, --sweep): given, and not known to be of the documents of this record")
}

// Misses, false alarms, broken obligations, drops and long exposures of a study are open points, each with its
// rate and interval; those of other documents are not. The intervals are of Clopper and Pearson, for 0.95 and 3 of
// 200 between 0.31 and 4.32 %, 2 of 10 between 2.52 and 55.6 % (tables of the binomial distribution, from memory).
func TestFindingsOfStudies(t *testing.T) {
	in, _ := recordOf(t)
	w := &Sweep{Study: Study{File: "w.json"}, Summary: sweep.Summary{
		Head: sweep.Head{Sweep: "worn", Confidence: 0.95}, Done: 200, Broken: 3,
		Missed: &sweep.Rate{Count: 2, Of: 40, Rate: 0.05, Low: 0.014, High: 0.165}, FalseAlarm: &sweep.Rate{Count: 1, Of: 160, Rate: 0.00625, Low: 0.0011, High: 0.035},
	}}
	l := &Life{Study: Study{File: "l.json"}, Values: LifeValues{Life: "my-axis", Histories: 10, Plan: LifePlan{IntervalH: 8}, ExposuresH: []float64{1, 2, 9}}}
	sum := LifeSum{IntervalH: 8, Missed: 1, Detections: 3, LoadDrops: 2, Stops: 10, ExposureH: LifeSpread{N: 3, Max: 9}, InProductionH: LifeSpread{Max: 7}}
	sum.DropLimit.FromSpeed.Histories = 2
	l.Values.ByInterval = []LifeSum{sum}
	in.Studies = Studies{Sweeps: []*Sweep{w}, Lives: []*Life{l}}
	w.same, l.Sources = nil, nil
	in.compareStudies()
	w.other = nil
	var got []string
	for _, c := range in.findings() {
		got = append(got, c.Text)
	}
	assert.Equal(t, []string{
		"the sweep w.json: missed, of brakes with insufficient torque: 2 of 40, 5 % (1.4 % to 16.5 %, confidence 95 %)",
		"the sweep w.json: false alarms, of brakes with sufficient torque and no other fault: 1 of 160, 0.625 % (0.11 % to 3.5 %, confidence 95 %)",
		"the sweep w.json: runs that broke an obligation: 3 of 200, 1.5 % (0.31 % to 4.32 %, confidence 95 %)",
		"the life l.json: tests every 8 h: missed, of tests with insufficient torque: 1 of 4, 25 % (0.631 % to 80.6 %, confidence 95 %)",
		"the life l.json: tests every 8 h: load drops, of emergency stops and power failures: 2 of 10, 20 % (2.52 % to 55.6 %, confidence 95 %)",
		"the life l.json: tests every 8 h: histories with a time in which the drop limit of 0 mm was not met, from speed: 2 of 10, 20 % (2.52 % to 55.6 %, confidence 95 %)",
		"the life l.json: tests every 8 h: the largest exposure, 9 h, is longer than the interval (in production 7 h): 1 of 3, 33.3 % (0.84 % to 90.6 %, confidence 95 %) of the exposures",
	}, got)
	w.other = []string{"of another rig"}
	assert.Len(t, in.findings(), 4, "what is of other documents is no finding of this record")
}
