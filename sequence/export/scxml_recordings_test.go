package export_test

import (
	"bytes"
	"encoding/json"
	"fmt"
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
		logic, _, err := scenarios.LoadLogic(name, scenarios.Below)
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
// disturbs every sixth. Two have the scan time of their rig, the others a longer one: an interpreter that
// evaluates text in every scan is slow.
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
		set := map[string]string{"rig.clock.functional_scan": "20ms"}
		if i%30 == 0 {
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
		if i%6 == 0 {
			w.write(t, "disturbed-"+name, p, c.Rig.Clock.FunctionalScan, disturbed(tape.steps, uint64(i)))
		}
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
