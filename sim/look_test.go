package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim"
)

// A judge with a requirement of its own holds the current against that one, whatever
// the sequence sends; the look tells the same.
func TestLookAtAFixedRequirement(t *testing.T) {
	fixed := map[string]string{"judge.requirement": "fixed", "judge.required_a": "-0.9", "sequence.test_up": "false"}
	b := sim.NewBench(load(t, demo, fixed), nil)
	require.Equal(t, -0.9, b.Look().Judge.RequiredA, "before anything was sent")
	upTo(t, b, "position latched")
	l := b.Look()
	require.Equal(t, -0.9, l.Judge.RequiredA)
	require.Less(t, l.Out.RequiredCurrentA, -1.0, "the sequence asks for more")
	require.NoError(t, b.Inject(sim.Fault{Set: map[string]string{"judge.required_a": "-3"}}))
	ticked(b, b.Ticks()+64)
	require.Equal(t, -3.0, b.Look().Judge.RequiredA, "as the judge has it now")
	require.False(t, b.Look().Judge.Enough)
}

// A dynamic requirement and a verdict come late over the link, by its scans each.
func TestLookTellsWhatTheLinkDelays(t *testing.T) {
	const delay, scan = 8, 32 // scans, and ticks of a safety scan
	c := load(t, demo, map[string]string{"rig.clock.link_delay_scans": "8"})
	require.EqualValues(t, scan, c.Rig.Clock.SafetyScan/c.Rig.Clock.Tick)
	late := func(b *sim.Bench, came func(*sim.Look) bool) int64 {
		from := b.Ticks()
		for !came(b.Look()) && b.Tick() {
			continue
		}
		return (b.Ticks() - from) / scan
	}
	b := upTo(t, sim.NewBench(c, nil), "clamp → press_down")
	l := b.Look()
	require.Less(t, l.Out.RequiredCurrentA, -1.0)
	require.Zero(t, l.Judge.RequiredA, "still on its way")
	want := l.Out.RequiredCurrentA
	require.InDelta(t, delay, late(b, func(l *sim.Look) bool { return l.Judge.RequiredA == want }), 1)

	upTo(t, b, "proven for")
	l = b.Look()
	require.True(t, l.Judge.Verdict.Proof && !l.Judge.Verdict.Busy)
	require.True(t, l.Judge.Seen.Busy, "the sequence has yet to hear of it")
	require.True(t, l.In.JudgeBusy)
	require.EqualValues(t, delay, late(b, func(l *sim.Look) bool { return !l.Judge.Seen.Busy }))
	l = b.Look()
	require.True(t, l.Judge.Seen.Proof)
	require.Equal(t, l.Judge.Verdict.ProofLeft+delay*c.Rig.Clock.SafetyScan, l.Judge.Seen.ProofLeft, "what it hears is that old")
}

// The stop of the safety side in the words of IEC 61800-5-2: SS1 while the drive comes
// to rest, then STO.
func TestLookNamesTheStop(t *testing.T) {
	c := load(t, demo, map[string]string{"judge.ceiling_nm": "4"})
	b := sim.NewBench(c, nil)
	words, since := []string{b.Look().Judge.Stop}, []int64{0}
	upTo(t, b, "press_up → ask_up")
	for b.Tick() {
		if word := b.Look().Judge.Stop; word != words[len(words)-1] {
			words, since = append(words, word), append(since, b.Ticks())
		}
	}
	require.Equal(t, []string{"", "SS1", "STO"}, words)
	scans := (c.Rig.Judge.RampDown + c.Rig.Clock.SafetyScan - 1) / c.Rig.Clock.SafetyScan
	require.EqualValues(t, scans*c.Rig.Clock.SafetyScan/c.Rig.Clock.Tick, since[2]-since[1], "the ramp in whole safety scans")
	for _, e := range b.Events() {
		if e.Type == sim.EventFailed {
			require.InDelta(t, float64(since[1]-1)*c.Rig.Clock.Tick.Seconds(), e.TS, 1e-9)
		}
	}
}

// The partner is looked at as it is: apart from the axis while the coupling is open.
func TestLookAtThePartner(t *testing.T) {
	require.Nil(t, sim.NewBench(load(t, demo, nil), nil).Look().Partner, "a single axis has none")
	b := upTo(t, sim.NewBench(load(t, "healthy-coupled-pair", nil), nil), "settle → clamp")
	l := b.Look()
	require.NotNil(t, l.Partner)
	require.Greater(t, math.Abs(l.Truth.AngleRad-l.Partner.AngleRad), 1.0, "the axis has travelled, the partner has stayed")
	stayed := l.Partner.AngleRad
	upTo(t, b, "recouple → passed")
	require.InDelta(t, stayed, b.Look().Partner.AngleRad, 0.2)

	b = upTo(t, sim.NewBench(load(t, "coupling-lies", nil), nil), "decouple → travel")
	l = b.Look()
	before := *l.Partner
	ticked(b, b.Ticks()+2000)
	require.Greater(t, b.Look().Partner.AngleRad, before.AngleRad+1, "it is taken along")
	require.Equal(t, before, *l.Partner, "a look does not change")
}

// The look tells when the torque stood for the first time, when the
// check ended, and whether the current is enough as the judge holds it.
func TestLookAtTheCheck(t *testing.T) {
	b := upTo(t, sim.NewBench(load(t, demo, nil), nil), "asked")
	last := func() float64 { return b.Events()[len(b.Events())-1].TS }
	require.Zero(t, b.Look().Judge.CheckedS)
	if j := b.Look().Judge; !j.Latched {
		require.False(t, j.Enough)
		upTo(t, b, "position latched")
	}
	latched := last()
	j := b.Look().Judge
	assert.True(t, j.Latched && j.Enough && j.Verdict.Busy)
	assert.Equal(t, latched, j.LatchS)
	ticked(b, b.Ticks()+100)
	assert.Equal(t, latched, b.Look().Judge.LatchS, "it stays")

	require.NoError(t, b.Inject(sim.Fault{Set: map[string]string{"drive.current_limit_rms_a": "0.2"}}))
	ticked(b, b.Ticks()+400)
	j = b.Look().Judge
	assert.True(t, j.Latched && j.Verdict.Busy)
	assert.False(t, j.Enough, "the torque has gone")
	assert.Zero(t, j.Stood)
	assert.Equal(t, latched, j.LatchS, "and the latch stays")
	require.NoError(t, b.Lift(0))
	ticked(b, b.Ticks()+400)
	assert.True(t, b.Look().Judge.Enough)
	upTo(t, b, "proven for")
	j = b.Look().Judge
	assert.Equal(t, last(), j.CheckedS)
	assert.Equal(t, latched, j.LatchS)
	assert.False(t, j.Enough, "nothing is held against anything once the check is over")
	upTo(t, b, "position latched")
	assert.Equal(t, last(), b.Look().Judge.LatchS, "that of the newest check")
	assert.Greater(t, last(), latched)
}
