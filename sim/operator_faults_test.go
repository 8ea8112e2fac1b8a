package sim_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/sim"
)

// scripted is a case with a script of its own, its trigger at half a second.
func scripted(t require.TestingT, c *sim.Case, actions ...sim.Action) *sim.Case {
	s := c.Scenario
	s.Lesson, s.Expect = nil, sim.Expect{}
	s.Script = append([]sim.Action{{At: 500 * time.Millisecond, Set: map[string]bool{"trigger": true}}}, actions...)
	n, _, err := c.With(s)
	require.NoError(t, err)
	return n
}

func withFaulted(t require.TestingT, c *sim.Case, faults ...sim.Fault) *sim.Case {
	n := scripted(t, c)
	s := n.Scenario
	s.Faults = faults
	n, _, err := n.With(s)
	require.NoError(t, err)
	return n
}

// resultText is all that came of a run, but for what was expected of it.
func resultText(t require.TestingT, c *sim.Case) string {
	r, err := sim.Run(c, nil)
	require.NoError(t, err)
	r.Expectations, r.Faults = nil, nil
	text, err := json.Marshal(r)
	require.NoError(t, err)
	return string(text)
}

// A fault that presses a button is what the script's action is: the same events, the same
// class, the same loss of power and its return, at any moment.
func TestOperatorFaultIsTheScriptsAction(t *testing.T) {
	t.Parallel()
	c := coarse(t, demo)
	rapid.Check(t, func(rt *rapid.T) {
		button := rapid.SampledFrom(sim.Buttons()).Draw(rt, "button")
		at := time.Duration(rapid.IntRange(0, 9000).Draw(rt, "at")) * time.Millisecond
		lasts := time.Duration(rapid.IntRange(0, 600).Draw(rt, "for")) * time.Millisecond
		on := button != "trigger" // which the script holds on
		byHand := scripted(rt, c, sim.Action{At: at, For: lasts, Set: map[string]bool{button: on}})
		byFault := withFaulted(rt, c, sim.Fault{At: &at, For: lasts, Set: map[string]string{"operator." + button: map[bool]string{true: "true", false: "false"}[on]}})
		if button == "trigger" && at <= 500*time.Millisecond {
			rt.Skip("the script's own edge comes after it")
		}
		require.Equal(rt, resultText(rt, byHand), resultText(rt, byFault))
	})
}

// A fault can wait for the state that the sequence wakes up in after a loss of power that is
// itself a fault.
func TestPowerLossFaultWakesTheSequence(t *testing.T) {
	c := withFaulted(t, load(t, demo, nil),
		sim.Fault{When: &sim.Moment{State: "verdict_down", After: 100 * time.Millisecond}, For: 300 * time.Millisecond, Set: map[string]string{"operator.power_loss": "true"}},
		sim.Fault{When: &sim.Moment{State: "power_up"}, Set: map[string]string{"brake.condition": "0.9"}},
	)
	r, err := sim.Run(c, nil)
	require.NoError(t, err)
	assert.Equal(t, sim.Refused, r.Class)
	assert.Equal(t, "power-lost", r.Cause)
	assert.Equal(t, 1, count(r.Events, sim.EventPowerReturned))
	assert.Equal(t, 1, countText(r.Events, "brake.condition = 0.9"))
}

// What a fault of the operator is over, the button is where the script has it by then.
func TestOperatorFaultLeavesTheButtonToTheScript(t *testing.T) {
	at := 100 * time.Millisecond
	c := withFaulted(t, load(t, demo, nil), sim.Fault{At: &at, For: time.Second, Set: map[string]string{"operator.trigger": "false"}})
	b := ticked(sim.NewBench(c, nil), 8000) // 2 s
	require.True(t, b.View().Buttons["trigger"], "pressed by the script while the fault was on")
	r := runWith(t, c)
	require.Equal(t, sim.SoundPass, r.Class)
}

// Injected, lifted and cloned, a fault of the operator plays again as it was.
func TestOperatorFaultsPlayAgain(t *testing.T) {
	t.Parallel()
	c := scripted(t, coarse(t, demo))
	rapid.Check(t, func(rt *rapid.T) {
		b := ticked(sim.NewBench(c, nil), rapid.Int64Range(0, 5000).Draw(rt, "before"))
		button := rapid.SampledFrom(sim.Buttons()).Draw(rt, "button")
		require.NoError(rt, b.Inject(sim.Fault{Set: map[string]string{"operator." + button: "true"}}))
		ticked(b, b.Ticks()+rapid.Int64Range(1, 1000).Draw(rt, "on for"))
		if !b.Done() && rapid.Bool().Draw(rt, "lift") {
			require.NoError(rt, b.RemoveFault(0))
		}
		ticked(b, b.Ticks()+rapid.Int64Range(0, 100).Draw(rt, "after"))
		copied := b.Clone()
		want := finished(rt, b)
		require.Equal(rt, want, finished(rt, copied))
		again, _, err := c.With(b.PlayedScenario())
		require.NoError(rt, err)
		require.Equal(rt, want, finished(rt, sim.NewBench(again, nil)))
	})
}

