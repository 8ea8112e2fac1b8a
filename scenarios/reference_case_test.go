package scenarios_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sequence/binding"
	"holdbench/sequence/export"
	"holdbench/sim"
)

const (
	referenceName = "reference"
	caseName      = "reference-case"
)

// inPlace runs a program in place of the sequence of a scenario, whose states it has.
func inPlace(tb testing.TB, name string) scenarios.Overrides {
	tb.Helper()
	logic, warnings, err := scenarios.LoadLogic(name, scenarios.Below)
	require.NoError(tb, err)
	require.Empty(tb, warnings)
	return scenarios.Overrides{Outside: func(sequence.Logic, *plant.Rig) (sequence.Logic, bool, error) { return logic, false, nil }}
}

// ofTheReference are the scenarios that run the reference; in a short test some of them.
func ofTheReference(t *testing.T) []string {
	t.Helper()
	var names []string
	for i, e := range scenarios.Builtin(scenarios.ScenarioKind) {
		c, _, err := scenarios.LoadCase(e.Name, scenarios.Overrides{})
		require.NoError(t, err)
		if c.Sequence.Name == referenceName && (!testing.Short() || i%9 == 0) {
			names = append(names, e.Name)
		}
	}
	return names
}

// images are what a controller was told and has commanded, scan by scan.
type images struct {
	in  []sequence.Inputs
	out []sequence.Outputs
}

// Row takes over the images of a scan.
func (i *images) Row(r *sim.Row) error {
	i.in, i.out = append(i.in, *r.In), append(i.out, *r.Out)
	return nil
}

// like compares a run with one that has ended, the values that are kept by these signals.
type like struct {
	first *images
	kept  []sequence.Signal
	scan  int
}

// Row compares the images of a scan.
func (l *like) Row(r *sim.Row) error {
	k := l.scan
	l.scan++
	if k < len(l.first.in) && *r.In == l.first.in[k] && *r.Out == l.first.out[k] {
		return nil
	}
	var wrong []string
	differ := func(name string, got, want []byte) {
		if string(got) != string(want) {
			wrong = append(wrong, fmt.Sprintf("%s is %s, was %s", name, got, want))
		}
	}
	if k < len(l.first.in) {
		for _, s := range append(sequence.InputSignals(), l.kept...) {
			differ(s.Name, s.AppendInput(nil, r.In), s.AppendInput(nil, &l.first.in[k]))
		}
		for _, s := range sequence.OutputSignals() {
			differ(s.Name, s.AppendOutput(nil, r.Out), s.AppendOutput(nil, &l.first.out[k]))
		}
	}
	return fmt.Errorf("at %.3f s in %s: %s", r.TS, r.State, strings.Join(wrong, "; "))
}

// The program with one CASE and the one that is exported do what the document does: every image of every
// scan is the same, what is kept included, and so is the result to the last byte, but for the name.
func TestProgramsAreTheReference(t *testing.T) {
	t.Parallel()
	programs := []scenarios.Overrides{inPlace(t, caseName), exported(t, referenceName)}
	for i, name := range ofTheReference(t) {
		if i%everyNth != 0 {
			continue
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			same(t, name, programs)
		})
	}
}

// The other sequences do the same when they are exported.
func TestExportedProgramsAreTheirSequences(t *testing.T) {
	t.Parallel()
	programs := map[string]scenarios.Overrides{}
	for _, e := range scenarios.Builtin(scenarios.SequenceKind) {
		if logic, _, err := scenarios.LoadLogic(e.Name, scenarios.Below); assert.NoError(t, err) {
			if _, ok := logic.(*sequence.Program); ok && e.Name != referenceName {
				programs[e.Name] = exported(t, e.Name)
			}
		}
	}
	for _, e := range scenarios.Builtin(scenarios.ScenarioKind) {
		c, _, err := scenarios.LoadCase(e.Name, scenarios.Overrides{})
		require.NoError(t, err)
		program, ok := programs[c.Sequence.Name]
		if !ok {
			continue
		}
		t.Run(e.Name, func(t *testing.T) {
			t.Parallel()
			same(t, e.Name, []scenarios.Overrides{program})
		})
	}
	assert.Len(t, programs, 3)
}

