package sequence

// need says that one use of an output makes no sense unless another is set
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
		{"drive", "move", []string{"target_mm", "target_deg"}, "", "a move has nowhere to go"},
		{"drive", "press", []string{"press_torque_nm"}, "", "a press has no torque to build up"},
		{"drive", "press", []string{"press_rate_nm_s"}, "", "a press has no rate to build up at"},
		{"ask", textTrue, []string{"required_current_a"}, "", "the judge is not told what current to look for"},
		{"ask", textTrue, []string{"ask"}, textFalse, "the judge is asked only once, as it needs a rising edge"},
		{"brake", "closed", []string{"brake"}, "open", "the brake stays closed"},
		{"decouple", textTrue, []string{"decouple"}, textFalse, "the partner stays separated"},
		{"operation", "inhibited", []string{"operation"}, "allowed", "operation stays inhibited after a pass"},
	}
}

// outputsNeeded warns once for each need that nothing in the document meets.
func (a *analysis) outputsNeeded() {
	for _, n := range needs() {
		path := a.setPath(n.output, n.value)
		met := false
		for _, other := range n.anyOf {
			met = met || a.setPath(other, n.to) != ""
		}
		if path != "" && !met {
			a.warn(path, "%s: %s is set, but nowhere %s; %s", n.output, n.value, needed(n), n.why)
		}
	}
}

func needed(n need) string {
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
