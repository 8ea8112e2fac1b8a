package sim_test

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/sim"
)

// finished runs a bench to its end and gives everything that is said of the run.
func finished(tb rapid.TB, b *sim.Bench) string {
	for b.Tick() {
		continue
	}
	r, err := b.Result()
	require.NoError(tb, err)
	text, err := json.Marshal(r)
	require.NoError(tb, err)
	return string(text)
}

func ticked(b *sim.Bench, ticks int64) *sim.Bench {
	for b.Ticks() < ticks && b.Tick() {
		continue
	}
	return b
}

// A copy goes on as the original does, with faults waiting, on and over, and what is
// done to the one does not reach the other.
func TestCloneGoesOnAlike(t *testing.T) {
	cases, want := map[string]*sim.Case{}, map[string]string{}
	names := []string{demo, "oil-on-the-lining", "link-lost-for-some-scans", "healthy-coupled-pair", "transmission-severed", "emergency-stop-while-pressing"}
	for _, name := range names {
		cases[name] = coarse(t, name)
		want[name] = finished(t, sim.NewBench(cases[name], nil))
	}
	rapid.Check(t, func(rt *rapid.T) {
		name := rapid.SampledFrom(names).Draw(rt, "name")
		b := ticked(sim.NewBench(cases[name], nil), rapid.Int64Range(0, 12_500).Draw(rt, "ticks"))
		copied, other := b.Clone(), b.Clone()
		_ = other.SetButton("estop", true) // a run that is over refuses, which is as good
		_ = other.Inject(sim.Fault{Set: map[string]string{"brake.condition": "0.1"}})
		finished(rt, other)
		require.Equal(rt, want[name], finished(rt, copied))
		require.Equal(rt, want[name], finished(rt, b))
	})
}

// What was done to a run on the way is a scenario that gives the same run again.
func TestPlayedRunsAlike(t *testing.T) {
	t.Parallel()
	targets := []map[string]string{
		{"brake.condition": "0.3"}, {"encoder.frozen": "true"}, {"link.down": "true"},
		{"brake.condition": "0.9", "drive.current_noise_rms_a": "0.05"}, {"brake.glaze": "0.4"},
	}
	states := []string{"travel", "close_brake", "press_down", "verdict_down", "transfer_load", "arrest_load"}
	c := coarse(t, demo)
	rapid.Check(t, func(rt *rapid.T) {
		b := sim.NewBench(c, nil)
		for range rapid.IntRange(0, 6).Draw(rt, "edits") {
			ticked(b, b.Ticks()+rapid.Int64Range(0, 3000).Draw(rt, "ticks"))
			if b.Done() {
				break
			}
			switch rapid.IntRange(0, 4).Draw(rt, "kind") {
			case 0:
				require.NoError(rt, b.Inject(sim.Fault{Set: rapid.SampledFrom(targets).Draw(rt, "set")}))
			case 1:
				f := sim.Fault{
					When: &sim.Moment{State: rapid.SampledFrom(states).Draw(rt, "state"), After: 10 * time.Millisecond},
					Set:  map[string]string{"brake.condition": "0.5"}, For: 300 * time.Millisecond,
				}
				if err := b.Inject(f); err != nil {
					require.ErrorContains(rt, err, "has been entered already")
				}
			case 2:
				require.NoError(rt, b.SetButton(rapid.SampledFrom(sim.Buttons()).Draw(rt, "button"), rapid.Bool().Draw(rt, "on")))
			case 3:
				_ = b.RemoveFault(rapid.IntRange(0, 5).Draw(rt, "fault")) // not each can be lifted
			case 4:
				held := time.Duration(rapid.IntRange(1, 300).Draw(rt, "held")) * time.Millisecond
				require.NoError(rt, b.PressButton(rapid.SampledFrom(sim.Buttons()).Draw(rt, "pressed"), held))
			}
		}
		want := finished(rt, b)
		again, _, err := c.With(b.PlayedScenario())
		require.NoError(rt, err)
		require.Equal(rt, want, finished(rt, sim.NewBench(again, nil)))

		kept := b.EffectiveScenario()
		came, _, err := c.With(kept)
		require.NoError(rt, err)
		r, err := sim.Run(came, nil)
		require.NoError(rt, err)
		for _, e := range r.Expectations {
			require.True(rt, e.Met || e.Name != "faults", "what is kept has no fault that never comes: %v", e)
		}
	})
}

