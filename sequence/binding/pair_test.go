package binding_test

import (
	"strings"
	"testing"
	"text/template"
	"time"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sequence/binding"
)

// The pair is one logic of the size of the reference as a document and as a program: stages of
// travel, each with a goal that must be held, failures of its own, and what stops a test in any of
// them.

// stages is how many there are; a stage of the test takes stageScans.
const (
	stages     = 38
	stageScans = 40
)

type stage struct {
	Number, Next, Goal int
	Last               bool
}

// pairText is a file of the pair, written out for all stages.
func pairText(tb testing.TB, name string) string {
	tb.Helper()
	list := make([]stage, stages)
	for i := range list {
		list[i] = stage{i + 1, i + 2, 10 * (i + 1), i == stages-1}
	}
	var b strings.Builder
	require.NoError(tb, template.Must(template.New(name).Parse(text(tb, "pair/"+name))).Execute(&b, list))
	return b.String()
}

func pairDocument(tb testing.TB) sequence.Logic {
	tb.Helper()
	var d sequence.Document
	require.NoError(tb, yaml.UnmarshalWithOptions([]byte(pairText(tb, "document.yaml")), &d, yaml.Strict()))
	p, err := sequence.Compile(d, nil)
	require.NoError(tb, err)
	return p
}

func pairProgram(tb testing.TB) sequence.Logic {
	tb.Helper()
	l, warnings, err := binding.New(parsed(tb, text(tb, "pair/binding.yaml")), "program.st", []byte(pairText(tb, "program.st")))
	require.NoError(tb, err)
	require.Empty(tb, warnings)
	return l
}

// pairScans are the images of a test that passes.
func pairScans() []sequence.Inputs {
	list := make([]sequence.Inputs, stageScans*stages+10)
	for n := range list {
		list[n] = sequence.Inputs{
			Trigger: n > 2, GuardClosed: true, DriveReady: true, DriveOn: true, Standstill: n%stageScans > stageScans/4,
			PositionMM: float64(10 * (1 + n/stageScans)), TorqueNM: 2.8, Speed: float64(n % 7), Tested: "none",
			Clock: time.Duration(n) * scan,
		}
	}
	return list
}

// Both do the same in every scan, whatever stops the test and whenever.
func TestThePairIsOneLogic(t *testing.T) {
	t.Parallel()
	document, program := pairDocument(t), pairProgram(t)
	for name, c := range map[string]struct {
		change      func(*sequence.Inputs)
		to, because string
	}{
		"healthy":        {func(*sequence.Inputs) {}, "passed", ""},
		"slips":          {func(in *sequence.Inputs) { in.Speed = -101 }, "failed", "slipped"},
		"load":           {func(in *sequence.Inputs) { in.TorqueNM = 4 }, "failed", "load-deviation"},
		"brake":          {func(in *sequence.Inputs) { in.BrakeClosed = true }, "failed", "brake-not-open"},
		"not there":      {func(in *sequence.Inputs) { in.PositionMM = 0 }, "ended nowhere", ""},
		"stop":           {func(in *sequence.Inputs) { in.SafeStop = true }, "stopped", "estop"},
		"drive fault":    {func(in *sequence.Inputs) { in.DriveFault = true }, "failed", "drive-fault"},
		"drive off":      {func(in *sequence.Inputs) { in.DriveOn = false }, "failed", "drive-lost"},
		"jump":           {func(in *sequence.Inputs) { in.Speed = 1000 }, "failed", "position-jumped"},
		"abort":          {func(in *sequence.Inputs) { in.Cancel = true }, "stopped", "cancelled"},
		"guard":          {func(in *sequence.Inputs) { in.GuardClosed = false }, "stopped", "guard-open"},
		"no verdict":     {func(in *sequence.Inputs) { in.JudgeFailed = true }, "failed", "no-verdict"},
		"moved":          {func(in *sequence.Inputs) { in.JudgeCause = sequence.CauseMoved }, "failed", "slipped"},
		"no proof":       {func(in *sequence.Inputs) { in.TestCount = 1 }, "failed", "no-proof"},
		"coupled":        {func(in *sequence.Inputs) { in.PartnerCoupled, in.JudgeBusy = true, true }, "failed", "not-decoupled"},
		"mode and fault": {func(in *sequence.Inputs) { in.SetupMode, in.DriveFault = true, true }, "failed", "drive-fault"},
	} {
		for _, from := range []int{0, 3, 97, 20 * stageScans} {
			a, b := run(t, document), run(t, program)
			ended := "ended nowhere"
			for n, in := range pairScans() {
				if n >= from {
					c.change(&in)
				}
				a.in, b.in = in, in
				want, err := a.Scan(&a.in, &a.out)
				require.NoError(t, err)
				got, err := b.Scan(&b.in, &b.out)
				require.NoError(t, err)
				want.Event = "" // which a program does not have
				require.Equal(t, want, got, "%s from scan %d: scan %d", name, from, n)
				require.Equal(t, a.out, b.out, "%s from scan %d: scan %d", name, from, n)
				if document.About().End(got.To) != sequence.EndNone {
					ended = got.To
				}
			}
			assert.Equal(t, b.Cause(), a.Cause(), name)
			if from > 3 {
				assert.Equal(t, c.to, ended, name)
				assert.Equal(t, c.because, b.Cause(), name)
			}
		}
	}
}

// A scan allocates nothing, whether it stays in its step or enters another.
func TestALargeProgramAllocatesNothing(t *testing.T) {
	d, scans := run(t, pairProgram(t)), pairScans()
	next := func() {
		d.in = scans[0]
		scans = scans[1:]
		_, _ = d.Scan(&d.in, &d.out)
	}
	for range stageScans { // the text for the operator is set once
		next()
	}
	assert.Zero(t, testing.AllocsPerRun(len(scans)-1, next))
	assert.Equal(t, "passed", pairProgram(t).About().States[d.StateIndex()].Name)
}

// BenchmarkDocumentScan and BenchmarkProgramScan are the same test, over and over.
func BenchmarkDocumentScan(b *testing.B) { benchmarkScans(b, pairDocument(b)) }

func BenchmarkProgramScan(b *testing.B) { benchmarkScans(b, pairProgram(b)) }

func benchmarkScans(b *testing.B, l sequence.Logic) {
	b.Helper()
	var d *driven
	scans := pairScans()
	n := len(scans)
	b.ReportAllocs()
	for b.Loop() {
		if n == len(scans) {
			d, n = run(b, l), 0
		}
		d.in = scans[n]
		if _, err := d.Scan(&d.in, &d.out); err != nil {
			b.Fatal(err)
		}
		n++
	}
}

// A run takes its inputs from the image that it is given, also where that is another one in each
// scan, and a copy of it has outputs of its own.
func TestEachScanHasItsImage(t *testing.T) {
	t.Parallel()
	l, scans := pairProgram(t), pairScans()
	want, got := run(t, l), run(t, l)
	var copied sequence.Controller
	for n := range scans {
		want.in = scans[n]
		_, err := want.Scan(&want.in, &want.out)
		require.NoError(t, err)
		if n == len(scans)/2 {
			copied, _ = got.Copy()
		}
		_, err = got.Scan(&scans[n], &got.out)
		require.NoError(t, err)
		require.Equal(t, want.out, got.out)
	}
	half := scans[len(scans)/2]
	var out sequence.Outputs
	_, err := copied.Scan(&half, &out)
	require.NoError(t, err)
	assert.Equal(t, sequence.DriveMove, out.Drive)
	assert.Equal(t, sequence.DriveHold, got.out.Drive, "the run that was copied has passed")
}
