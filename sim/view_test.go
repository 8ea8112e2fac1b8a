package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim"
)

// A judge with a requirement of its own holds the current against that one, whatever
// the sequence sends; the view agrees.
func TestLookAtAFixedRequirement(t *testing.T) {
	fixed := map[string]string{"judge.requirement": "fixed", "judge.required_a": "-0.9", "sequence.test_up": "false", "judge.directions": "down"}
	b := sim.NewBench(load(t, demo, fixed), nil)
	require.Equal(t, -0.9, b.View().Judge.Required, "before anything was sent")
	runUntilEvent(t, b, "position latched")
	l := b.View()
	require.Equal(t, -0.9, l.Judge.Required)
	require.Less(t, l.Out.RequiredCurrentA, -1.0, "the sequence asks for more")
	require.NoError(t, b.Inject(sim.Fault{Set: map[string]string{"judge.required_a": "-3"}}))
	ticked(b, b.Ticks()+64)
	require.Equal(t, -3.0, b.View().Judge.Required, "as the judge has it now")
	require.False(t, b.View().Judge.Met)
}

// A dynamic requirement and a verdict come late over the link, by its scans each.
func TestLookTellsWhatTheLinkDelays(t *testing.T) {
	const delay, scan = 8, 32 // scans, and ticks of a safety scan
	c := load(t, demo, map[string]string{"rig.clock.link_delay_scans": "8"})
	require.EqualValues(t, scan, c.Rig.Clock.SafetyScan/c.Rig.Clock.Tick)
	late := func(b *sim.Bench, came func(*sim.View) bool) int64 {
		from := b.Ticks()
		for !came(b.View()) && b.Tick() {
			continue
		}
		return (b.Ticks() - from) / scan
	}
	b := runUntilEvent(t, sim.NewBench(c, nil), "close_brake → press_down")
	l := b.View()
	require.Less(t, l.Out.RequiredCurrentA, -1.0)
	require.Zero(t, l.Judge.Required, "still on its way")
	want := l.Out.RequiredCurrentA
	require.InDelta(t, delay, late(b, func(l *sim.View) bool { return l.Judge.Required == want }), 1)

	runUntilEvent(t, b, "proven for")
	l = b.View()
	require.True(t, l.Judge.Verdict.Proof && !l.Judge.Verdict.Busy)
	require.True(t, l.Judge.Received.Busy, "the sequence has yet to hear of it")
	require.True(t, l.In.JudgeBusy)
	require.EqualValues(t, delay, late(b, func(l *sim.View) bool { return !l.Judge.Received.Busy }))
	l = b.View()
	require.True(t, l.Judge.Received.Proof)
	require.Equal(t, l.Judge.Verdict.ProofLeft+delay*c.Rig.Clock.SafetyScan, l.Judge.Received.ProofLeft, "what it hears is that old")
}

// The stop of the safety side in the words of IEC 61800-5-2: SS1 while the drive comes
// to rest, then STO.
func TestLookNamesTheStop(t *testing.T) {
	c := load(t, demo, map[string]string{"judge.ceiling_nm": "4"})
	b := sim.NewBench(c, nil)
	words, since := []string{b.View().Judge.Stop}, []int64{0}
	runUntilEvent(t, b, "press_up → verdict_up")
	for b.Tick() {
		if word := b.View().Judge.Stop; word != words[len(words)-1] {
			words, since = append(words, word), append(since, b.Ticks())
		}
	}
	require.Equal(t, []string{"", "SS1", "STO"}, words)
	scans := (c.Rig.Safety.StopTime + c.Rig.Clock.SafetyScan - 1) / c.Rig.Clock.SafetyScan
	require.EqualValues(t, scans*c.Rig.Clock.SafetyScan/c.Rig.Clock.Tick, since[2]-since[1], "the ramp in whole safety scans")
	for _, e := range b.Events() {
		if e.Type == sim.EventFailed {
			require.InDelta(t, float64(since[1]-1)*c.Rig.Clock.Tick.Seconds(), e.TS, 1e-9)
		}
	}
}

