package sim_test

import (
	"fmt"

	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// pressDown presses downwards once and asks the judge. It never opens the brake.
const pressDown = `
sequence: press-down
start: ready
states:
  ready: {go: [{to: clamp, when: trigger}]}
  clamp:
    set: {drive: hold, brake: closed, operation: inhibited}
    go: [{to: press, when: brake_closed, for: 50ms}]
  press:
    set: {drive: press, press_torque_nm: -1, press_rate_nm_s: 5, ask: down, required_current_a: -1.1}
    go: [{to: wait, when: judge_busy}]
  wait:
    go: [{to: passed, when: proof and not judge_busy}, {to: failed, when: judge_failed, cause: judge_cause}]
  passed: {set: {drive: hold, ask: none, operation: allowed}}
  failed: {set: {drive: hold, ask: none, operation: inhibited, alarm: brake test failed}}
ends: {passed: pass, failed: fail}
`

// A sequence of one's own on a built-in rig, with a brake that holds all of its rated torque
// and with one that holds four tenths of it.
func Example() {
	rig, _, err := scenarios.LoadRig("pane-hoist")
	if err != nil {
		fmt.Println(err)
		return
	}
	rig.Judge.Directions = plant.DirectionsDown // all that this sequence asks for
	document, _, err := scenarios.ParseSequence("press-down.yaml", []byte(pressDown))
	if err != nil {
		fmt.Println(err) // file, line and column of all that is wrong
		return
	}
	program, err := sequence.Compile(*document, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, text := range []string{"lining-worn=1@press", "lining-worn=0.4@press"} {
		fault, _ := catalogue.Parse(text)
		scenario := sim.Scenario{Scenario: "press-down", Title: "One press downwards"}
		if err := fault.AddTo(&scenario, rig, program.About()); err != nil {
			fmt.Println(err)
			return
		}
		ready, _, err := sim.NewCaseOf(scenario, *rig, program)
		if err != nil {
			fmt.Println(err)
			return
		}
		result, _ := sim.Run(ready, nil)
		fmt.Printf("%s: ended in %s, class %s\n", text, result.EndedIn, result.Class)
		for _, event := range result.Events {
			if event.Kind == sim.KindJudge || event.Type == sim.EventSlipBegan {
				fmt.Println(" ", event.What)
			}
		}
	}
	// Output:
	// lining-worn=1@press: ended in passed, class sound-pass
	//   asked: down
	//   torque reached, position latched
	//   proven for 8h
	// lining-worn=0.4@press: ended in failed, class caught
	//   asked: down
	//   torque reached, position latched
	//   the closed brake slips
	//   failed: moved
}
