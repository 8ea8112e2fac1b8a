package schema

import "maps"

// notes say what keys mean, by type and key. Values of a rig have theirs in the table of values, and
// signals, roles and targets in their own tables. A test holds that no key is without a note and no note
// without a key.
func notes() map[string]string {
	all := map[string]string{}
	for _, part := range []map[string]string{rigNotes(), sequenceNotes(), scenarioNotes(), expectNotes(), lessonNotes(), bindingNotes(), listNotes()} {
		maps.Copy(all, part)
	}
	return all
}

func rigNotes() map[string]string {
	return map[string]string{
		"plant.Rig.rig":          "short name of the rig, such as pane-hoist",
		"plant.Rig.title":        "one line of description",
		"plant.Rig.note":         "remarks",
		"plant.Rig.load":         "the load with its payload, counterbalance and geometry, and its motion at the start of a run",
		"plant.Rig.transmission": "from turns of the motor to travel of the load",
		"plant.Rig.stops":        "the hard stops at both ends of the travel",
		"plant.Rig.support":      "a place on the way on which the load can be set down",
		"plant.Rig.guide":        "friction of guide, screw and seals, at the motor shaft",
		"plant.Rig.motor":        "the servo motor with the rotor of the brake",
		"plant.Rig.drive":        "the drive: limits, current loop, controllers, moves",
		"plant.Rig.brake":        "the holding brake",
		"plant.Rig.brake_2":      "a second brake; without it the section is left out",
		"plant.Rig.encoder":      "the encoder of the axis",
		"plant.Rig.partner":      "a second shaft with brake and drive of its own, coupled to the axis; without it the section is left out",
		"plant.Partner.guide":    "friction of the guide of the partner, at its shaft",
		"plant.Partner.brake":    "the brake of the partner",
		"plant.Rig.clock":        "tick of the plant, scans of the controllers, delay between them",
		"plant.Rig.test":         "what the test must show, and the limit of the load drop",
		"plant.Rig.judge":        "engineering data of the judge, which checks the closed brake and gives the proof",
		"plant.Rig.safety":       "engineering data of the stop functions of the safety side",
		"plant.Rig.sequence":     "values of parameters of a sequence on this rig, as expressions; a sequence takes those that it has",
	}
}

func sequenceNotes() map[string]string {
	return map[string]string{
		"sequence.Document.sequence":         "short name of the sequence",
		"sequence.Document.note":             "one line of description",
		"sequence.Document.start":            "state at the start of a run",
		"sequence.Document.after_power_loss": "state in which the controller starts when its power returns; left out, that of start",
		"sequence.Document.params":           "constants by name: a number, true or false, or an expression over other parameters; the end of a name is its unit",
		"sequence.Document.roles":            "which parameter is the test torque, the press margin and so on, for tools that calculate values",
		"sequence.Document.states":           "the states by name",
		"sequence.Document.any":              "transitions from every state that does not opt out, tried ahead of its own",
		"sequence.Document.ends":             "states that end a run, and how",

		"sequence.State.note":        "what the state is for",
		"sequence.State.keep":        "values that are kept on entry, before the state sets anything, under names that later expressions read",
		"sequence.State.set":         "outputs that are set on entry; each holds until another state sets it",
		"sequence.State.go":          "transitions, tried in this order; the first whose conditions are met fires, at most one a scan",
		"sequence.State.opt_out":     "targets of transitions under any that the state ignores",
		"sequence.State.slips_brake": "travel against the closed brake is meant here",

		"sequence.Transition.to":    "the next state",
		"sequence.Transition.when":  "condition that must be true",
		"sequence.Transition.for":   "how long the condition must have been true without interruption",
		"sequence.Transition.after": "least time in the state",
		"sequence.Transition.times": "most firings in a run; left out, without limit",
		"sequence.Transition.cause": "a word for the result, such as brake-not-closed; judge_cause and stop_cause take the word of the safety side",
	}
}

