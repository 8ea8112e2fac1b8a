package sim

import "fmt"

// ControllerStop is where a controller stopped: a program that cannot go on, a process that died or
// was killed, a client that fell silent or answered wrongly. A watchdog that a fault lets trip is none.
type ControllerStop struct {
	AtS     float64 `json:"at_s"` // s
	Because string  `json:"because"`
}

// String is the stop as one line.
func (s *ControllerStop) String() string {
	return fmt.Sprintf("controller stopped at %.3f s: %s", s.AtS, s.Because)
}

// StopCount counts the runs of a study in which the controller stopped, see [ControllerStop].
type StopCount struct {
	Runs  int            `json:"runs"`
	First ControllerStop `json:"first"` // that was counted
}

// Add counts a run; s is nil if its controller did not stop.
func (n *StopCount) Add(s *ControllerStop) {
	if s == nil {
		return
	}
	if n.Runs == 0 {
		n.First = *s
	}
	n.Runs++
}

// Text is the count in words, of all runs of the study, which the words call such as "of 20 runs"; empty
// if there is no stop.
func (n *StopCount) Text(of string) string {
	if n.Runs == 0 {
		return ""
	}
	return fmt.Sprintf("the controller stopped in %d %s, first at %.3f s: %s", n.Runs, of, n.First.AtS, n.First.Because)
}
