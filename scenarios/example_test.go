package scenarios_test

import (
	"fmt"

	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sim"
)

// short is a sequence that presses downwards once. On a failure the drive holds at once.
const short = `
sequence: short
start: ready
states:
  ready: {go: [{to: clamp, when: trigger}]}
  clamp:
    set: {drive: hold, brake: closed, operation: inhibited}
    go: [{to: press, when: brake_closed, for: 50ms}, {to: failed, after: 2s, cause: brake-not-closed}]
  press:
    set: {drive: press, press_torque_nm: -1, press_rate_nm_s: 5, ask: down, required_current_a: -1.1}
    go: [{to: wait, when: judge_busy}, {to: failed, after: 1s, cause: judge-not-started}]
  wait:
    go: [{to: carry, when: proof and not judge_busy}, {to: failed, when: judge_failed, cause: judge_cause}, {to: failed, after: 8s, cause: no-verdict}]
  carry:
    set: {ask: none, press_torque_nm: 2.81}
    go: [{to: release, after: 2s}]
  release:
    set: {drive: hold, brake: open}
    go: [{to: passed, when: not brake_closed, for: 50ms}, {to: failed, after: 2s, cause: brake-not-opened}]
  passed: {set: {operation: allowed}}
  failed: {set: {drive: hold, brake: closed, ask: none, alarm: brake test failed}}
ends: {passed: pass, failed: fail}
`

// Another sequence on a built-in rig, with a new and a worn brake. The judge catches the worn
// brake; the bench shows that the drive then exceeds the ceiling as it catches the load.
func Example() {
	rig, _, err := scenarios.LoadRig("pane-hoist")
	if err != nil {
		fmt.Println(err)
		return
	}
	document, _, err := scenarios.ParseSequence("short.yaml", []byte(short))
	if err != nil {
		fmt.Println(err) // file, line and column of all that is wrong
		return
	}
	for _, condition := range []float64{1, 0.35} {
		rig.Brake.Condition, rig.Judge.Directions = condition, plant.DirectionsDown
		ready, _, err := sim.NewCase(sim.Scenario{Scenario: "short", Title: "One press downwards"}, *rig, *document)
		if err != nil {
			fmt.Println(err)
			return
		}
		result, err := sim.Run(ready, nil)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%g: %s, %s in %s\n", condition, result.Class, result.End, result.EndedIn)
		for _, o := range result.Obligations {
			if !o.Kept {
				fmt.Println(" ", o.Name, "broken:", o.Detail)
			}
		}
	}
	// Output:
	// 1: sound-pass, pass in passed
	// 0.35: caught, fail in failed
	//   below-ceiling broken: motor torque 9.35 N·m, ceiling 8.5 N·m; first in state failed
}
