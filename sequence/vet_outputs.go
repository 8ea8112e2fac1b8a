package sequence

// need is a use of an output that has no effect unless another output is set
// somewhere in the document.
type need struct {
	output, value string   // the use
	anyOf         []string // one of these outputs must be set somewhere
	to            string   // and to this value; "" for any
	why           string
}

// needs is the table of outputs that go together.
func needs() []need {
	return []need{
		{"drive", "move", []string{"target_mm", "target_deg"}, "", "a move needs a target"},
		{"drive", "press", []string{"press_torque_nm"}, "", "a press needs a torque"},
		{"drive", "press", []string{"press_rate_nm_s"}, "", "a press needs a rate"},
		{"ask", "down", []string{"ask"}, "none", "the judge starts only with an ask that was withdrawn before"},
		{"ask", "up", []string{"ask"}, "none", "the judge starts only with an ask that was withdrawn before"},
		{"brake", "closed", []string{"brake"}, "open", "the brake stays closed"},
		{"brake_2", "closed", []string{"brake_2"}, "open", "the second brake stays closed"},
		{"decouple", textTrue, []string{"decouple"}, textFalse, "the partner stays decoupled"},
		{"operation", "inhibited", []string{"operation"}, "allowed", "operation stays inhibited after a pass"},
	}
}

// checkNeeds warns once for each need that the document does not meet.
func (a *analysis) checkNeeds() {
	for _, n := range needs() {
		path := a.setPath(n.output, n.value)
		met := false
		for _, other := range n.anyOf {
			met = met || a.setPath(other, n.to) != ""
		}
		if path != "" && !met {
			a.warn(path, "%s: %s is set, but %s is not set anywhere; %s", n.output, n.value, neededText(n), n.why)
		}
	}
}

func neededText(n need) string {
	if n.to != "" {
		return oneOf(n.anyOf) + ": " + n.to
	}
	return oneOf(n.anyOf)
}

// setPath finds the first setting of an output, to a value or to any with "".
func (a *analysis) setPath(output, value string) string {
	for _, s := range a.doc.States {
		for _, set := range s.Set {
			if set.Output == output && (value == "" || string(set.Value) == value) {
				return pathKey(pathKey("$.states", s.Name)+".set", output)
			}
		}
	}
	return ""
}

// checkPowerUpOutputs warns of outputs that keep their value at power-up: a run that
// begins after a loss of power can pass, and no state that it can reach sets them.
func (a *analysis) checkPowerUpOutputs() {
	if a.doc.AfterPowerLoss == "" {
		return
	}
	reached, up := a.reachable(a.powerUp), PowerUpOutputs()
	set, passes := a.setIn(reached)
	for _, signal := range outputTable() {
		if passes && !set[signal.Name] && !set[signal.follows] && signal.atPowerUp() {
			a.warn("$.after_power_loss", "after a loss of power %s is %s, and no state on a path from %s to a pass sets it; set it there",
				signal.Name, signal.AppendOutput(nil, &up), a.doc.AfterPowerLoss)
		}
	}
}

// setIn collects the outputs that some states set, and whether one of them is a pass.
func (a *analysis) setIn(states []bool) (set map[string]bool, passes bool) {
	set = map[string]bool{}
	for i := range a.states {
		if !states[i] {
			continue
		}
		passes = passes || a.states[i].End == EndPass
		for _, assign := range a.states[i].Sets {
			set[assign.Signal.Name] = true
		}
	}
	return set, passes
}

// atPowerUp reports whether the output differs at power-up from the start of a run.
func (s *Signal) atPowerUp() bool {
	run, up := DefaultOutputs(), PowerUpOutputs()
	return s.OutputNumber(&run) != s.OutputNumber(&up)
}
