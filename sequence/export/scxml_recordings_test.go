package export_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

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

// step is a scan, and how a controller begins before it.
type step struct {
	image sequence.Inputs
	begin string // "" for one that goes on
}

// How a controller begins.
const (
	inOperation = "operation"
	withPower   = "power"
)

// TestWriteChartRecordings writes charts, and recordings of what the bench's machine did with images of
// the inputs: those of 60 scenarios, 1,000 random ones for each of three sequences, recorded ones that
// were disturbed, and random ones for odd sequences and for 40 random ones.
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
		p := logic.(*sequence.Program)
		w.write(t, "random-"+name, p, scan, explored(t, p, 1000, 1))
	}
	for name, text := range map[string]string{"clashing": clashing, "many": manyStates()} {
		p := compiled(t, text)
		w.write(t, name, p, scan, explored(t, p, 300, 1))
	}
	images := rapid.Custom(func(t *rapid.T) []step {
		list := []step{{image: sequence.Inputs{Tested: "none"}}}
		for n := range 200 {
			next := step{image: list[n].image}
			if n%90 == 50 {
				next.begin = withPower
			}
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

// scenarios records 60 scenarios, at most twelve of each of the two smaller sequences among them, and
// disturbs every third. One in ten has the scan time of its rig, the others a longer one, which is
// quicker to run again.
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
		set := map[string]string{"rig.clock.functional_scan": "10ms"}
		if i%10 == 0 {
			set = nil
		}
		c, _, err := scenarios.LoadCase(name, scenarios.Overrides{Set: set})
		require.NoError(t, err)
		p := c.Logic.(*sequence.Program)
		tape := &taped{Logic: p}
		c.Logic = tape
		_, err = sim.Run(c, nil)
		require.NoError(t, err, name)
		require.NotEmpty(t, tape.steps, name)
		w.write(t, "scenario-"+name, p, c.Rig.Clock.FunctionalScan, tape.steps)
		if i%3 == 0 {
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
	begin string
}

func (r *tapedRun) Scan(in *sequence.Inputs, out *sequence.Outputs) (sequence.Fired, error) {
	r.into.steps = append(r.into.steps, step{*in, r.begin})
	r.begin = ""
	return r.Controller.Scan(in, out)
}

func (r *tapedRun) PowerUp() {
	r.begin = withPower
	r.Controller.PowerUp()
}

func (r *tapedRun) Copy() (sequence.Controller, bool) { return nil, false }

// explored are random images: of some that are drawn for a scan, the one that brings a machine into the
// state that it has been in least often, so that it gets about. Scans are left out, and power is lost.
func explored(t *testing.T, p *sequence.Program, n int, seed uint64) []step {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 16))
	numbers := []float64{0}
	for _, v := range p.About().Params {
		if v.Kind == sequence.KindNumber {
			numbers = append(numbers, v.Number, -v.Number)
		}
	}
	at := step{image: sequence.Inputs{DriveReady: true, DriveOn: true, GuardClosed: true, Tested: "none", StopCause: "none"}}
	m := sequence.NewMachine(p, scan)
	var list []step
	visits := map[string]int{}
	for range n {
		var best step
		var went *sequence.Machine
		for range 60 {
			next := drawn(at, numbers, rng)
			run, image, out := m.Clone(), next.image, sequence.Outputs{}
			begin(&run, next.begin, scan)
			_, err := run.Scan(&image, &out)
			require.NoError(t, err)
			if went == nil || visits[run.State()] < visits[went.State()] {
				best, went = next, run
			}
		}
		at, m = best, went
		visits[m.State()]++
		list = append(list, at)
	}
	return list
}

// begin lets a machine begin anew.
func begin(m **sequence.Machine, how string, scan time.Duration) {
	switch how {
	case inOperation:
		*m = sequence.NewMachine((*m).Program(), scan)
	case withPower:
		(*m).PowerUp()
	}
}

// drawn is a scan after another one.
func drawn(after step, numbers []float64, rng *rand.Rand) step {
	next := step{image: after.image}
	if rng.IntN(100) == 0 {
		next.begin = []string{inOperation, withPower}[rng.IntN(2)]
	}
	next.image.Clock += scan * time.Duration([]int{1, 1, 1 + rng.IntN(20), 1 + rng.IntN(3000)}[rng.IntN(4)])
	for range []int{0, 1, 2, 6}[rng.IntN(4)] {
		change(&next.image, numbers, rng)
	}
	return next
}

// disturbed are recorded images in which one input at a time is another for a few scans, and some scans
// are left out.
func disturbed(list []step, seed uint64) []step {
	rng := rand.New(rand.NewPCG(seed, 17))
	made := make([]step, 0, len(list))
	quiet, left, draw := true, 0, uint64(0)
	for _, s := range list {
		if left--; left < 0 {
			quiet, left, draw = !quiet, 1+rng.IntN(200), rng.Uint64()
			if !quiet {
				left = rng.IntN(3)
			}
		}
		if !quiet {
			change(&s.image, []float64{0, 1, 100}, rand.New(rand.NewPCG(draw, 1)))
		}
		if rng.IntN(30) > 0 || s.begin != "" {
			made = append(made, s)
		}
	}
	return made
}

// change gives one input another value, a number one of some, or one near its own.
func change(in *sequence.Inputs, numbers []float64, rng *rand.Rand) {
	all := sequence.InputSignals()
	s := all[rng.IntN(len(all))]
	switch {
	case s.Kind == sequence.KindNumber && rng.IntN(2) == 0:
		s.SetInputNumber(in, numbers[rng.IntN(len(numbers))])
	case s.Kind == sequence.KindNumber:
		s.SetInputNumber(in, s.InputNumber(in)+(rng.Float64()-0.5)*[]float64{0.01, 1, 100}[rng.IntN(3)])
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
	require.NoError(t, json.NewEncoder(&out).Encode(map[string]any{"chart": w.chart(t, name, p), "by_cosine": byCosine(p, list)}))
	fmt.Fprintln(&out, `{"begin":"operation"}`)
	m := sequence.NewMachine(p, scan)
	var clock time.Duration
	known := map[string]string{}
	for _, s := range list {
		if s.begin != "" {
			fmt.Fprintf(&out, "{\"begin\":%q}\n", s.begin)
			begin(&m, s.begin, scan)
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

// byCosine are the outputs and kept values that rest on a cosine, of which ECMAScript asks for an
// approximation alone (ECMA-262, fifth edition, 15.8.2): its last digit depends on the interpreter.
func byCosine(p *sequence.Program, list []step) []string {
	names := []string{}
	if !slices.ContainsFunc(list, func(s step) bool { return s.image.PositionDeg != 0 }) {
		return names // the cosine of 0 is 1 everywhere
	}
	add := func(name string, e *sequence.Expr) (more bool) {
		if e == nil || slices.Contains(names, name) {
			return false
		}
		words := strings.FieldsFunc(e.Text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '_' })
		rests := func(word string) bool { return word == "cos_deg" || slices.Contains(names, word) }
		if !slices.ContainsFunc(words, rests) {
			return false
		}
		names = append(names, name)
		return true
	}
	for more := true; more; {
		more = false
		for _, v := range p.About().Params {
			more = add(v.Name, v.Expr) || more
		}
		for _, s := range p.States() {
			for _, k := range s.Keeps {
				more = add(k.Signal.Name, k.Expr) || more
			}
		}
	}
	for _, s := range p.States() {
		for _, a := range s.Sets {
			add(a.Signal.Name, a.Expr)
		}
	}
	return names
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
