package scenarios_test

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim/probe"
)

// Every built-in document of accepted outcomes fits its sequence, and each reason is a sentence.
func TestBuiltinAcceptedOutcomes(t *testing.T) {
	t.Parallel()
	for _, name := range scenarios.AcceptedNames() {
		d, _, err := scenarios.LoadSequence(name)
		require.NoError(t, err)
		var states []string
		for _, s := range d.States {
			states = append(states, s.Name)
		}
		a, err := scenarios.LoadAccepted(name, states)
		require.NoError(t, err)
		for _, e := range a.Entries {
			assert.Greater(t, len(e.Reason), 60, "%v", e)
			assert.Regexp(t, `\.$`, e.Reason)
		}
	}
}

// Every entry of the reference's document still applies. The faults are those of the entries, and
// the states are reached as the whole probe reaches them.
func TestAcceptedOutcomesStillApply(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("thousands of runs")
	}
	c, _, err := scenarios.LoadCase("healthy-down-and-up", scenarios.Overrides{})
	require.NoError(t, err)
	a, err := scenarios.LoadAccepted("reference", c.Sequence.StateNames())
	require.NoError(t, err)
	var faults, states []string
	for _, e := range a.Entries {
		faults, states = append(faults, e.Fault...), append(states, e.State...)
	}
	states = slices.DeleteFunc(states, func(name string) bool { return name == "run" })
	m, err := probe.Run(t.Context(), c, probe.Options{
		Faults: faults, States: states, Through: []string{"link-down", "ask-stuck", "emergency-stop", "cancelled", "encoder-jumps"},
	}, nil)
	require.NoError(t, err)
	whole, err := probe.Run(t.Context(), c, probe.Options{Faults: []string{"ceiling-too-low"}, Through: []string{"ceiling-too-low"}}, nil)
	require.NoError(t, err)
	m.Outcomes = append(m.Outcomes, whole.Outcomes...)
	for _, p := range a.Locate(a.Apply(m, probe.Options{})) {
		assert.Fail(t, p.Error())
	}
}

// What is wrong is found at once, each with its line.
func TestWrongAcceptedOutcomes(t *testing.T) {
	t.Parallel()
	const entry = "{fault: load-lighter, state: travel, breaks: carried, reason: small.}"
	for name, c := range map[string]struct{ text, want string }{
		"NoEntries":  {"accept: mine\n", "there are no entries; must be a list of {fault, state, breaks, reason}"},
		"NoName":     {"entries: [" + entry + "]\n", "accept has no name"},
		"Key":        {"accept: mine\nentries:\n  - {fault: load-lighter, staet: travel, breaks: carried, reason: small.}\n", `:3:27: unknown key "staet" in entries[0]; the nearest valid one is "state"`},
		"Fault":      {"accept: mine\nentries:\n  - {fault: load-lihgter, state: travel, breaks: carried, reason: small.}\n", `:3:13: fault is "load-lihgter"; the nearest valid one is "load-lighter"`},
		"State":      {"accept: mine\nentries:\n  - fault: load-lighter\n    state: [travel, tarvel]\n    breaks: carried\n    reason: small.\n", `:4:21: state is "tarvel"; the nearest valid one is "travel"`},
		"Severity":   {"accept: mine\nentries:\n  - {fault: load-lighter, state: travel, severity: sever, breaks: carried, reason: small.}\n", `severity is "sever"; the nearest valid one is "severe"`},
		"Breaks":     {"accept: mine\nentries:\n  - {fault: load-lighter, state: travel, breaks: caried, reason: small.}\n", `breaks is "caried"; the nearest valid one is "carried"`},
		"BreaksWhat": {"accept: mine\nentries:\n  - {fault: load-lighter, state: travel, reason: small.}\n", "breaks is missing; must be a name or a list of names"},
		"Reason":     {"accept: mine\nentries:\n  - {fault: load-lighter, state: travel, breaks: carried}\n", "reason is missing; must be a sentence that a reviewer can sign"},
		"EmptyList":  {"accept: mine\nentries:\n  - {fault: [], state: travel, breaks: carried, reason: small.}\n", "fault is an empty list; must be a name, or a list of several"},
		"OtherKind":  {"scenario: x\n", ":1:1: this is a scenario; must be a document of accepted outcomes, its first key accept"},
		"NotBuiltIn": {"", "there are no accepted outcomes \"referenz\", neither built in nor as a file; the nearest valid one is \"reference\""},
		"NotThere":   {"", "cannot read the accepted outcomes: "},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			file := filepath.Join(t.TempDir(), "mine.yaml")
			switch {
			case name == "NotBuiltIn":
				file = "referenz"
			case c.text != "":
				require.NoError(t, os.WriteFile(file, []byte(c.text), 0o600))
			}
			_, err := scenarios.LoadAccepted(file, []string{"travel", "settle"})
			require.ErrorContains(t, err, c.want)
		})
	}
}