// same runs a scenario as it is, and with programs in place of its sequence.
func same(t *testing.T, name string, programs []scenarios.Overrides) {
	t.Helper()
	document, _, err := scenarios.LoadCase(name, scenarios.Overrides{})
	require.NoError(t, err)
	first := &images{}
	want, err := sim.Run(document, first)
	require.NoError(t, err)
	for _, program := range programs {
		bound, _, err := scenarios.LoadCase(name, program)
		require.NoError(t, err)
		second := &like{first: first, kept: document.Sequence.Kept}
		got, err := sim.Run(bound, second)
		require.NoError(t, err)
		assert.Len(t, first.in, second.scan)
		assert.Equal(t, line(t, want), strings.ReplaceAll(line(t, got), `"`+bound.Sequence.Name+`"`, `"`+document.Sequence.Name+`"`))
	}
}

// exported runs the program that is made of a sequence in place of it.
func exported(tb testing.TB, name string) scenarios.Overrides {
	tb.Helper()
	logic, _, err := scenarios.LoadLogic(name, scenarios.Below)
	require.NoError(tb, err)
	text, bound, err := export.StructuredText(logic.(*sequence.Program), name+".st", export.STOptions{})
	require.NoError(tb, err)
	var d binding.Document
	require.NoError(tb, yaml.UnmarshalWithOptions([]byte(bound), &d, yaml.Strict()))
	program, warnings, err := binding.New(d, name+".st", []byte(text))
	require.NoError(tb, err)
	for _, w := range warnings {
		assert.Contains(tb, w.Message, "not bound", "the program itself has no warning")
	}
	return scenarios.Overrides{Outside: func(sequence.Logic, *plant.Rig) (sequence.Logic, bool, error) { return program, false, nil }}
}

func line(t *testing.T, r *sim.Result) string {
	t.Helper()
	text, err := json.Marshal(r)
	require.NoError(t, err)
	return string(text)
}

// What is known of the program ahead of a run is what the document says: whoever changes one of them
// changes the other.
func TestReferenceCaseIsDescribedAsTheReference(t *testing.T) {
	t.Parallel()
	document, _, err := scenarios.LoadLogic(referenceName, scenarios.Below)
	require.NoError(t, err)
	program, _, err := scenarios.LoadLogic(caseName, scenarios.Below)
	require.NoError(t, err)
	want, got := *document.About(), *program.About()
	states := func(d *sequence.Description) []string {
		var list []string
		for _, s := range d.States {
			var kept []string
			for _, k := range s.Kept {
				kept = append(kept, k.Name)
			}
			list = append(list, fmt.Sprint(s.Name, ": ", s.Note, " ", s.End, " ", s.SlipsBrake, " ", kept))
		}
		return list
	}
	assert.Equal(t, states(&want), states(&got))
	assert.Equal(t, withoutNotes(want.Params), withoutNotes(got.Params))
	assert.Equal(t, want.Roles, got.Roles)
	assert.Subset(t, got.Causes, want.Causes, "a document leaves out what cannot happen with its values")
	assert.Equal(t, want.Start, got.Start)
	assert.Equal(t, want.PowerUp, got.PowerUp)
}

// BenchmarkReferenceScan is a scan of the reference on the images of a healthy test, over and over:
// as the document that it is, and as the program.
func BenchmarkReferenceScan(b *testing.B) {
	for name, overrides := range map[string]scenarios.Overrides{"document": {}, "program": inPlace(b, caseName)} {
		b.Run(name, func(b *testing.B) {
			c, _, err := scenarios.LoadCase("healthy-down-and-up", overrides)
			require.NoError(b, err)
			seen := &images{}
			_, err = sim.Run(c, seen)
			require.NoError(b, err)
			var (
				run sequence.Controller
				in  sequence.Inputs
				out sequence.Outputs
			)
			n := len(seen.in)
			b.ReportAllocs()
			for b.Loop() {
				if n == len(seen.in) {
					run, n = c.Logic.New(c.Rig.Clock.FunctionalScan), 0
				}
				in = seen.in[n]
				if _, err := run.Scan(&in, &out); err != nil {
					b.Fatal(err)
				}
				n++
			}
			assert.Equal(b, seen.out[n-1], out)
		})
	}
}
