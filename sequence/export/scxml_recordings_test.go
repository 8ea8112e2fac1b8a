package export_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sequence/export"
	"holdbench/sim"
)

// recordingsFolder is the environment variable that names where the recordings go. Without it
// nothing is written: they are made for the interpreters of .ci/run.
const recordingsFolder = "HOLDBENCH_CHART_RECORDINGS"

// step is a scan, or the return of power before one.
type step struct {
	image sequence.Inputs
	power bool
}

// TestWriteChartRecordings writes charts, and recordings of what the bench's machine did with images of
// the inputs: those of 60 scenarios, 1,000 random ones for each of three sequences, recorded ones that
// were disturbed, and random ones for 40 random sequences.
func TestWriteChartRecordings(t *testing.T) {
	folder := os.Getenv(recordingsFolder)
	if folder == "" {
		t.Skipf("%s is not set", recordingsFolder)
	}
	w := &recorder{folder: folder, charts: map[string]string{}}
	w.scenarios(t)
	for _, name := range []string{"reference", "down-only", "two-brakes"} {
		logic, _, err := scenarios.LoadLogic(name)
		require.NoError(t, err)
		w.write(t, "random-"+name, logic.(*sequence.Program), 2*time.Millisecond, randomSteps(1000, 1))
	}
	images := rapid.Custom(func(t *rapid.T) []step {
		list := []step{{image: sequence.Inputs{Tested: "none"}}}
		for n := range 200 {
			next := step{image: list[n].image, power: n%90 == 50}
			next.image.Clock += scan
			drawImage(t, &next.image)
			list = append(list, next)
		}
		return list[1:]
	})
	drawn := 0
	for seed := 0; drawn < 40; seed++ {
		p, err := sequence.Compile(rapid.Custom(drawSequence).Example(seed), nil)
		if err != nil {
			continue
		}
		w.write(t, fmt.Sprintf("drawn-%02d", drawn), p, scan, images.Example(seed))
		drawn++
	}
}

// recorder writes recordings into a folder.
type recorder struct {
	folder string
	charts map[string]string // file by content
}

// scenarios records 60 scenarios, all of the two smaller sequences that there are among them, and disturbs
// every fourth.
func (w *recorder) scenarios(t *testing.T) {
	t.Helper()
	names := map[string][]string{}
	for _, e := range scenarios.Builtin(scenarios.ScenarioKind) {
		c, _, err := scenarios.LoadCase(e.Name, scenarios.Overrides{})
		require.NoError(t, err)
		names[c.Sequence.Name] = append(names[c.Sequence.Name], e.Name)
	}
	var list []string
	for _, s := range []struct {
		name string
		most int
	}{{"down-only", 12}, {"two-brakes", 12}, {"reference", 36}} {
		all := names[s.name]
		n := min(s.most, len(all))
		if s.name == "reference" {
			n = 60 - len(list)
		}
		for i := range n {
			list = append(list, all[i*len(all)/n])
		}
	}
	require.Len(t, list, 60)
	for i, name := range list {
		c, _, err := scenarios.LoadCase(name, scenarios.Overrides{})
		require.NoError(t, err)
		p := c.Logic.(*sequence.Program)
		tape := &taped{Logic: p}
		c.Logic = tape
		_, err = sim.Run(c, nil)
		require.NoError(t, err, name)
		require.NotEmpty(t, tape.steps, name)
		w.write(t, "scenario-"+name, p, c.Rig.Clock.FunctionalScan, tape.steps)
		if i%4 == 0 {
			w.write(t, "disturbed-"+name, p, c.Rig.Clock.FunctionalScan, disturbed(tape.steps, uint64(i)))
		}
	}
}

// taped is a functional side that remembers the images that its run reads.
type taped struct {
	sequence.Logic
	steps []step
}

func (l *taped) New(scan time.Duration) sequence.Controller {
	return &tapedRun{Controller: l.Logic.New(scan), into: l}
}

type tapedRun struct {
	sequence.Controller
	into  *taped
	power bool
}

func (r *tapedRun) Scan(in *sequence.Inputs, out *sequence.Outputs) (sequence.Fired, error) {
	r.into.steps = append(r.into.steps, step{*in, r.power})
	r.power = false
	return r.Controller.Scan(in, out)
}

func (r *tapedRun) PowerUp() {
	r.power = true
	r.Controller.PowerUp()
}

func (r *tapedRun) Copy() (sequence.Controller, bool) { return nil, false }

// randomSteps are images that change at random, one input at a time, sometimes after scans that were left
// out or a loss of power.
func randomSteps(n int, seed uint64) []step {
	rng := rand.New(rand.NewPCG(seed, 16))
	var at step
	at.image.JudgeCause, at.image.Tested, at.image.StopCause = "", "none", "none"
	at.image.DriveReady, at.image.DriveOn, at.image.GuardClosed = true, true, true
	var list []step
	for range n {
		at.power = rng.IntN(250) == 0
		at.image.Clock += 2 * time.Millisecond * time.Duration(1+rng.IntN(40)/39*rng.IntN(200))
		change(&at.image, rng)
		list = append(list, at)
	}
	return list
}