func scenarioNotes() map[string]string {
	return map[string]string{
		"sim.Scenario.scenario": "short name of the scenario",
		"sim.Scenario.title":    "one line of plain text",
		"sim.Scenario.teaches":  "what a trainer says about it",
		"sim.Scenario.remedy":   "what the engineer changes, if the scenario shows a miss",
		"sim.Scenario.rig":      "the rig; a file is relative to this one",
		"sim.Scenario.sequence": "the sequence; a file is relative to this one",
		"sim.Scenario.seed":     "seed of the noise; the same seed gives the same run",
		"sim.Scenario.set":      "values of the rig, the judge and the sequence (sequence.PARAMETER) that are set before the run",
		"sim.Scenario.script":   "actions of the operator; left out, the test is triggered after 0.5 s",
		"sim.Scenario.faults":   "changes of the plant, the signals or the engineering data during the run",
		"sim.Scenario.expect":   "what must come of the run; what is left out is not checked",
		"sim.Scenario.lesson":   "stops at which the run is explained",

		"sim.Action.at":  "time from the start of the run",
		"sim.Action.for": "how long; left out, to the end of the run",
		"sim.Action.set": "buttons that are pressed (true) or released (false)",

		"sim.Fault.when":  "start, or the first entry of a state and a time after it",
		"sim.Fault.at":    "time from the start of the run",
		"sim.Fault.for":   "how long; left out, to the end of the run",
		"sim.Fault.fault": "a fault of the catalogue with its severity, such as lining-worn=0.25, in place of set",
		"sim.Fault.set":   "targets and the values that they take",

		"sim.Moment.state": "the state whose first entry counts",
		"sim.Moment.after": "time after the entry",
	}
}

func expectNotes() map[string]string {
	return map[string]string{
		"sim.Expect.end":            "how the sequence ended",
		"sim.Expect.verdict":        "the last verdict of the judge",
		"sim.Expect.cause":          "cause of the end, or several of which any will do",
		"sim.Expect.class":          "the run held against the truth, see holdbench help classes",
		"sim.Expect.operation":      "whether operation is allowed at the end, by both sides together",
		"sim.Expect.within":         "longest duration of the run",
		"sim.Expect.load_drop_mm":   "bounds of the largest load drop (mm)",
		"sim.Expect.slip_deg":       "bounds of the slip of the brake (deg)",
		"sim.Expect.peak_torque_nm": "bounds of the largest motor torque (N·m)",
		"sim.Expect.path":           "every state that the run enters, in order, with the first one; ... for any number of states",
		"sim.Expect.took":           "bounds of the time in a state, at its first entry",
		"sim.Expect.outputs":        "outputs after the first entry of a state; what is not named is not checked",
		"sim.Expect.obligations":    "all, or a list of those that the scenario breaks on purpose; all others must be kept",

		"sim.Bounds.at_least":         "the least value that is met",
		"sim.Bounds.at_most":          "the greatest value that is met",
		"sim.DurationBounds.at_least": "the shortest time that is met",
		"sim.DurationBounds.at_most":  "the longest time that is met",

		"sim.BrokenObligation.broken": "an obligation of holdbench list obligations",
		"sim.BrokenObligation.why":    "the reason why the scenario breaks it",
	}
}

func lessonNotes() map[string]string {
	return map[string]string{
		"sim.Stop.at":      "time from the start of the run; one of at, when and event",
		"sim.Stop.when":    "start, or the first entry of a state and a time after it",
		"sim.Stop.event":   "the event that the stop waits for",
		"sim.Stop.say":     "the explanation; a value of the run stands in braces, {capacity_nm} or {abs(torque_nm):2} with two digits",
		"sim.Stop.ask":     "a question; needs because, and choices with answer or a number",
		"sim.Stop.choices": "two to five answers to choose from",
		"sim.Stop.answer":  "number of the right choice, from 1",
		"sim.Stop.number":  "a number that is asked for in place of choices, and compared with the run",
		"sim.Stop.because": "why it is right",

		"sim.NumberAsked.of":      "the value: names of columns of a trace and of settings with + - * / and abs()",
		"sim.NumberAsked.unit":    "unit of the answer",
		"sim.NumberAsked.right":   "largest deviation of a right answer, in the unit",
		"sim.NumberAsked.near":    "largest deviation of an answer that is near",
		"sim.NumberAsked.at_next": "true: the value is that at the next stop, and the answer a prediction",

		"sim.NumberAsked.calculated": "true: the value is worked out from settings, and not read from the run",
		"sim.NumberAsked.amount":     "true: an amount is asked for, and the sign of the answer does not count",

		"sim.EventMatch.kind": "kind of the event, see holdbench list events",
		"sim.EventMatch.says": "a part of its text; left out, any event of the kind",
	}
}

