package sim_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sim"
)

// What the best reaction can do for the load, from a moment and with a fault that comes then.
func TestWhatTheBestReactionCanDo(t *testing.T) {
	stop := []sim.Action{{At: 500e6, Set: map[string]bool{"trigger": true}}, {At: 1500e6, Set: map[string]bool{"estop": true}}}
	for name, c := range map[string]struct {
		script []sim.Action
		at     string
		set    map[string]string
		want   sim.BestReaction
	}{
		"nothing is wrong":                               {nil, "travel → settle", map[string]string{"brake.condition": "1"}, sim.BestReaction{}},
		"nothing holds what is broken off":               {nil, "travel → settle", map[string]string{"transmission.severed": "true"}, sim.BestReaction{LoadDrops: true, Unsupported: true}},
		"the drive holds beside a weak brake":            {nil, "settle → close_brake", map[string]string{"brake.condition": "0.1"}, sim.BestReaction{}},
		"the drive holds without a brake":                {nil, "settle → close_brake", map[string]string{"brake.closes_to": "0"}, sim.BestReaction{}},
		"the brake holds without a drive":                {nil, "close_brake → press_down", map[string]string{"drive.tripped": "true"}, sim.BestReaction{}},
		"neither holds":                                  {nil, "close_brake → press_down", map[string]string{"drive.tripped": "true", "brake.condition": "0.1"}, sim.BestReaction{LoadDrops: true, Unsupported: true}},
		"a brake that holds with insufficient torque":    {nil, "close_brake → press_down", map[string]string{"drive.tripped": "true", "brake.condition": "0.36"}, sim.BestReaction{Unsupported: true}},
		"a stop has taken the torque":                    {stop, "stop_close → stopped", map[string]string{"brake.condition": "0.1"}, sim.BestReaction{LoadDrops: true, Unsupported: true}},
		"a stop takes the torque whoever commands it":    {stop, "stop_axis → stop_close", map[string]string{"brake.condition": "0.1"}, sim.BestReaction{LoadDrops: true, Unsupported: true}},
		"a stop on a brake that holds by a hair":         {stop, "stop_axis → stop_close", map[string]string{"brake.condition": "0.36"}, sim.BestReaction{Unsupported: true}},
		"a stop on a sound brake":                        {stop, "stop_axis → stop_close", map[string]string{"brake.condition": "1"}, sim.BestReaction{}},
		"the axis is production's":                       {nil, "check_motion → passed", map[string]string{"drive.tripped": "true"}, sim.BestReaction{LoadDrops: true, Unsupported: true, TestOver: true}}, // 65 ms of fall, with the reaction
		"a stopped controller leaves a sound brake":      {nil, "close_brake → press_down", map[string]string{"controller.overrun": "true"}, sim.BestReaction{}},
		"a stopped controller leaves a weak brake":       {nil, "close_brake → press_down", map[string]string{"controller.overrun": "true", "brake.condition": "0.1"}, sim.BestReaction{LoadDrops: true, Unsupported: true}},
		"a stopped controller and a brake by a hair":     {nil, "close_brake → press_down", map[string]string{"controller.overrun": "true", "brake.condition": "0.36"}, sim.BestReaction{Unsupported: true}},
		"a stopped controller in travel on a weak brake": {nil, "decouple → travel", map[string]string{"controller.overrun": "true", "brake.condition": "0.1"}, sim.BestReaction{LoadDrops: true, Unsupported: true}},
		"the drive turns from the press and holds":       {nil, "press_down → verdict_down", map[string]string{"brake.condition": "0.1"}, sim.BestReaction{}},
		"no scan turns it from the press":                {nil, "press_down → verdict_down", map[string]string{"controller.missed_scan": "true", "brake.condition": "0.1"}, sim.BestReaction{LoadDrops: true, Unsupported: true}},
		"late scans turn it in time":                     {nil, "press_down → verdict_down", map[string]string{"controller.late_scan": "4ms", "brake.condition": "0.1"}, sim.BestReaction{}},
		"scans far too late do not":                      {nil, "press_down → verdict_down", map[string]string{"controller.late_scan": "500ms", "brake.condition": "0.1"}, sim.BestReaction{LoadDrops: true, Unsupported: true}},
		"a travel does not wait for its fault":           {nil, "decouple → travel", map[string]string{"drive.tripped": "true", "brake.condition": "0.1"}, sim.BestReaction{LoadDrops: true, Unsupported: true}},
	} {
		t.Run(name, func(t *testing.T) {
			s := load(t, demo, nil).Scenario
			s.Expect, s.Lesson, s.Script = sim.Expect{}, nil, c.script
			made, _, err := load(t, demo, nil).With(s)
			require.NoError(t, err)
			twin := runUntilEvent(t, sim.NewBench(made, nil), c.at)
			b := twin.Clone()
			require.NoError(t, b.Inject(sim.Fault{Set: c.set}))
			before := *b.View()
			require.Equal(t, c.want, b.BestReaction(twin))
			require.Equal(t, before.Tick, b.View().Tick, "the run itself stays where it is")
			require.Equal(t, before.Truth, b.View().Truth)
		})
	}
}

// What the sequence itself does wrong in the reaction time is no excuse: the twin, which
// knows of no fault, leads until then.
func TestAWrongReactionIsNoExcuse(t *testing.T) {
	c := caseOf(t, `
sequence: drops
start: ready
states:
  ready: {set: {drive: hold, brake: open}, go: [{to: wait, when: trigger}]}
  wait: {go: [{to: dropped, when: estop}]}
  dropped: {set: {drive: "off"}}
ends: {dropped: fail}
`)
	twin := runUntilEvent(t, sim.NewBench(c, nil), "ready → wait")
	b := twin.Clone()
	require.NoError(t, b.Inject(sim.Fault{Set: map[string]string{"operator.estop": "true"}}))
	require.Equal(t, sim.BestReaction{}, b.BestReaction(twin))
}

// A controller can close one of two brakes and leave the other open. With one brake there is
// no command for a second.
func TestReactionsOfTwoBrakes(t *testing.T) {
	type command struct {
		first  sequence.BrakeCommand
		second sequence.SecondBrakeCommand
		drive  sequence.DriveMode
	}
	tried := func(name string) map[command]bool {
		all := map[command]bool{}
		for _, out := range sim.NewBench(load(t, name, nil), nil).Reactions() {
			all[command{out.Brake, out.Brake2, out.Drive}] = true
		}
		return all
	}
	two := tried("healthy-two-brakes")
	require.Len(t, two, 8)
	require.True(t, two[command{sequence.BrakeClosed, sequence.Brake2Open, sequence.DriveHold}])
	require.True(t, two[command{sequence.BrakeOpen, sequence.Brake2Closed, sequence.DrivePress}])
	one := tried(demo)
	require.Len(t, one, 4)
	require.True(t, one[command{sequence.BrakeClosed, sequence.Brake2AsFirst, sequence.DriveHold}])
}