// An old proof stands from the start, for both sides, and lapses when its time is over, at a
// scan of the judge.
func TestProofLeftByAFault(t *testing.T) {
	c := load(t, demo, map[string]string{"judge.proof_left": "0s"})
	kept := new(rows)
	_, err := sim.Run(withFaulted(t, c, sim.Fault{When: &sim.Moment{}, Set: map[string]string{"judge.proof_left": "2s"}}), kept)
	require.NoError(t, err)
	scan := c.Rig.Clock.FunctionalScan.Seconds()
	late := (2 * c.Rig.Clock.SafetyScan).Seconds() // the judge's scan and the link
	for i, r := range *kept {
		at := float64(i) * scan
		if at < 2-late {
			require.True(t, r.in.Proof, "at %g s", at)
			require.InDelta(t, 2-at, r.in.ProofLeftS, late+scan)
		}
		if at > 2+late && at < 3 {
			require.False(t, r.in.Proof, "at %g s", at)
		}
	}
	same := load(t, demo, map[string]string{"judge.proof_left": "2s"})
	r := runWith(t, same)
	require.Equal(t, 1, count(r.Events, sim.EventProofLapsed))
}

// In mid run it gives the judge a proof or takes it away, and nothing takes that back.
func TestProofTakenAwayByAFault(t *testing.T) {
	b := runUntilEvent(t, sim.NewBench(load(t, demo, nil), nil), "decouple → travel")
	require.True(t, b.View().Judge.Verdict.Proof)
	require.ErrorContains(t, b.Inject(sim.Fault{For: time.Second, Set: map[string]string{"judge.proof_left": "0s"}}), "must be permanent")
	require.NoError(t, b.Inject(sim.Fault{Set: map[string]string{"judge.proof_left": "0s"}}))
	ticked(b, b.Ticks()+100)
	require.False(t, b.View().Judge.Verdict.Proof)
	require.False(t, b.View().In.Proof)
	require.ErrorContains(t, b.RemoveFault(0), "cannot be undone within a run")
	require.NoError(t, b.Inject(sim.Fault{Set: map[string]string{"judge.proof_left": "1h"}}))
	ticked(b, b.Ticks()+100)
	require.True(t, b.View().In.Proof)
	require.InDelta(t, 3600, b.View().In.ProofLeftS, 0.1)
}

// A judge without power keeps no proof, whoever gives it one.
func TestProofIsNotLeftInTheDark(t *testing.T) {
	b := runUntilEvent(t, sim.NewBench(load(t, demo, nil), nil), "decouple → travel")
	losePower(t, b, 400)
	require.NoError(t, b.SetButton("power_loss", true))
	ticked(b, b.Ticks()+40)
	require.True(t, b.View().Unpowered)
	require.NoError(t, b.Inject(sim.Fault{Set: map[string]string{"judge.proof_left": "1h"}}))
	ticked(b, b.Ticks()+40)
	require.NoError(t, b.SetButton("power_loss", false))
	ticked(b, b.Ticks()+400)
	require.False(t, b.View().Unpowered)
	require.False(t, b.View().In.Proof)
}

// An ask that is stuck begins a check at once and never ends it; a verdict that is stuck is a
// fresh proof at any time, and nothing else.
func TestStuckSignalsOfTheLink(t *testing.T) {
	c := load(t, demo, nil)
	start := &sim.Moment{}
	r := runWith(t, c, sim.Fault{When: start, Set: map[string]string{"link.ask_stuck": "true"}})
	require.Equal(t, sim.EventAsked, eventOf(r, sim.KindJudge).Type)
	require.Less(t, eventOf(r, sim.KindJudge).TS, 0.1)
	require.Zero(t, count(r.Events, sim.EventAskDropped))

	kept := new(rows)
	_, err := sim.Run(withFaulted(t, c, sim.Fault{When: start, Set: map[string]string{"link.verdict_stuck": "true"}}), kept)
	require.NoError(t, err)
	interval := c.Rig.Judge.Interval.Seconds()
	for i, r := range (*kept)[10:] {
		require.True(t, r.in.Proof && !r.in.JudgeBusy && !r.in.JudgeFailed, "scan %d", i)
		require.InDelta(t, interval, r.in.ProofLeftS, 0)
	}
}

// eventOf is the first event of a kind.
func eventOf(r *sim.Result, kind string) sim.Event {
	for _, e := range r.Events {
		if e.Kind == kind {
			return e
		}
	}
	return sim.Event{}
}

func runWith(t *testing.T, c *sim.Case, faults ...sim.Fault) *sim.Result {
	t.Helper()
	n := *c
	n.Scenario.Faults = faults
	r, err := sim.Run(&n, nil)
	require.NoError(t, err)
	return r
}
