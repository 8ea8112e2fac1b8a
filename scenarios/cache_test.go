package scenarios

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"holdbench/plant/problem"
	"holdbench/sim"
)

// A change of a returned document does not show in any other.
func TestDocumentsAreTheCallersOwn(t *testing.T) {
	t.Parallel()
	const name = "lining-worn-thin"
	rig, _, err := LoadRig("pane-hoist")
	require.NoError(t, err)
	document, _, err := LoadSequence(referenceName)
	require.NoError(t, err)
	ready, _, err := LoadCase(name, Overrides{})
	require.NoError(t, err)
	before, err := ready.Fingerprint()
	require.NoError(t, err)

	for key := range rig.Sequence {
		rig.Sequence[key] = "1"
	}
	for i := range document.States {
		for k := range document.States[i].Go {
			document.States[i].Go[k].To = "nowhere"
		}
		document.States[i].Name = "no_state"
	}
	ready.Scenario.Set["rig.load.mass_kg"] = "1"
	ready.Scenario.Faults[0].Set["brake.condition"] = "1"
	ready.Scenario.Faults[0].When = nil
	ready.Rig.Sequence["load_torque_nm"] = "1"

	again, _, err := LoadCase(name, Overrides{})
	require.NoError(t, err)
	after, err := again.Fingerprint()
	require.NoError(t, err)
	require.Equal(t, before, after)
}

// A clone of any built-in scenario is equal and shares no pointer, map or slice.
func TestScenarioCloneSharesNothing(t *testing.T) {
	t.Parallel()
	for _, e := range Builtin(ScenarioKind) {
		name, text, err := e.read()
		require.NoError(t, err)
		src, err := read(name, text)
		require.NoError(t, err)
		s, err := src.scenario()
		require.NoError(t, err)
		clone := s.Clone()
		require.Equal(t, s, clone)
		requireApart(t, e.Name, reflect.ValueOf(s), reflect.ValueOf(clone))
	}
}

func requireApart(t *testing.T, path string, a, b reflect.Value) {
	t.Helper()
	switch a.Kind() {
	case reflect.Pointer:
		if !a.IsNil() {
			require.NotEqual(t, a.Pointer(), b.Pointer(), path)
			requireApart(t, path, a.Elem(), b.Elem())
		}
	case reflect.Map:
		if a.Len() > 0 {
			require.NotEqual(t, a.Pointer(), b.Pointer(), path)
		}
		for _, key := range a.MapKeys() {
			requireApart(t, fmt.Sprintf("%s[%v]", path, key), a.MapIndex(key), b.MapIndex(key))
		}
	case reflect.Slice:
		if a.Len() > 0 {
			require.NotEqual(t, a.Pointer(), b.Pointer(), path)
		}
		for i := range a.Len() {
			requireApart(t, fmt.Sprintf("%s[%d]", path, i), a.Index(i), b.Index(i))
		}
	case reflect.Struct:
		for i := range a.NumField() {
			requireApart(t, path+"."+a.Type().Field(i).Name, a.Field(i), b.Field(i))
		}
	}
}

// A file that has changed is read anew, and what was wrong is not remembered as right.
func TestChangedFileIsReadAnew(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "rig.yaml")
	_, text, err := Text(RigKind, "pane-hoist")
	require.NoError(t, err)
	for _, mass := range []string{"150", "160", "150"} {
		changed := strings.Replace(string(text), "mass_kg: 180", "mass_kg: "+mass, 1)
		require.NotEqual(t, string(text), changed)
		require.NoError(t, os.WriteFile(file, []byte(changed), 0o600))
		rig, _, err := LoadRig(file)
		require.NoError(t, err)
		require.Equal(t, mass, fmt.Sprint(rig.Load.MassKG))
	}
	require.NoError(t, os.WriteFile(file, []byte("rig: [1"), 0o600))
	for range 2 {
		_, _, err := LoadRig(file)
		require.ErrorContains(t, err, "rig.yaml:1")
	}
}

// A problem of a scenario that was read before is reported in its line.
func TestKnownScenarioStillHasItsLines(t *testing.T) {
	t.Parallel()
	bad := Overrides{Set: map[string]string{"rig.load.mass_kg": "-1"}}
	_, _, first := new(cache).loadCase("lining-worn-thin", bad)
	require.Error(t, first)
	var c cache
	for range 2 {
		_, _, err := c.loadCase("lining-worn-thin", Overrides{})
		require.NoError(t, err)
		_, _, err = c.loadCase("lining-worn-thin", bad)
		require.EqualError(t, err, first.Error())
	}
}

