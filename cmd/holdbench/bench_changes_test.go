//go:build unix

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is typed first into a field replaces what stands there; the value before and the one to come are read back in
// words, and taken after that.
func TestBenchFieldsReplace(t *testing.T) {
	atEachSize(t, func(at desk) {
		s := at.starts()
		s.does("v", "─ Values ─")
		s.does("load.mass", "› rig.load.mass_kg")
		s.does(keyEnter, "as now: 180 kg")
		s.does("2", "now 180 kg, then 2 kg")
		s.does("00", "now 180 kg, then 200 kg")
		s.does("x", "now 180 kg; this is no value yet")
		s.types(keyBackspace + keyEnter)
		s.reads("changed; original value 180 kg")
		s.does(keyEnter, "as now: 200 kg")
		s.does(keyBackspace, "now 200 kg", "_ original value") // the first key replaces, this one by nothing
		s.does(keyEsc, "enter change")
		s.does(keyEsc, "Leave without a run?")
		s.types("y")
		s.seesNoMore("─ Values ─")
		s.does("f", "─ Faults ─")
		s.does("power-lost-briefly", "› power-lost-briefly")
		s.does(keyEnter, "now false, then true")
		s.does(keyTab+keyTab, "usually 0.3 s, then 0.3 s")
		s.does("2s", "usually 0.3 s, then 2 s")
		s.reads("› for 2s_")
		s.does(keyEsc, "─ Faults ─")
		s.closes("─ Faults ─")
		s.quits()
	})
}

// All that differs from the document stands in one list, from which each and all of it is undone; run again says what
// it keeps.
func TestBenchListsWhatDiffers(t *testing.T) {
	atEachSize(t, func(at desk) {
		s := at.starts()
		s.opensChanges("no value, fault or action of the operator differs")
		s.does("v", "─ Values ─")
		s.does("load.mass", "› rig.load.mass_kg")
		s.does(keyEnter+"200"+keyEnter, "with 1 change")
		s.types(keyCtrlR)
		s.reads("run again with 1 other value")
		s.does("s", "permissives  0.000 s")
		s.inject("brake-drags")
		s.does("x", "◇ estop") // emergency stop
		s.opensChanges("1 other value, 1 added fault and 1 action that the document does not have",
			"rig.load.mass_kg = 200", "at 500ms: brake.opens_to = 0.15", ": estop on")
		s.types("r")
		s.reads("run again with 1 other value, 1 added fault and 1 action that the document does not have; i lists them")
		s.opensChanges("1 other value, 1 added fault and 1 action")
		s.does("i", "› undo all")
		s.does(keyDown+keyDown, "› at 500ms: brake.opens_to")
		s.types(keyEnter) // without the fault
		s.reads("run again with 1 other value and 1 action")
		s.opensChanges("rig.load.mass_kg = 200", ": estop on")
		s.does("i", "› undo all")
		s.types(keyEnter)
		s.seesNoMore("─ Changes ─")
		s.seesNoMore("changed, not kept")
		s.waits("the load is that of the document", regexp.MustCompile(`load • +−2\.81`).MatchString)
		s.opensChanges("no value, fault or action of the operator differs")
		s.quits()
	})
}

// opensChanges looks at the list of changes and closes it.
func (s *seat) opensChanges(want ...string) {
	s.t.Helper()
	s.does("i", "─ Changes ─")
	for _, text := range want {
		s.reads(text)
	}
	s.closes("─ Changes ─")
}

// inject injects a named fault now, after some keys in its form.
func (s *seat) inject(name string, keys ...string) {
	s.t.Helper()
	s.does("f", "─ Faults ─")
	s.does(name, "› "+name)
	s.does(keyEnter, "─ Inject "+name)
	s.types(strings.Join(keys, "") + keyEnter)
	s.seesNoMore("─ Inject ")
}

// A run that is kept names its rig relative to where it is kept, its fault by state and time, and what was done in its
// title; folders are made.
func TestBenchKeepsWhatRunsAnywhere(t *testing.T) {
	rig := invoke(t.Context(), "show", "pane-hoist").Stdout
	atEachSize(t, func(at desk) {
		t := at.t
		folder := t.TempDir()
		require.NoError(t, os.MkdirAll(filepath.Join(folder, "rigs"), 0o755))
		require.NoError(t, os.WriteFile(filepath.Join(folder, "rigs", "my-hoist.yaml"), []byte(rig), 0o644))
		s := at.sitIn(folder, nil, "--scenario", "healthy-down", "--rig", "rigs/my-hoist.yaml")
		s.sees("healthy-down")
		for _, state := range []string{"permissives", "decouple", "travel", "settle", "close_brake"} {
			s.does("s", state+"  0.000 s")
		}
		s.does("e", "brake  •closed")
		s.inject("coil-residual-voltage")
		s.does(keyEnd, "■ ended")
		s.does("k", "healthy-down-tried")
		s.types("mine/today/residual") // in place of that
		s.reads("mine/today/residual.yaml follows the name")
		s.reads("was healthy-down")
		s.does(keyEnter, "kept in mine/today/residual.yaml")
		s.quits()

		kept := filepath.Join(folder, "mine", "today", "residual.yaml")
		text, err := os.ReadFile(kept)
		require.NoError(t, err)
		assert.Contains(t, string(text), "\nrig: ../../rigs/my-hoist.yaml\n")
		assert.Regexp(t, `(?m)^  - \{when: \{state: close_brake, after: 47\.25ms\}, set: \{brake\.residual_voltage: `, string(text))
		assert.Regexp(t, `(?m)^title: "?As healthy-down, but 47ms into close_brake: brake\.residual_voltage = `, string(text))
		again := exec.CommandContext(t.Context(), at.file, "run", kept)
		again.Dir = folder // a rig beside it
		out, err := again.CombinedOutput()
		assert.NoError(t, err, "%s", out)
	})
}
