package probe

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"
)

// Differences says in what the head of a file differs from another one.
func Differences(had, head Head) string {
	var parts []string
	add := func(what, was, is string) {
		if was != is {
			parts = append(parts, fmt.Sprintf("%s is %s there and %s here", what, orAll(was), orAll(is)))
		}
	}
	add("scenario", had.Probe, head.Probe)
	add("rig", had.Rig, head.Rig)
	add("sequence", had.Sequence, head.Sequence)
	add("seed", strconv.FormatUint(had.Seed, 10), strconv.FormatUint(head.Seed, 10))
	add("--fault", strings.Join(had.Faults, ", "), strings.Join(head.Faults, ", "))
	add("--state", strings.Join(had.States, ", "), strings.Join(head.States, ", "))
	add("--through", strings.Join(had.Through, ", "), strings.Join(head.Through, ", "))
	add("the number at a time", AtOnce(had.Pairs), AtOnce(head.Pairs))
	add("the self-test", cmp.Or(had.SelfTest, "none"), cmp.Or(head.SelfTest, "none"))
	add("the part", had.part("").String(), head.part("").String())
	if len(parts) == 0 {
		return "its documents have changed"
	}
	return strings.Join(parts, "; ")
}

// AtOnce is how many faults a cell has.
func AtOnce(pairs bool) string {
	if pairs {
		return "two faults"
	}
	return "one fault"
}

func orAll(names string) string {
	if names == "" {
		return "all"
	}
	return names
}