// disturbed are recorded images in which one input at a time is another for some scans.
func disturbed(list []step, seed uint64) []step {
	rng := rand.New(rand.NewPCG(seed, 17))
	made := make([]step, 0, len(list))
	var other func(*sequence.Inputs)
	left := 0
	for _, s := range list {
		if left--; left < 0 {
			other, left = func(*sequence.Inputs) {}, 20+rng.IntN(400)
			if rng.IntN(2) == 0 {
				draw := rng.Uint64()
				other, left = func(in *sequence.Inputs) { change(in, rand.New(rand.NewPCG(draw, 1))) }, 1+rng.IntN(60)
			}
		}
		other(&s.image)
		if rng.IntN(30) > 0 || s.power { // and one in thirty is left out
			made = append(made, s)
		}
	}
	return made
}

// change gives one input another value.
func change(in *sequence.Inputs, rng *rand.Rand) {
	all := sequence.InputSignals()
	s := all[rng.IntN(len(all))]
	switch {
	case s.Kind == sequence.KindNumber:
		s.SetInputNumber(in, s.InputNumber(in)+(rng.Float64()-0.5)*[]float64{0.01, 1, 1000}[rng.IntN(3)])
	case s.Kind == sequence.KindBoolean:
		s.SetInputNumber(in, 1-s.InputNumber(in))
	default:
		s.SetInputNumber(in, float64(rng.IntN(len(s.Words))))
	}
}

// write runs the machine on images, and writes its chart and what it did: a line with the file of the
// chart, then a line a scan with what has changed since the one before.
func (w *recorder) write(t *testing.T, name string, p *sequence.Program, scan time.Duration, list []step) {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, json.NewEncoder(&out).Encode(map[string]string{"chart": w.chart(t, name, p)}))
	fmt.Fprintln(&out, `{"begin":"operation"}`)
	m := sequence.NewMachine(p, scan)
	var clock time.Duration
	known := map[string]string{}
	for _, s := range list {
		if s.power {
			fmt.Fprintln(&out, `{"begin":"power"}`)
			m.PowerUp()
			clock, known = 0, map[string]string{}
		}
		passed := max(1, int((s.image.Clock-clock+scan/2)/scan))
		clock = s.image.Clock
		image := s.image
		image.ScanS = scan.Seconds()
		var line bytes.Buffer
		part(&line, known, "image", inputs(p), func(s *sequence.Signal) []byte { return s.AppendInput(nil, &image) })
		if passed > 1 {
			fmt.Fprintf(&line, `,"scans":%d`, passed)
		}
		var got sequence.Outputs
		_, err := m.Scan(&image, &got)
		require.NoError(t, err)
		part(&line, known, "outputs", outputs(p), func(s *sequence.Signal) []byte { return s.AppendOutput(nil, &got) })
		part(&line, known, "kept", p.About().Kept, func(s *sequence.Signal) []byte { return s.AppendInput(nil, &image) })
		one(&line, known, "state", m.State())
		one(&line, known, "cause", m.Cause())
		fmt.Fprintf(&out, "{%s}\n", bytes.TrimPrefix(line.Bytes(), []byte(",")))
	}
	require.NoError(t, os.WriteFile(filepath.Join(w.folder, name+".jsonl"), out.Bytes(), 0o600))
}

// chart writes a chart once for each content.
func (w *recorder) chart(t *testing.T, name string, p *sequence.Program) string {
	t.Helper()
	text := export.SCXML(p, export.Heading{Version: "test"})
	if file, ok := w.charts[text]; ok {
		return file
	}
	w.charts[text] = name + ".scxml"
	require.NoError(t, os.WriteFile(filepath.Join(w.folder, name+".scxml"), []byte(text), 0o600))
	return name + ".scxml"
}

// inputs are the signals of an image that the chart is given.
func inputs(p *sequence.Program) []sequence.Signal {
	var list []sequence.Signal
	for _, s := range sequence.InputSignals() {
		if s.Name != "in_state_s" && (p.About().Reads(s.Name) || s.Name == "judge_cause" || s.Name == "stop_cause" || s.Name == "scan_s") {
			list = append(list, s)
		}
	}
	return list
}

func outputs(p *sequence.Program) []sequence.Signal {
	var list []sequence.Signal
	for _, s := range sequence.OutputSignals() {
		if p.About().Sets(s.Name) {
			list = append(list, s)
		}
	}
	return list
}

// part writes the values among some that have changed.
func part(line *bytes.Buffer, known map[string]string, name string, signals []sequence.Signal, value func(*sequence.Signal) []byte) {
	var changed []string
	for i := range signals {
		s := &signals[i]
		text := string(value(s))
		if s.Kind == sequence.KindWord {
			text = quoted(text)
		}
		if key := name + "." + s.Name; known[key] != text {
			known[key] = text
			changed = append(changed, quoted(s.Name)+":"+text)
		}
	}
	if changed != nil {
		fmt.Fprintf(line, `,%q:{`, name)
		for i, c := range changed {
			if i > 0 {
				line.WriteByte(',')
			}
			line.WriteString(c)
		}
		line.WriteByte('}')
	}
}

func one(line *bytes.Buffer, known map[string]string, name, value string) {
	if old, ok := known[name]; !ok || old != value {
		known[name] = value
		fmt.Fprintf(line, `,%q:%s`, name, quoted(value))
	}
}

// quoted is text as a string of JSON.
func quoted(text string) string {
	list, err := json.Marshal(text)
	if err != nil {
		panic(err) // a string can always be written
	}
	return string(list)
}
