package journal

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"
)

// MostParts bounds the number of parts of one piece of work.
const MostParts = 10_000

// Part is one part of many in a file, and the name of the file for errors. What is numbered from 0 belongs to part
// n mod Of + 1.
type Part struct {
	Name       string
	Number, Of int // from 1
}

func (p Part) String() string { return fmt.Sprintf("%d of %d", p.Number, p.Of) }

// Sound is whether there is such a part.
func (p Part) Sound() bool { return p.Number >= 1 && p.Number <= p.Of && p.Of <= MostParts }

// Share is how many of so many numbers belong to the part.
func (p Part) Share(all int) int { return (all - p.Number + p.Of) / p.Of }

// CheckSelfTests refuses two parts whose self-tests differ: they were not calculated alike, and are not parts of one whole.
// A part of an earlier version has none.
func CheckSelfTests(name, selfTest, otherName, otherSelfTest string) error {
	if selfTest == otherSelfTest {
		return nil
	}
	const none = "none"
	return fmt.Errorf("%s and %s were made by machines or versions of holdbench that calculate differently: the self-test is %s in one and %s in the other; must be run again by one version",
		name, otherName, cmp.Or(selfTest, none), cmp.Or(otherSelfTest, none))
}

// Order is the place of each part among those given, the first part first; it refuses parts that are there twice
// and parts that are missing.
func Order(parts []Part) ([]int, error) {
	of := parts[0].Of
	places := make([]int, of)
	for i := range places {
		places[i] = -1
	}
	for at, p := range parts {
		if p.Of != of || !p.Sound() {
			return nil, fmt.Errorf("%s is part %d of %d and %s is part %d of %d; must be parts of one whole", parts[0].Name, parts[0].Number, of, p.Name, p.Number, p.Of)
		}
		if had := places[p.Number-1]; had >= 0 {
			return nil, fmt.Errorf("%s and %s are both part %d of %d; must be each part once", parts[had].Name, p.Name, p.Number, of)
		}
		places[p.Number-1] = at
	}
	var missing []string
	for i, at := range places {
		if at < 0 {
			missing = append(missing, strconv.Itoa(i+1))
		}
	}
	const shown = 5
	if n := len(missing) - shown; n > 0 {
		missing = append(missing[:shown], fmt.Sprintf("and %d more", n))
	}
	if len(missing) > 0 {
		return nil, fmt.Errorf("part %s of %d is missing; must be all parts", strings.Join(missing, ", "), of)
	}
	return places, nil
}
