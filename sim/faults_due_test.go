package sim_test

import (
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/sim"
)

// Many faults that overlap and are written in no order begin and end at their own ticks, and those of one
// tick in the order of the scenario. A copy made on the way goes on alike.
func TestManyFaultsComeAtTheirTicks(t *testing.T) {
	t.Parallel()
	const n = 60
	c := coarse(t, demo)
	s := c.Scenario.Clone()
	want := map[time.Duration][]string{}
	for i := range n {
		at := time.Duration(100+37*i%90) * time.Millisecond
		lasts := time.Duration(1+i%7) * time.Millisecond
		value := strconv.Itoa(i + 1)
		s.Faults = append(s.Faults, sim.Fault{At: &at, For: lasts, Set: map[string]string{"judge.current_noise_rms_a": value}})
		text := "judge.current_noise_rms_a = " + value
		want[at] = append(want[at], text)
		want[at+lasts] = append(want[at+lasts], "over: "+text)
	}
	made, _, err := c.With(s)
	require.NoError(t, err)
	b := sim.NewBench(made, nil)
	b.Advance(140)
	copied := b.Clone()
	for _, run := range []*sim.Bench{b, copied} {
		run.Advance(200)
		got := map[time.Duration][]string{}
		for _, e := range run.Events() {
			if e.Type == sim.EventFaultBegan || e.Type == sim.EventFaultEnded {
				at := time.Duration(e.TS*1000+0.5) * time.Millisecond
				got[at] = append(got[at], e.What)
			}
		}
		require.Equal(t, want, got)
		require.Equal(t, made.Rig.Judge.CurrentNoiseRMSA, run.View().Rig.Judge.CurrentNoiseRMSA, "as it was, once all are over")
	}
}
