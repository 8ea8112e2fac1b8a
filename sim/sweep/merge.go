package sweep

import (
	"fmt"
	"strconv"
	"strings"
)

// Merge hands on the runs of all parts of a sweep in their order, as if one had done them all,
// and returns the head that it would have had. The names stand in errors.
func Merge(parts []*Reader, names []string, head func(Head) error, each func(Record) error) error {
	byPart, err := sorted(parts, names)
	if err != nil {
		return err
	}
	whole := parts[byPart[0]].Head // whatever the order of the files
	whole.Part, whole.Parts = 1, 1
	if err := head(whole); err != nil {
		return err
	}
	for n := range whole.due() {
		at := byPart[n%len(byPart)]
		rec, ok, err := parts[at].Next()
		switch {
		case err != nil:
			return fmt.Errorf("%s: %w", names[at], err)
		case !ok && whole.Until > 0 && parts[at].Whole:
			return nil // enough before the last
		case !ok:
			return fmt.Errorf("%s ends after %d of %d runs; must be finished first: the same command goes on with it", names[at], parts[at].Runs, parts[at].Head.due())
		}
		if err := each(rec); err != nil {
			return err
		}
	}
	return ended(parts, names)
}

// ended wants the end of every part.
func ended(parts []*Reader, names []string) error {
	for at, p := range parts {
		if _, _, err := p.Next(); err != nil {
			return fmt.Errorf("%s: %w", names[at], err)
		}
		if !p.Whole {
			return fmt.Errorf("%s has all its runs but not its end; the same command writes it", names[at])
		}
	}
	return nil
}

// sorted puts the parts in order and refuses what does not belong together.
func sorted(parts []*Reader, names []string) ([]int, error) {
	first := parts[0].Head
	byPart := make([]int, first.Parts)
	for i := range byPart {
		byPart[i] = -1
	}
	for at, p := range parts {
		alike := p.Head
		alike.Part = first.Part
		if !alike.Same(&first) {
			return nil, fmt.Errorf("%s and %s are not of one sweep: %s", names[0], names[at], Unlike(&first, &p.Head))
		}
		if had := byPart[p.Head.Part-1]; had >= 0 {
			return nil, fmt.Errorf("%s and %s are both part %d of %d; must be each part once", names[had], names[at], p.Head.Part, first.Parts)
		}
		byPart[p.Head.Part-1] = at
	}
	var missing []string
	for part, at := range byPart {
		if at < 0 {
			missing = append(missing, strconv.Itoa(part+1))
		}
	}
	const shown = 5
	if n := len(missing) - shown; n > 0 {
		missing = append(missing[:shown], fmt.Sprintf("and %d more", n))
	}
	if len(missing) > 0 {
		return nil, fmt.Errorf("part %s of %d is not there; must be all parts", strings.Join(missing, ", "), first.Parts)
	}
	return byPart, nil
}

// Unlike says in what two heads differ.
func Unlike(a, b *Head) string {
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
		{"what is rare", orNone(string(h.Rare))}, {"the part", fmt.Sprintf("%d of %d", h.Part, h.Parts)},
	}
}

func orNone(text string) string {
	if text == "" {
		return "none"
	}
	return text
}
