package sweep

import (
	"fmt"
	"strconv"
	"strings"

	"holdbench/sim/journal"
)

// Merge hands over the runs of all parts of a sweep in their order, as one part with all runs
// would, with the head that it would have. The names are for errors.
func Merge(parts []*Reader, names []string, head func(Head) error, each func(Record) error) error {
	byPart, err := sortedParts(parts, names)
	if err != nil {
		return err
	}
	whole := parts[byPart[0]].Head // whatever the order of the files
	whole.Part, whole.Parts = 1, 1
	if err := head(whole); err != nil {
		return err
	}
	for n := range whole.runsOfPart() {
		at := byPart[n%len(byPart)]
		rec, ok, err := parts[at].Next()
		switch {
		case err != nil:
			return fmt.Errorf("%s: %w", names[at], err)
		case !ok && whole.Until > 0 && parts[at].Complete:
			return nil // the intervals were narrow enough before the last run
		case !ok:
			return fmt.Errorf("%s ends after %d of %d runs; must be finished first: the same command continues it", names[at], parts[at].Runs, parts[at].Head.runsOfPart())
		}
		if err := each(rec); err != nil {
			return err
		}
	}
	return checkEnds(parts, names)
}

// checkEnds requires the last line of every part.
func checkEnds(parts []*Reader, names []string) error {
	for at, p := range parts {
		if _, _, err := p.Next(); err != nil {
			return fmt.Errorf("%s: %w", names[at], err)
		}
		if !p.Complete {
			return fmt.Errorf("%s has all its runs but not its last line; the same command writes it", names[at])
		}
	}
	return nil
}

// sortedParts is the order of the parts; it refuses parts that do not belong together.
func sortedParts(parts []*Reader, names []string) ([]int, error) {
	first := parts[0].Head
	list := make([]journal.Part, len(parts))
	for at, p := range parts {
		alike := p.Head
		alike.Part = first.Part
		if err := journal.CheckSelfTests(names[0], first.SelfTest, names[at], alike.SelfTest); err != nil {
			return nil, err
		}
		if !alike.Same(&first) {
			return nil, fmt.Errorf("%s and %s are not of one sweep: %s", names[0], names[at], Differences(&first, &p.Head))
		}
		list[at] = journal.Part{Name: names[at], Number: p.Head.Part, Of: p.Head.Parts}
	}
	return journal.Order(list)
}

// Differences says in what two heads differ.
func Differences(a, b *Head) string {
	one, other := fields(a), fields(b)
	var found []string
	for i := range one {
		if one[i][1] != other[i][1] {
			found = append(found, fmt.Sprintf("%s is %s in one and %s in the other", one[i][0], one[i][1], other[i][1]))
		}
	}
	if len(found) == 0 {
		return "their documents differ"
	}
	return strings.Join(found, "; ")
}

func fields(h *Head) [][2]string {
	var spreads []string
	for _, s := range h.Spreads {
		spreads = append(spreads, s.Key+"="+s.As)
	}
	return [][2]string{
		{"the scenario", h.Sweep}, {"the rig", h.Rig}, {"the sequence", h.Sequence},
		{"the seed", strconv.FormatUint(h.Seed, 10)}, {"the number of runs", strconv.Itoa(h.Runs)},
		{"the spreads", orNone(strings.Join(spreads, ", "))},
		{"the map", fmt.Sprint(h.WindowsDeg, h.DwellsS)}, {"until", fmt.Sprint(h.Until)},
		{"the confidence", fmt.Sprint(h.Confidence)}, {"the kind of interval", map[bool]string{false: "Wilson", true: "Clopper-Pearson"}[h.Exact]},
		{"what is rare", orNone(string(h.Rare))}, {"the self-test", orNone(h.SelfTest)}, {"the part", fmt.Sprintf("%d of %d", h.Part, h.Parts)},
	}
}

func orNone(text string) string {
	if text == "" {
		return "none"
	}
	return text
}
