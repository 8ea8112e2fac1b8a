package sim

import (
	"fmt"

	"holdbench/sequence"
)

// checkRestored compares the outputs after a pass with those before the test.
func (m *monitors) checkRestored(b *Bench, state string) {
	before, after := m.before, b.out
	for _, s := range sequence.OutputSignals() {
		if !restores(s.Name) || released(s.Name, &before, &after) {
			continue
		}
		was, is := s.AppendOutput(nil, &before), s.AppendOutput(nil, &after)
		if string(was) != string(is) {
			m.breaches[restored].mark(b.endTick, state, 0)
			m.breaches[restored].note += fmt.Sprintf("%s was %q and is %q; ", s.Name, was, is)
		}
	}
}

// restores is whether an output matters after a pass; setpoints of a mode that is no longer
// active do not.
func restores(output string) bool {
	switch output {
	case "drive", "torque_limit_nm", "brake", "brake_2", "decouple", "ask", "operation", "alarm":
		return true
	}
	return false
}

// released is whether an output differs as operation was inhibited ahead of the test and its pass has
// released it: the machine is made ready, and nothing of the test is left.
func released(output string, before, after *sequence.Outputs) bool {
	if before.Operation != sequence.OperationInhibited || after.Operation != sequence.OperationAllowed {
		return false
	}
	switch output {
	case "operation":
		return true
	case "drive":
		return before.Drive == sequence.DriveOff && (after.Drive == sequence.DriveHold || after.Drive == sequence.DriveMove)
	case "brake":
		return before.Brake == sequence.BrakeClosed
	case "brake_2":
		return before.Brake2 == sequence.Brake2Closed || before.Brake2 == sequence.Brake2AsFirst && before.Brake == sequence.BrakeClosed
	case "alarm":
		return after.Alarm == ""
	}
	return false
}
