package evaluate_test

import (
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/recording"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/evaluate"
)

// What the judge of the bench was recorded as is what its evaluation says, in every built-in scenario whose
// signals show what the judge read, and none is refused as a recording that contradicts itself or the rig. Of what signals show of obligations, nothing contradicts the truth where
// the signals do not lie.
func TestRunsOfTheBenchAreJudgedAlike(t *testing.T) {
	t.Parallel()
	var mu sync.Mutex
	causes, unlike := map[string]int{}, []string{}
	t.Cleanup(func() {
		t.Logf("judged alike, by cause: %v; otherwise, as no signal shows why: %v", causes, unlike)
		assert.Less(t, len(unlike), 10)
		if testing.Short() {
			return
		}
		for _, cause := range []string{"", "brake-open", "both-closed", "moved", "no-torque", "no-dwell", "over-torque", "position-lost"} {
			assert.Positive(t, causes[cause], "no run with the cause %q", cause)
		}
	})
	for i, entry := range scenarios.Builtin(scenarios.ScenarioKind) {
		if testing.Short() && i%3 != 0 {
			continue // the short loop has a third
		}
		t.Run(entry.Name, func(t *testing.T) {
			t.Parallel()
			c := load(t, entry.Name, nil)
			changed := changedBy(&c.Scenario)
			r, result := record(t, c)
			for _, doubt := range recording.Doubts(r, evaluate.Limits(&c.Rig)) {
				require.True(t, doubt.Warning, "refused: %s", doubt.Error())
			}
			e, err := evaluate.Evaluate(&c.Rig, r, evaluate.Options{Phases: 1})
			require.NoError(t, err)
			for _, text := range e.Reservations {
				assert.NotRegexp(t, "travels at|has an inertia of|scale of the time", text, "a recording of the right scales")
			}
			slides := []string{"lining-creeps-a-little", "lining-creeps-short-dwell", "dwell-too-short"}
			assert.Equal(t, slices.Contains(slides, entry.Name), len(e.Remarks) > 0, "remarks: %v", e.Remarks)
			for _, o := range e.Obligations {
				agrees(t, o, result, changed)
			}
			mu.Lock()
			defer mu.Unlock()
			if alike := result.Verdict == e.Verdict && judgeCause(result) == e.Cause; !alike && slices.ContainsFunc(changed, unseen) {
				unlike = append(unlike, entry.Name)
				return
			}
			require.Equal(t, result.Verdict, e.Verdict)
			require.Equal(t, judgeCause(result), e.Cause)
			causes[e.Cause]++
		})
	}
}

// judgeCause is the cause of the judge's newest failure, where that is the verdict.
func judgeCause(r *sim.Result) string {
	cause := ""
	for i := range r.Events {
		if e := &r.Events[i]; e.Type == sim.EventFailed && r.Verdict == evaluate.Failed {
			cause = e.Cause
		}
	}
	return cause
}

// changedBy is all that the faults of a scenario set.
func changedBy(s *sim.Scenario) []string {
	var list []string
	for i := range s.Faults {
		for key := range s.Faults[i].Set {
			list = append(list, key)
		}
	}
	return list
}

// unseen is whether no signal shows to the evaluation what a fault does to the judge: an ask that arrives
// otherwise than it was sent, and an encoder that reports that it is lost.
func unseen(key string) bool {
	return key == "link.ask_stuck" || key == "link.down" || key == "encoder.lost"
}

// agrees holds what signals show of an obligation against the truth. Signals lie of a load that is no longer
// on the shaft or another one than the rig has, and of an encoder or a transducer with a fault.
func agrees(t *testing.T, o evaluate.Obligation, r *sim.Result, changed []string) {
	t.Helper()
	lies := func(key string) bool {
		return key == "transmission.severed" || strings.HasPrefix(key, "encoder.") || strings.HasPrefix(key, "load.") || strings.HasPrefix(key, "drive.current_")
	}
	if o.State == evaluate.Unknown || slices.ContainsFunc(changed, lies) {
		return
	}
	i := slices.IndexFunc(r.Obligations, func(x sim.Obligation) bool { return x.Name == o.Name })
	assert.Equal(t, r.Obligations[i].Kept, o.State == evaluate.Kept, "%s is %s: %s; in the run: %s", o.Name, o.State, o.Why, r.Obligations[i].Detail)
}

// Why a verdict differs from that of the bench, and why a recording is doubtful that is as it was: of each class one
// or two scenarios.
func TestWhatRecordingsOfFaultsSay(t *testing.T) {
	t.Parallel()
	for _, x := range []struct {
		scenario, without string
		bench, recorded   string // verdict and cause
		doubt             string // of one that is not about a sign; empty: none
		assumed           string
	}{
		// a load at rest has noise, increments and wind-up for movement
		{scenario: "emergency-stop-before-lockout", bench: "none ", recorded: "none "},
		{scenario: "guard-opens-at-the-start", bench: "none ", recorded: "none "},
		// an ask that arrives otherwise than it was sent
		{scenario: "ask-forced-before-test", bench: "failed brake-open", recorded: "none "},
		{scenario: "worn-brake-with-the-link-down", bench: "none ", recorded: "failed moved"},
		// an encoder that reports that it is lost
		{scenario: "encoder-lost", bench: "failed position-lost", recorded: "none "},
		// a judge that reads its own transducer
		{scenario: "judge-current-reads-too-high", bench: "failed over-torque", recorded: "failed over-torque"},
		{scenario: "judge-current-reads-too-high", without: "judge_current_amp_a", bench: "failed over-torque", recorded: "none ", assumed: "a fault of either transducer is not seen"},
		// the recording contradicts the rig, as the transducer of the drive reads too much
		{scenario: "current-reads-too-high", bench: "proven ", recorded: "proven ", doubt: "holds the load at rest with 3.8"},
		// it does not: encoder and motor torque are both of another field
		{scenario: "encoder-drift-looks-like-load", bench: "none ", recorded: "none "},
	} {
		c := load(t, x.scenario, nil)
		r, result := record(t, c, x.without)
		e, err := evaluate.Evaluate(&c.Rig, r, evaluate.Options{Phases: 1})
		require.NoError(t, err)
		assert.Equal(t, x.bench, result.Verdict+" "+judgeCause(result), x.scenario)
		assert.Equal(t, x.recorded, e.Verdict+" "+e.Cause, x.scenario)
		assert.Contains(t, strings.Join(e.Assumptions, " "), x.assumed, x.scenario)
		var doubts []string
		for _, doubt := range recording.Doubts(r, evaluate.Limits(&c.Rig)) {
			if !strings.Contains(doubt.Message, "has a sign that could not be checked") {
				doubts = append(doubts, doubt.Message)
			}
		}
		assert.Equal(t, x.doubt == "", doubts == nil, "%s: %v", x.scenario, doubts)
		assert.Contains(t, strings.Join(doubts, " "), x.doubt, x.scenario)
	}
}