func TestInjectAndLiftSayWhatIsWrong(t *testing.T) {
	b := ticked(sim.NewBench(load(t, demo, nil), nil), 12_000) // 3 s: after the travel
	state := func(name string) sim.Fault {
		return sim.Fault{When: &sim.Moment{State: name}, Set: map[string]string{"encoder.lost": "true"}}
	}
	early := time.Second
	for _, c := range []struct {
		name, want string
		err        error
	}{
		{"unknown target", `a fault cannot set "brake.contition"; the nearest valid one is "brake.condition"`, b.Inject(sim.Fault{Set: map[string]string{"brake.contition": "1"}})},
		{"out of range", "brake.condition is \"7\"; must be between 0 and 2", b.Inject(sim.Fault{Set: map[string]string{"brake.condition": "7"}})},
		{"nothing", "a fault must set something", b.Inject(sim.Fault{})},
		{"unknown state", `there is no state "travl"`, b.Inject(state("travl"))},
		{"state over", "state travel has been entered already", b.Inject(state("travel"))},
		{"moment over", "1s is past; must be 3s or later", b.Inject(sim.Fault{At: &early, Set: map[string]string{"encoder.lost": "true"}})},
		{"against the rig", "low", b.Inject(sim.Fault{Set: map[string]string{"stops.low_mm": "5000"}})},
		{"no fault", "there is no fault 1; there are 0", b.RemoveFault(0)},
		{"no button", `the operator cannot set "start"`, b.SetButton("start", true)},
	} {
		t.Run(c.name, func(t *testing.T) { require.ErrorContains(t, c.err, c.want) })
	}
	assert.Equal(t, load(t, demo, nil).Scenario.Faults, b.PlayedScenario().Faults, "what was refused leaves nothing")

	require.NoError(t, b.Inject(sim.Fault{Set: map[string]string{"brake.gap_mm": "0.6"}}))
	require.NoError(t, b.Inject(state("transfer_load")))
	ticked(b, 12_100)
	require.ErrorContains(t, b.RemoveFault(0), "cannot be undone within a run")
	require.NoError(t, b.RemoveFault(1), "one that waits never comes")
	require.Len(t, b.PlayedScenario().Faults, 1)

	finished(t, b)
	require.ErrorContains(t, b.SetButton("cancel", true), "the run has ended")
	require.ErrorContains(t, b.Inject(state("transfer_load")), "the run has ended")
	require.ErrorContains(t, b.RemoveFault(0), "the run has ended")
}

// A look shares nothing with the run that a later tick changes.
func TestLookDoesNotChange(t *testing.T) {
	b := ticked(sim.NewBench(load(t, "oil-on-the-lining", nil), nil), 14_000)
	look := b.View()
	before := fmt.Sprintf("%+v", look)
	finished(t, b)
	require.Equal(t, before, fmt.Sprintf("%+v", look))
}

func TestNominalIsTheSameWithoutFaults(t *testing.T) {
	c := load(t, "lining-worn-thin", nil)
	r, err := sim.Run(c.Nominal(), nil)
	require.NoError(t, err)
	require.Equal(t, sim.SoundPass, r.Class)
	require.NotEmpty(t, c.Scenario.Faults, "the case itself is as it was")
}

// A controller without power commands nothing: the brake closes, the drive has no
// torque, and the judge gives no verdict. When power comes back nothing of before counts.
func TestPowerLoss(t *testing.T) {
	lossAt := func(at, until time.Duration) *sim.Result {
		c := load(t, demo, nil)
		s := c.Scenario
		s.Script = []sim.Action{{At: 500 * time.Millisecond, Set: map[string]bool{"trigger": true}}, {At: at, For: until, Set: map[string]bool{"power_loss": true}}}
		again, _, err := c.With(s)
		require.NoError(t, err)
		r, err := sim.Run(again, nil)
		require.NoError(t, err)
		return r
	}
	step := 50 * time.Millisecond
	if testing.Short() {
		step = 350 * time.Millisecond
	}
	for at := 600 * time.Millisecond; at < 6500*time.Millisecond; at += step {
		r := lossAt(at, 2*time.Second)
		assert.Equal(t, "stop", r.End, "power lost at %v", at)
		for _, o := range r.Obligations {
			assert.True(t, o.Kept, "power lost at %v: %s %s", at, o.Name, o.Detail)
		}
	}
	r := lossAt(3*time.Second, 0)
	assert.Equal(t, "none", r.End, "nothing runs that could end")
	assert.Equal(t, "none", r.Verdict)
	for _, o := range r.Obligations {
		assert.True(t, o.Kept, "%s %s", o.Name, o.Detail)
	}
}

