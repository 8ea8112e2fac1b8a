package sim

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/sim/safety"
)

// chattering are the events of a sequence that goes back and forth between two states, one each ms, with what is
// put in at some places.
func chattering(n int, at map[int]Event) []Event {
	list := make([]Event, n)
	for i := range list {
		list[i] = Event{Type: EventStateEntered, Subject: "one", Snapshot: Snapshot{State: "two"}}
		if i%2 == 1 {
			list[i] = Event{Type: EventStateEntered, Subject: "two", Snapshot: Snapshot{State: "one"}}
		}
		if e, put := at[i]; put {
			list[i] = e
		}
		list[i].TS = float64(i) / 1000
	}
	return list
}

// However many events there are, a run keeps a bounded number: those of the beginning and of the end, and between
// them whatever decides about a class, a refusal or a check: the first and the last of each kind.
func TestEventsAreFoldedBeyondABound(t *testing.T) {
	const events = 80_000
	proven := Event{Type: EventProven, Brakes: safety.FirstBrake}
	put := map[int]Event{
		20_000: {Type: EventFaultBegan}, 30_000: {Type: EventSlipBegan}, 40_000: {Type: EventAsked}, 40_010: proven,
		50_000: {Type: EventAsked}, 50_010: proven, 60_000: {Type: EventAsked}, 60_010: {Type: EventAskDropped},
		70_000: {Type: EventFaultBegan},
	}
	all := chattering(events, put)
	var fold eventFold
	var kept []Event
	most := 0
	for i := range all {
		kept = append(fold.fold(kept), all[i])
		most = max(most, len(kept))
	}
	require.LessOrEqual(t, most, mostKept+100)
	require.Equal(t, events, len(kept)+fold.Events)
	require.Equal(t, all[:firstKept], kept[:firstKept])
	require.Equal(t, all[events-lastKept:], kept[len(kept)-lastKept:])
	times := map[float64]bool{}
	for _, e := range kept {
		times[e.TS] = true
	}
	for at := range put {
		if at != 60_000 { // one of three, whose check gave no verdict; the last of them stays
			require.True(t, times[float64(at)/1000], "event %d is the first or the last of its kind, or began a check with a verdict that is kept", at)
		}
	}
	require.True(t, slices.IsSortedFunc(kept, func(a, b Event) int { return int(1000*a.TS) - int(1000*b.TS) }))
	left := fold.result()
	require.InDelta(t, 5, left.FromS, 1e-9)
	require.Less(t, left.ToS, float64(events-lastKept)/1000)
	require.Nil(t, new(eventFold).result(), "nothing was left out")
}

// A copy of a run goes on with the events that they have in common, which folding does not change.
func TestFoldingLeavesTheListAsItIs(t *testing.T) {
	list := chattering(mostKept, nil)
	before := slices.Clone(list)
	var fold eventFold
	require.Less(t, len(fold.fold(list)), len(list))
	require.Equal(t, before, list)
}

// Of visits the same is kept, and one stands for each row of those that were left out, so that no two states
// look as if one had followed the other.
func TestVisitsAreFoldedBeyondABound(t *testing.T) {
	const visits = 60_000
	var fold visitFold
	var kept []stateEntry
	most := 0
	for i := range visits {
		e := stateEntry{state: i % 2, event: []string{"one/0", "two/0"}[i%2], tick: int64(i), set: true}
		if i == 50_000 {
			e.state, e.event = 2, "one/1"
		}
		kept = append(fold.fold(kept), e)
		most = max(most, len(kept))
	}
	require.LessOrEqual(t, most, mostKept+100)
	require.Positive(t, fold.visits)
	gaps := int64(0)
	for i, e := range kept {
		if e.state == leftOut {
			require.NotEqual(t, leftOut, kept[i+1].state, "one stands for all of a row")
			gaps += kept[i+1].tick - e.tick
			continue
		}
		followed := i == 0 || kept[i-1].state == leftOut || kept[i-1].tick+1 == e.tick
		require.True(t, followed, "%d", e.tick)
	}
	require.Equal(t, int64(fold.visits), gaps)
	require.True(t, slices.ContainsFunc(kept, func(e stateEntry) bool { return e.state == 2 && e.tick == 50_000 }))
}