func TestCacheIsBounded(t *testing.T) {
	t.Parallel()
	var c cache
	for i := range 3 * mostKnown {
		c.keep(content{name: strconv.Itoa(i)}, new(document))
		require.LessOrEqual(t, len(c.known), mostKnown)
		require.NotNil(t, c.look(content{name: strconv.Itoa(i)}))
	}
}

func TestLoadCaseAtOnce(t *testing.T) {
	t.Parallel()
	var c cache
	var group errgroup.Group
	for range 8 {
		group.Go(func() error {
			for _, name := range Names(ScenarioKind)[:10] {
				if _, _, err := c.loadCase(name, Overrides{}); err != nil {
					return err
				}
			}
			return nil
		})
	}
	require.NoError(t, group.Wait())
}

// copies counts the sequences that the benchmark has written, so that none is seen twice.
var copies atomic.Int64

// BenchmarkLoadCase loads a built-in scenario: cold, as the first of a process, and warm.
// For cold no package may know the documents: the cache is a new one, the embedded files
// are listed anew, and the sequence is one that has not been checked before.
func BenchmarkLoadCase(b *testing.B) {
	const name = "lining-worn-thin"
	b.Run("cold", func(b *testing.B) {
		b.ReportAllocs()
		_, scenario, err := Text(ScenarioKind, name)
		require.NoError(b, err)
		_, reference, err := Text(SequenceKind, referenceName)
		require.NoError(b, err)
		folder := b.TempDir()
		file := filepath.Join(folder, "scenario.yaml")
		named := strings.Replace(string(scenario), "sequence: reference", "sequence: sequence.yaml", 1)
		require.NotEqual(b, string(scenario), named)
		require.NoError(b, os.WriteFile(file, []byte(named), 0o600))
		for b.Loop() {
			b.StopTimer()
			fresh := strings.Replace(string(reference), "note: ", fmt.Sprintf("note: copy %d, ", copies.Add(1)), 1)
			require.NoError(b, os.WriteFile(filepath.Join(folder, "sequence.yaml"), []byte(fresh), 0o600))
			b.StartTimer()
			for _, kind := range Kinds() {
				embedded(kind)
			}
			if _, _, err := new(cache).loadCase(file, Overrides{}); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("warm", func(b *testing.B) {
		b.ReportAllocs()
		_, _, err := LoadCase(name, Overrides{})
		require.NoError(b, err)
		for b.Loop() {
			if _, _, err := LoadCase(name, Overrides{}); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// Documents parsed from their text equal those loaded by name; messages use the given name.
func TestParse(t *testing.T) {
	t.Parallel()
	_, text, err := Text(RigKind, "pane-hoist")
	require.NoError(t, err)
	rig, warnings, err := ParseRig("mine.yaml", text)
	require.NoError(t, err)
	require.Empty(t, warnings)
	loaded, _, err := LoadRig("pane-hoist")
	require.NoError(t, err)
	require.Equal(t, loaded, rig)

	_, text, err = Text(ScenarioKind, "lining-worn-thin")
	require.NoError(t, err)
	s, err := ParseScenario("mine.yaml", text)
	require.NoError(t, err)
	ready, _, err := ParseCase("mine.yaml", text, Overrides{})
	require.NoError(t, err)
	s.Set = map[string]string{} // as a case has it
	require.Equal(t, *s, ready.Scenario)

	for kind, parse := range map[Kind]func(string, []byte) error{
		RigKind:      func(name string, text []byte) error { _, _, err := ParseRig(name, text); return err },
		SequenceKind: func(name string, text []byte) error { _, _, err := ParseSequence(name, text); return err },
		ScenarioKind: func(name string, text []byte) error { _, err := ParseScenario(name, text); return err },
		"case":       func(name string, text []byte) error { _, _, err := ParseCase(name, text, Overrides{}); return err },
	} {
		var list problem.List
		require.ErrorAs(t, parse("mine.yaml", []byte("# a comment\nnot3: b\n")), &list, kind)
		require.Equal(t, "mine.yaml", list[0].File, kind)
		require.Equal(t, 2, list[0].Line, kind)
	}
}

func (c *cache) loadCase(reference string, o Overrides) (*sim.Case, problem.List, error) {
	name, text, err := find(ScenarioKind, reference, "")
	if err != nil {
		return nil, nil, err
	}
	return c.parseCase(name, text, o)
}

// A rig has a name, which every output shows.
func TestRigWithoutANameIsRefused(t *testing.T) {
	t.Parallel()
	_, text, err := Text(RigKind, "pane-hoist")
	require.NoError(t, err)
	nameless := regexp.MustCompile(`(?m)^rig: .*$|^sequence:\n(?:  .*\n)+`).ReplaceAll(text, nil) // its sequence alone would be one
	_, _, err = ParseRig("mine.yaml", nameless)
	require.ErrorContains(t, err, "rig is missing; must be a name of the rig, such as my-axis")
}
