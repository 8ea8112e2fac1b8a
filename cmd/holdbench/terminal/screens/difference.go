package screens

import (
	"cmp"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"time"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/scenarios"
	"holdbench/sim"
)

// The kinds of what a run has otherwise than its document.
const (
	otherValue = iota
	addedFault
	removedFault
	addedAction
	otherPart // a rig, a sequence or a controller, which no scenario undoes
	differenceKinds
)

// difference is one thing that a run has otherwise than its document.
type difference struct {
	kind        int
	name, about string
	key         string                          // of a value
	undo        func(sim.Scenario) sim.Scenario // a scenario as played without it; nil for a part
}

// differencesOf lists what a scenario as played has otherwise than the document: values by name, then faults
// and actions in their order.
func differencesOf(document, played *sim.Scenario) []difference {
	list := append(otherValues(document.Set, played.Set), otherSeed(document.Seed, played.Seed)...)
	for _, f := range without(played.Faults, document.Faults) {
		list = append(list, difference{kind: addedFault, name: faultInShort(f), about: "added", undo: func(s sim.Scenario) sim.Scenario {
			s.Faults = without(s.Faults, []sim.Fault{f})
			return s
		}})
	}
	for _, f := range without(document.Faults, played.Faults) {
		list = append(list, difference{kind: removedFault, name: faultInShort(f), about: "of the document, removed", undo: func(s sim.Scenario) sim.Scenario {
			s.Faults = append(slices.Clone(s.Faults), f)
			return s
		}})
	}
	return append(list, addedActions(document.Script, played.Script)...)
}

// faultInShort is a fault with its moment to the millisecond, as the bench shows times.
func faultInShort(f sim.Fault) string {
	if f.At != nil {
		at := toMillisecond(*f.At)
		f.At = &at
	}
	if f.When != nil {
		when := *f.When
		when.After = toMillisecond(when.After)
		f.When = &when
	}
	return faultText(&f)
}

// actionInShort is an action of the operator with its moment to the millisecond.
func actionInShort(a sim.Action) string {
	a.At = toMillisecond(a.At)
	return scriptLines([]sim.Action{a})[0]
}

// toMillisecond rounds a time that is more than some milliseconds.
func toMillisecond(d time.Duration) time.Duration {
	if d < 10*time.Millisecond {
		return d
	}
	return d.Round(time.Millisecond)
}

func otherValues(document, played map[string]string) []difference {
	keys := maps.Clone(played)
	if keys == nil {
		keys = map[string]string{}
	}
	maps.Copy(keys, document)
	var list []difference
	for _, key := range slices.Sorted(maps.Keys(keys)) {
		before, had := document[key]
		now, has := played[key]
		if had == has && sameValue(key, before, now) {
			continue
		}
		about := "the document sets " + asShown(key, before)
		if !had {
			about = "the document does not set it"
		}
		name := key + " = " + asShown(key, now)
		if !has {
			name = key + " as the rig has it"
		}
		list = append(list, difference{kind: otherValue, name: name, about: about, key: key, undo: func(s sim.Scenario) sim.Scenario {
			s.Set = maps.Clone(s.Set)
			if delete(s.Set, key); had {
				s.Set[key] = before
			}
			return s
		}})
	}
	return list
}

// seedKey is the key of the seed in a scenario.
const seedKey = "seed"

// otherSeed is the difference of two seeds; 0 stands for 1.
func otherSeed(document, played uint64) []difference {
	before, now := cmp.Or(document, 1), cmp.Or(played, 1)
	if before == now {
		return nil
	}
	return []difference{{
		kind: otherValue, name: fmt.Sprintf("%s = %d", seedKey, now), about: fmt.Sprintf("the document has %d", before), key: seedKey,
		undo: func(s sim.Scenario) sim.Scenario {
			s.Seed = document
			return s
		},
	}}
}

// otherParts are those that are in place of the document's.
func otherParts(document *sim.Scenario, given *scenarios.Overrides) []difference {
	var list []difference
	for _, part := range []struct {
		kind, name string
		own        sim.Reference
	}{{"rig", given.Rig, document.Rig}, {"sequence", given.Sequence, document.Sequence}} {
		if part.name != "" {
			about := fmt.Sprintf("given with --%s or chosen with l; the document has %s", part.kind, cmp.Or(part.own.Name, "its own"))
			list = append(list, difference{kind: otherPart, name: part.kind + " " + part.name, about: about})
		}
	}
	if given.Outside != nil {
		list = append(list, difference{kind: otherPart, name: "a controller outside the program", about: "given on the command line; the document has a sequence"})
	}
	return list
}

// without are the faults of a list that are not in another one, each as often as it is there more.
func without(list, others []sim.Fault) []sim.Fault {
	others = slices.Clone(others)
	var rest []sim.Fault
	for _, f := range list {
		same := func(g sim.Fault) bool { return reflect.DeepEqual(f, g) }
		if at := slices.IndexFunc(others, same); at >= 0 {
			others = slices.Delete(others, at, at+1)
			continue
		}
		rest = append(rest, f)
	}
	return rest
}

// addedActions are those behind the document's own; a document without any stands for one trigger.
func addedActions(document, played []sim.Action) []difference {
	own := max(1, len(document))
	var list []difference
	for i := own; i < len(played); i++ {
		action := played[i]
		list = append(list, difference{kind: addedAction, name: actionInShort(action), about: "added", undo: func(s sim.Scenario) sim.Scenario {
			s.Script = slices.Clone(s.Script)
			for at := own; at < len(s.Script); at++ {
				if reflect.DeepEqual(s.Script[at], action) {
					s.Script = slices.Delete(s.Script, at, at+1)
					break
				}
			}
			return s
		}})
	}
	return list
}

// counted says how many differences there are of each kind, empty for none.
func counted(list []difference) string {
	var n [differenceKinds]int
	for i := range list {
		n[list[i].kind]++
	}
	var parts []string
	for kind, word := range [differenceKinds]string{"other value", "added fault", "removed fault", "action", "other part"} {
		if n[kind] > 0 {
			parts = append(parts, page.Counted(n[kind], word))
		}
	}
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	last := len(parts) - 1
	return strings.Join(parts[:last], ", ") + " and " + parts[last]
}
