package sim

import (
	"math"
	"slices"

	"holdbench/plant"
	"holdbench/plant/problem"
)

// judgeWarnings compare the data of the judge with the sequence that asks it.
func (c *Case) judgeWarnings() problem.List {
	asks := c.asks()
	if len(asks) == 0 {
		return nil
	}
	found := c.directionWarnings(asks)
	j := &c.Rig.Judge
	switch {
	case j.Kind == plant.JudgeTorque:
		found = append(found, c.requirementWarnings()...)
	case j.Requirement == plant.RequirementDynamic && !c.Sequence.Sets("required_current_a"):
		found.Warn("sequence", "%s asks the judge and never sets required_current_a; the judge of rig %s compares a current with what it sends, and 0 is never met", c.Sequence.Title(), c.Rig.Rig)
	}
	return found
}

// asks are the directions in which a sequence asks, by its states and the roles test_down and test_up.
func (c *Case) asks() []string {
	var asks []string
	for _, word := range c.Sequence.Asks {
		if tested, ok := c.Sequence.Role("test_" + word); !ok || tested.Boolean {
			asks = append(asks, word)
		}
	}
	return asks
}

// directionWarnings warn of a proof that no test of the sequence can give.
func (c *Case) directionWarnings(asks []string) problem.List {
	var found problem.List
	required := []string{c.Rig.Judge.Directions}
	if required[0] == plant.DirectionsBoth {
		required = []string{plant.DirectionsDown, plant.DirectionsUp}
	}
	for _, direction := range required {
		if !slices.Contains(asks, direction) {
			found.Warn("sequence", "judge.directions is %s, and %s does not ask %s: its test gives no proof", c.Rig.Judge.Directions, c.Sequence.Title(), direction)
		}
	}
	return found
}

// requirementWarnings compare the torque that the judge requires with what loads the brake with the test
// torque at the test position.
func (c *Case) requirementWarnings() problem.List {
	const rounding = 0.005
	var found problem.List
	for _, missing := range plant.MissingRequirements(&c.Rig.Judge) {
		found.Warn("rig", "%s is missing, and the judge of rig %s owns its requirement: 0 is never met, and the test fails with no-torque; holdbench size works it out", missing, c.Rig.Rig)
	}
	place, ok := c.Sequence.Role("test_position")
	if !ok {
		return found
	}
	load := 0 - plant.LoadTorque(&c.Rig, place.Number)
	test := plant.Derive(&c.Rig).RequiredTestNM
	weaker := func(key string, is, least float64) {
		if is*least > 0 && math.Abs(is) < math.Abs(least)*(1-rounding) {
			found.Warn("rig", "%s is %.4g N·m; at %.4g mm the brake carries the test torque of %.4g N·m only from %.4g N·m on: a brake is proven below it", key, is, place.Number, test, least)
		}
	}
	j := &c.Rig.Judge
	weaker("judge.required_down_nm", j.RequiredDownNM, load-test)
	weaker("judge.required_up_nm", j.RequiredUpNM, load+test)
	return found
}