// A fault that is lifted is over in the tick that comes next, and one that is injected
// without a moment comes in it.
func TestInjectAndLiftTakeEffectAtOnce(t *testing.T) {
	tick := load(t, demo, nil).Rig.Clock.Tick
	for _, held := range []int64{1, 2, 7, 400} {
		b := ticked(sim.NewBench(load(t, demo, nil), nil), 12_003)
		require.NoError(t, b.Inject(sim.Fault{Set: map[string]string{"brake.condition": "0.9"}}))
		ticked(b, 12_003+held)
		seen := len(b.Events())
		require.NoError(t, b.RemoveFault(0))
		require.Equal(t, time.Duration(held)*tick, b.PlayedScenario().Faults[0].For)
		require.Equal(t, (12_003 * tick), *b.PlayedScenario().Faults[0].At)
		b.Tick()
		require.Equal(t, "over: brake.condition = 0.9", b.Events()[seen].What)
		require.Equal(t, (time.Duration(12_003+held) * tick).Seconds(), b.Events()[seen].TS)
		require.Equal(t, 1.0, b.View().Rig.Brake.Condition)
		require.ErrorContains(t, b.RemoveFault(0), "is over already")
	}
	b := ticked(sim.NewBench(load(t, demo, nil), nil), 12_003)
	require.NoError(t, b.Inject(sim.Fault{Set: map[string]string{"brake.condition": "0.9"}}))
	require.NoError(t, b.RemoveFault(0), "before it came")
	finished(t, b)
	require.Zero(t, countText(b.Events(), "brake.condition"))
}

// The tick that comes next is the first in which something can still come.
func TestInjectHeedsTheTickThatComesNext(t *testing.T) {
	const tick, now = 250 * time.Microsecond, 12_003
	set := map[string]string{"encoder.lost": "true"}
	for _, k := range []struct {
		name string
		at   time.Duration
		want string
	}{
		{"a tick past", (now - 1) * tick, "3.0005s is past; must be 3.00075s or later"},
		{"rounded up into a tick past", (now-2)*tick + 1, "is past"},
		{"rounded up into now", (now-1)*tick + 1, ""},
		{"now", now * tick, ""},
		{"a tick to come", (now + 1) * tick, ""},
	} {
		for form, f := range map[string]sim.Fault{
			"at": {At: at(k.at), Set: set}, "after the start": {When: &sim.Moment{After: k.at}, Set: set},
		} {
			b := ticked(sim.NewBench(load(t, demo, nil), nil), now)
			err := b.Inject(f)
			if k.want != "" {
				require.ErrorContains(t, err, k.want, "%s, %s", k.name, form)
				require.Empty(t, b.View().Faults)
				continue
			}
			require.NoError(t, err, "%s, %s", k.name, form)
			due := (k.at + tick - 1) / tick * tick
			finished(t, b)
			for _, e := range b.Events() {
				require.False(t, e.Kind == sim.KindFault && e.TS != due.Seconds(), "%s, %s: it came at %v s", k.name, form, e.TS)
			}
			require.Equal(t, 1, countText(b.Events(), "encoder.lost = true"), "%s, %s", k.name, form)
		}
	}
}

func TestInjectRefusesTimesBelowZero(t *testing.T) {
	b := sim.NewBench(load(t, demo, nil), nil)
	set := map[string]string{"encoder.lost": "true"}
	for name, f := range map[string]sim.Fault{
		"At":               {At: at(-1), Set: set},
		"For":              {For: -1, Set: set},
		"AfterTheStart":    {When: &sim.Moment{After: -1}, Set: set},
		"AfterAState":      {When: &sim.Moment{State: "press_down", After: -1}, Set: set},
		"ForWithAMoment":   {At: at(time.Second), For: -1, Set: set},
		"ForWithinATick":   {At: at(time.Second), For: -time.Microsecond, Set: set},
		"AfterWithForAlso": {When: &sim.Moment{State: "press_down", After: -time.Second}, For: time.Second, Set: set},
	} {
		require.ErrorContains(t, b.Inject(f), "a time of the fault is negative; must be 0 or more", name)
	}
	require.Empty(t, b.View().Faults)
	require.NoError(t, b.Inject(sim.Fault{At: at(0), Set: set}), "the start is a moment")
}

// A form can ask before the run goes on: what no run of a case can have is refused in the words of
// Inject, and what is only too late is not.
func TestCheckFaultRefusesWhatNoRunCanHave(t *testing.T) {
	t.Parallel()
	c := load(t, demo, nil)
	early := time.Second
	for _, k := range []struct {
		name, wrong string
		fault       sim.Fault
	}{
		{"unknown target", `a fault cannot set "brake.contition"`, sim.Fault{Set: map[string]string{"brake.contition": "1"}}},
		{"out of range", `brake.condition is "7"; must be between 0 and 2`, sim.Fault{Set: map[string]string{"brake.condition": "7"}}},
		{"against the rig", "low", sim.Fault{Set: map[string]string{"stops.low_mm": "5000"}}},
		{"unknown state", `there is no state "travl"`, sim.Fault{When: &sim.Moment{State: "travl"}, Set: map[string]string{"encoder.lost": "true"}}},
		{"negative time", "a time of the fault is negative", sim.Fault{For: -1, Set: map[string]string{"encoder.lost": "true"}}},
		{"moment that a run is past", "", sim.Fault{At: &early, Set: map[string]string{"encoder.lost": "true"}}},
		{"at once", "", sim.Fault{Set: map[string]string{"link.down": "true"}}},
	} {
		err := c.CheckFault(k.fault)
		if k.wrong == "" {
			require.NoError(t, err, k.name)
			continue
		}
		require.ErrorContains(t, err, k.wrong, k.name)
		require.EqualError(t, sim.NewBench(c, nil).Inject(k.fault), err.Error(), k.name)
	}
}

