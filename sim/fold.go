package sim

import "holdbench/sim/safety"

// A sequence that changes its state in every scan has half a million events in a quarter of an hour. A
// run keeps all of them only up to a bound. Beyond it the first and the newest stay, and of what lies
// between the first and the last of each kind, so that whatever asks for one of these finds it.
const (
	mostKept  = 10_000 // events, and visits, until which all are kept
	firstKept = mostKept / 2
	lastKept  = mostKept / 4
)

// Folded is what was left out of the events of a run: of those between the two times, all but the first
// and the last of each kind.
type Folded struct {
	Events int     `json:"events"` // that were left out
	FromS  float64 `json:"from_s"`
	ToS    float64 `json:"to_s"`
}

// eventFold is what was left out so far, and when more is.
type eventFold struct {
	Folded
	recorded int // events so far, with those that were left out
	next     int // length of the list at which it is folded again
}

// likeness is what events of one kind have in common.
type likeness struct {
	what                  EventType
	subject, cause, state string
	brakes                safety.Brakes
}

func likenessOf(e *Event) likeness {
	return likeness{e.Type, e.Subject, e.Cause, e.Snapshot.State, e.Brakes}
}

// fold returns the events without those to be left out. The list itself, which copies of the run may
// share, is not changed.
func (f *eventFold) fold(events []Event) []Event {
	if len(events) < max(f.next, mostKept) {
		return events
	}
	end := len(events) - lastKept
	middle := events[firstKept:end]
	kept := outermost(middle, likenessOf)
	keepAsks(middle, kept)
	list := make([]Event, firstKept, len(events))
	copy(list, events)
	for i := range middle {
		if kept[i] {
			list = append(list, middle[i])
		}
	}
	if f.Events == 0 {
		f.FromS = middle[0].TS
	}
	f.ToS = middle[len(middle)-1].TS
	list = append(list, events[end:]...)
	f.Events += len(events) - len(list)
	f.next = len(list) + lastKept
	return list
}

// keepAsks keeps the beginning of each check whose verdict is kept.
func keepAsks(events []Event, kept []bool) {
	wanted := false
	for i := len(events) - 1; i >= 0; i-- {
		switch t := events[i].Type; {
		case kept[i] && (t == EventProven || t == EventFailed):
			wanted = true
		case wanted && t == EventAsked:
			kept[i], wanted = true, false
		}
	}
}

// result is what was left out of a run; nil if nothing was.
func (f *eventFold) result() *Folded {
	if f.Events == 0 {
		return nil
	}
	left := f.Folded
	return &left
}

// outermost marks the first and the last of each kind.
func outermost[T any, K comparable](list []T, kindOf func(*T) K) []bool {
	kept := make([]bool, len(list))
	last := map[K]int{}
	for i := range list {
		kind := kindOf(&list[i])
		if _, known := last[kind]; !known {
			kept[i] = true
		}
		last[kind] = i
	}
	for _, i := range last {
		kept[i] = true
	}
	return kept
}

// leftOut is the state of an entry that stands for those that were left out.
const leftOut = -1

// visitFold is what was left out of the visits, and when more is.
type visitFold struct {
	visits int // that were left out
	next   int // length of the list at which it is folded again
}

// fold returns the entries without those to be left out, as [eventFold.fold] does for events. One entry stands
// for those that were left out between two others.
func (f *visitFold) fold(entries []stateEntry) []stateEntry {
	if len(entries) < max(f.next, mostKept) {
		return entries
	}
	type kind struct {
		state int
		event string
		set   bool
	}
	end := len(entries) - lastKept
	middle := entries[firstKept:end]
	kept := outermost(middle, func(e *stateEntry) kind { return kind{e.state, e.event, e.set} })
	list := make([]stateEntry, firstKept, len(entries))
	copy(list, entries)
	for i := range middle {
		switch e := middle[i]; {
		case kept[i] && e.state != leftOut:
			list = append(list, e)
			continue
		case list[len(list)-1].state != leftOut:
			list = append(list, stateEntry{state: leftOut, tick: e.tick})
		}
		if middle[i].state != leftOut {
			f.visits++
		}
	}
	list = append(list, entries[end:]...)
	f.next = len(list) + lastKept
	return list
}
