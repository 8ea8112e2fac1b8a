package export

import (
	"fmt"
	"slices"
	"strconv"

	"holdbench/sequence"
)

// This file says to which values the answers of the safety side belong, which come by other words there.

// answerMeanings are the words that the safety side answers by, in our own words.
func answerMeanings(signal string) map[string]string {
	switch signal {
	case "judge_cause":
		return map[string]string{
			"":                         "no failure",
			sequence.CauseBrakeOpen:    "the brake was not closed until the deadline, or opened during the check",
			sequence.CauseBothClosed:   "both brakes were closed where one is to be tested",
			sequence.CauseMoved:        "the position left the window during the check",
			sequence.CauseNoTorque:     "the required torque or current was never reached until the deadline",
			sequence.CauseNoDwell:      "it was reached, but did not stand for the dwell until the deadline",
			sequence.CauseOverTorque:   "the motor torque was above the ceiling",
			sequence.CausePositionLost: "the position was lost, or stood still where it could not",
		}
	case "stop_cause":
		return map[string]string{
			"":                      "no stop",
			sequence.StopEmergency:  "an emergency stop",
			sequence.StopGuard:      "the guard was opened where it must be closed",
			sequence.StopSetupSpeed: "too fast in setup mode with the guard open",
			sequence.StopCeiling:    "the motor torque was above the ceiling",
			sequence.StopLapse:      "the proof has lapsed",
		}
	}
	return map[string]string{
		"none": "none, or the brake has opened since", "down": "down alone", "up": "up alone", "both": "both, on the same closed brake",
	}
}

// answers is the table of the values to which what the safety side answers has to be mapped.
func (w *stWriter) answers() []string {
	var list []string
	for _, s := range w.inputs {
		e := w.words[s.Name]
		if e == nil {
			continue
		}
		list = append(list, "  "+w.signals[s.Name]+", "+w.enumType(e))
		for _, word := range s.Words {
			if word == sequence.StopNone && s.Name == "stop_cause" {
				word = ""
			}
			list = append(list, fmt.Sprintf("    %-32s %3s  %s", e.value(word), strconv.Itoa(slices.Index(e.words, word)), answerMeanings(s.Name)[word]))
		}
	}
	if list == nil {
		return nil
	}
	return slices.Concat([]string{
		"",
		"Answers of the safety side: whoever calls the block maps what the safety side says to these values. The numbers are",
		"those of the order of declaration, from 0; a compiler that numbers otherwise keeps the names. An answer that none",
		"of these describes is mapped to the one whose reaction below is the most cautious, never to that of no failure.",
	}, list)
}