func bindingNotes() map[string]string {
	return map[string]string{
		"binding.Document.binding": "name of the sequence",
		"binding.Document.note":    "one line of description",
		"binding.Document.program": "file of the program, relative to this one",
		"binding.Document.block":   "the PROGRAM or FUNCTION_BLOCK that is run",
		"binding.Document.inputs":  "inputs of the bench with the variables that take their values",
		"binding.Document.outputs": "outputs of the bench with the variables that have their values",
		"binding.Document.state":   "what says the state of the program: a variable or flags",
		"binding.Document.cause":   "the variable that says why a test ended as it did",
		"binding.Document.scans":   "the variable that is told how many scans have passed since the last one: 1, or more if some were left out",
		"binding.Document.start":   "values of variables when a run starts, where they are others than after power has come",
		"binding.Document.params":  "parameters that a rig, a scenario and --set can change; the end of a name is its unit",
		"binding.Document.watch":   "variables that traces and the bench show, by a name with their unit",
		"binding.Document.roles":   "which parameter is the test torque, the press margin and so on",

		"binding.Link.variable":  "the variable, also a path such as axis.timer[2].Q; either this or flags",
		"binding.Link.unit":      "unit of the variable, if it is another than that of the signal",
		"binding.Link.scale":     "value of the variable for a signal of 1, where no unit says it",
		"binding.Link.momentary": "of cause only: the variable has it only in the scan in which a test fails",
		"binding.Link.words":     "values of the variable by word of the signal; an output may have several for a word",
		"binding.Link.inverted":  "the variable is a BOOL that is FALSE while the signal is true",
		"binding.Link.flags":     "of an output or a cause, in place of the variable: the word of each BOOL variable; the first that is set counts",
		"binding.Link.otherwise": "the word while no flag is set",

		"binding.State.variable":         "an enumeration or an integer; either this or flags",
		"binding.State.values":           "the state of each value of the variable; left out, the names of the enumeration",
		"binding.State.flags":            "the state of each BOOL variable; the first that is set counts",
		"binding.State.otherwise":        "the state while no flag is set",
		"binding.State.ends":             "states that end a run, and how",
		"binding.State.after_power_loss": "the state when power has come; left out, that of the initial values",

		"binding.StateOf.state":       "name of the state",
		"binding.StateOf.note":        "what the state is for",
		"binding.StateOf.slips_brake": "travel against the closed brake is meant here",
		"binding.StateOf.keep":        "names of watch that are told when the state is entered",

		"binding.Param.variable": "the variable; left out, the value is only used by others",
		"binding.Param.value":    "a number or an expression over parameters; left out, the initial value of the variable",
		"binding.Param.unit":     "unit of the variable, if it is another than that of the name",
		"binding.Param.inverted": "the variable is a BOOL that is FALSE while the value is true",
		"binding.Param.scale":    "value of the variable for 1 in the unit of the name, where no unit says it",
	}
}

func listNotes() map[string]string {
	return map[string]string{
		"probe.Acceptances.accept":  "short name, such as that of the sequence",
		"probe.Acceptances.note":    "remarks",
		"probe.Acceptances.renamed": "states that have another name than in the baseline: old name to new",
		"probe.Acceptances.entries": "the accepted outcomes",

		"probe.Acceptance.fault":    "faults of the catalogue",
		"probe.Acceptance.state":    "states in which they come; run for the whole run",
		"probe.Acceptance.severity": "severities; left out, any",
		"probe.Acceptance.breaks":   "what the outcome may break: obligations, or missed",
		"probe.Acceptance.reason":   "a sentence that a reviewer can sign",

		"scenarios.EquivalentsDocument.equivalents": "name of the sequence",
		"scenarios.EquivalentsDocument.mutants":     "the mutants that no scenario can detect",

		"scenarios.Course.course":   "short name",
		"scenarios.Course.title":    "one line of plain text",
		"scenarios.Course.chapters": "the chapters, in their order",

		"scenarios.Chapter.chapter": "one line of plain text",
		"scenarios.Chapter.learn":   "what one learns in it, in a sentence",
		"scenarios.Chapter.lessons": "the lessons, in their order",

		"scenarios.CourseLesson.scenario": "a built-in scenario with a lesson",
		"scenarios.CourseLesson.title":    "the title until the lesson is done; it does not tell what comes of it",

		"mutation.Argument.mutant":  "the mutant, as check --mutate --json names it",
		"mutation.Argument.because": "why no scenario can detect it",
	}
}