// The partner is looked at as it is: apart from the axis while the coupling is open.
func TestLookAtThePartner(t *testing.T) {
	require.Nil(t, sim.NewBench(load(t, demo, nil), nil).View().Partner, "a single axis has none")
	b := runUntilEvent(t, sim.NewBench(load(t, "healthy-coupled-pair", nil), nil), "settle → close_brake")
	l := b.View()
	require.NotNil(t, l.Partner)
	require.Greater(t, math.Abs(l.Truth.AngleRad-l.Partner.AngleRad), 1.0, "the axis has travelled, the partner has stayed")
	stayed := l.Partner.AngleRad
	runUntilEvent(t, b, "check_motion → passed")
	require.InDelta(t, stayed+2*math.Pi/8, b.View().Partner.AngleRad, 0.2, "a millimetre up, of 8 mm a turn, and the backlash")

	b = runUntilEvent(t, sim.NewBench(load(t, "coupling-switch-wrong", nil), nil), "decouple → travel")
	l = b.View()
	before := *l.Partner
	ticked(b, b.Ticks()+2000)
	require.Greater(t, b.View().Partner.AngleRad, before.AngleRad+1, "it is taken along")
	require.Equal(t, before, *l.Partner, "a look does not change")
}

// The view says when the torque was first reached, when the
// check ended, and whether the current is enough as the judge holds it.
func TestLookAtTheCheck(t *testing.T) {
	b := runUntilEvent(t, sim.NewBench(load(t, demo, nil), nil), "asked")
	last := func() float64 { return b.Events()[len(b.Events())-1].TS }
	require.Zero(t, b.View().Judge.CheckEndedS)
	if j := b.View().Judge; !j.Latched {
		require.False(t, j.Met)
		runUntilEvent(t, b, "position latched")
	}
	latched := last()
	j := b.View().Judge
	assert.True(t, j.Latched && j.Met && j.Verdict.Busy)
	assert.Equal(t, latched, j.LatchedS)
	ticked(b, b.Ticks()+100)
	assert.Equal(t, latched, b.View().Judge.LatchedS, "it stays")

	require.NoError(t, b.Inject(sim.Fault{Set: map[string]string{"drive.current_limit_rms_a": "0.2"}}))
	ticked(b, b.Ticks()+400)
	j = b.View().Judge
	assert.True(t, j.Latched && j.Verdict.Busy)
	assert.False(t, j.Met, "the torque has gone")
	assert.Zero(t, j.DwellElapsed)
	assert.Equal(t, latched, j.LatchedS, "and the latch stays")
	require.NoError(t, b.RemoveFault(0))
	ticked(b, b.Ticks()+400)
	assert.True(t, b.View().Judge.Met)
	runUntilEvent(t, b, "down passed")
	j = b.View().Judge
	assert.Equal(t, last(), j.CheckEndedS)
	assert.Equal(t, latched, j.LatchedS)
	assert.False(t, j.Met, "nothing is held against anything once the check is over")
	runUntilEvent(t, b, "position latched")
	assert.Equal(t, last(), b.View().Judge.LatchedS, "that of the newest check")
	assert.Greater(t, last(), latched)
}

// The judge is shown with the current that it reads itself, and looking does not change the run.
func TestViewOfTheJudgesOwnTransducer(t *testing.T) {
	own := map[string]string{"judge.transducer": "own", "judge.current_gain": "0.5", "judge.current_noise_rms_a": "0.01"}
	b, unseen := sim.NewBench(load(t, demo, own), nil), sim.NewBench(load(t, demo, own), nil)
	for b.Ticks() < 16000 { // in the check downwards, whose requirement it does not reach
		ticked(b, b.Ticks()+50)
		b.View()
	}
	ticked(unseen, 16000)
	v := b.View()
	assert.InDelta(t, v.In.CurrentRMSA*math.Sqrt2/2, v.Judge.Measured, 6*0.01*math.Sqrt2, "half of it, with noise")
	assert.Equal(t, unseen.View().Judge.Measured, v.Judge.Measured)
}
