package training

import (
	"cmp"
	"fmt"
	"slices"

	"holdbench/sequence"
	"holdbench/sim"
)

// Finding is the first reaction of one side to a fault in a run: one that the nominal run does not have.
type Finding struct {
	Side  string // the sequence, the judge, the safety side
	AtS   float64
	State string
	What  string // what it does, with the cause
}

// The sides that can react.
const (
	sequenceSide = "the sequence"
	judgeSide    = "the judge"
	safetySide   = "the safety side"
)

// Text is the finding as a sentence of the riddle's answer.
func (f *Finding) Text() string {
	return fmt.Sprintf("In this run: found by %s at %.3f s in %s: %s.", f.Side, f.AtS, f.State, f.What)
}

// FoundText says who reacted to the faults in the riddle's own run, and with two faults leaves open to which of them.
func (r *Riddle) FoundText() []string {
	if len(r.Found) == 0 {
		return []string{"In this run: not detected. There is no alarm, no failed verdict and no safe stop that the nominal run does not have; " + r.ended + "."}
	}
	var list []string
	for i := range r.Found {
		f := &r.Found[i]
		if text := f.Text(); len(r.Truth) < 2 {
			list = append(list, text)
		} else {
			list = append(list, fmt.Sprintf("In this run: first reaction of %s at %.3f s in %s: %s.", f.Side, f.AtS, f.State, f.What))
		}
	}
	return list
}

// findings lists the first reaction of each side that the nominal run does not have, the earliest first. A reaction is
// a transition of the sequence with a cause, an alarm, or an end of another kind; a failed verdict of the judge; a stop
// of the safety side. What only follows from the time, such as a proof that lapses, is none.
func findings(nominal, faulted *Recording) []Finding {
	had := map[reaction]int{}
	for i := range nominal.Result.Events {
		had[reactionOf(&nominal.Result.Events[i])]++
	}
	var list []Finding
	add := func(f *Finding) {
		if !slices.ContainsFunc(list, func(other Finding) bool { return other.Side == f.Side }) {
			list = append(list, *f)
		}
	}
	alarm, hasAlarm := firstAlarm(nominal, faulted)
	for i := range faulted.Result.Events {
		e := &faulted.Result.Events[i]
		r := reactionOf(e)
		if hasAlarm && alarm.AtS < e.TS {
			add(&alarm)
		}
		if had[r]--; r.side != "" && had[r] < 0 {
			add(&Finding{r.side, e.TS, e.Snapshot.State, r.what})
		}
	}
	if hasAlarm {
		add(&alarm)
	}
	slices.SortStableFunc(list, func(a, b Finding) int { return cmp.Compare(a.AtS, b.AtS) })
	return list
}

// reaction is what a side does, without its time; zero for an event that is none.
type reaction struct{ side, what string }

func reactionOf(e *sim.Event) reaction {
	switch {
	case e.Type == sim.EventStateEntered && e.Cause != "":
		return reaction{sequenceSide, e.Cause}
	case e.Type == sim.EventEnded:
		return reaction{sequenceSide, "end " + e.What}
	case e.Type == sim.EventFailed:
		return reaction{judgeSide, e.What}
	case e.Type == sim.EventStopBegan:
		return reaction{safetySide, e.What}
	}
	return reaction{}
}

// firstAlarm is the first alarm that the nominal run does not have.
func firstAlarm(nominal, faulted *Recording) (f Finding, found bool) {
	known := map[string]bool{"": true}
	for i := range nominal.scans {
		known[nominal.scans[i].alarm] = true
	}
	for i := range faulted.scans {
		if s := &faulted.scans[i]; !known[s.alarm] {
			return Finding{sequenceSide, s.atS, s.state, "alarm " + s.alarm}, true
		}
	}
	return f, false
}

// endedText says how a run ended beside the nominal one.
func endedText(nominal, faulted *Recording) string {
	was, is := nominal.Result.End, faulted.Result.End
	switch {
	case is == sequence.EndNone.String():
		return "the sequence does not come to an end"
	case is == was:
		return "it ended in " + is + ", as the nominal run did"
	}
	return "it ended in " + is + ", the nominal run in " + was
}