// A button that is pressed is released again after its time, and a stop is reset by that.
func TestPressedButtonIsReleased(t *testing.T) {
	b := ticked(sim.NewBench(load(t, demo, nil), nil), 4*1000)
	require.NoError(t, b.SetButton("estop", true))
	ticked(b, 4*2500) // 1.5 s of a stop that takes 1 s
	require.Equal(t, "STO", b.View().Judge.Stop)
	require.NoError(t, b.SetButton("estop", false))
	require.NoError(t, b.PressButton("reset", 200*time.Millisecond))
	ticked(b, b.Ticks()+4*100)
	require.True(t, b.Button("reset"))
	require.Equal(t, "STO", b.View().Judge.Stop, "the release resets")
	ticked(b, b.Ticks()+4*200)
	require.False(t, b.Button("reset"))
	require.Empty(t, b.View().Judge.Stop)
}

// A fault acts as long as no later one sets its values and no earlier one the same, and again once that one is over.
func TestIdleFaults(t *testing.T) {
	t.Parallel()
	at := func(d time.Duration) *time.Duration { return &d }
	c := coarse(t, "healthy-down")
	s := c.Scenario
	s.Faults = []sim.Fault{
		{At: at(100 * time.Millisecond), Set: map[string]string{"brake.condition": "0.85"}},
		{At: at(100 * time.Millisecond), Set: map[string]string{"brake.condition": "0.9", "encoder.noise_deg": "0.001"}},
		{At: at(200 * time.Millisecond), For: 100 * time.Millisecond, Set: map[string]string{"brake.condition": "0.8"}},
	}
	changed, _, err := c.With(s)
	require.NoError(t, err)
	b := sim.NewBench(changed, nil)
	overridden := func(ticks int64) []bool {
		var list []bool
		for _, f := range ticked(b, ticks).View().Faults {
			list = append(list, f.Idle)
		}
		return list
	}
	assert.Equal(t, []bool{false, false, false}, overridden(50))
	assert.Equal(t, []bool{true, false, false}, overridden(150), "the first has nothing left that acts")
	assert.Equal(t, []bool{true, false, false}, overridden(250), "the noise of the second acts on")
	assert.Equal(t, []bool{true, false, false}, overridden(350))
	assert.Equal(t, []bool{true, false, false}, func() []bool {
		copied := b.Clone()
		var list []bool
		for _, f := range copied.View().Faults {
			list = append(list, f.Idle)
		}
		return list
	}(), "a copy says the same")
}

// Of faults that set the same, the bench calls those idle of which the run says that they changed nothing.
func TestIdleFaultsAreThoseWithoutEffect(t *testing.T) {
	t.Parallel()
	const ms = time.Millisecond
	for name, faults := range map[string][]sim.Fault{
		"EqualAtOnce":     {{At: at(100 * ms), Set: set("brake.condition", "0.9")}, {At: at(100 * ms), Set: set("brake.condition", "0.9")}},
		"EqualLater":      {{At: at(100 * ms), Set: set("brake.condition", "0.9")}, {At: at(150 * ms), Set: set("brake.condition", "0.9")}},
		"OtherAtOnce":     {{At: at(100 * ms), Set: set("brake.condition", "0.8")}, {At: at(100 * ms), Set: set("brake.condition", "0.9")}},
		"SoAlready":       {{At: at(100 * ms), Set: set("brake.condition", "1")}, {At: at(100 * ms), Set: set("load.mass_kg", "181")}},
		"BackToItsValue":  {{At: at(100 * ms), Set: set("brake.condition", "0.8")}, {At: at(100 * ms), Set: set("brake.condition", "1")}},
		"OneOfTwoAlready": {{At: at(100 * ms), Set: map[string]string{"brake.condition": "0.9", "load.mass_kg": "181"}}, {At: at(100 * ms), Set: set("brake.condition", "0.9")}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := coarse(t, "healthy-down")
			s := c.Scenario
			s.Faults = faults
			c, _, err := c.With(s)
			require.NoError(t, err)
			b := ticked(sim.NewBench(c, nil), 1000)
			r, err := b.Result()
			require.NoError(t, err)
			for i, f := range b.View().Faults {
				assert.Equal(t, !r.Faults[i].Acted, f.Idle, "fault %d: %s", i, r.Faults[i].Because)
			}
		})
	}
}
