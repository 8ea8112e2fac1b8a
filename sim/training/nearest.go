package training

import (
	"cmp"
	"slices"

	"holdbench/sim"
)

// refutation is a run of a wrong cause, and what speaks against it.
type refutation struct {
	of       Hypothesis
	c        *sim.Case
	why      string
	severity float64 // of the fault whose scale is searched
	distance float64 // from the run of the truth
}

// refute runs a hypothesis to its end; nil if its run cannot be told from that of the truth, or if no case is made of it.
func (u *refuting) refute(h Hypothesis) (*refutation, error) {
	c, fits := h.caseOf(u.d.nominal)
	if !fits {
		return nil, nil
	}
	run, err := Record(c) // whole, as the end of a run that is cut short would be a difference
	if err != nil {
		return nil, err
	}
	why, differs := whyNot(h.Name(), u.truth, run)
	if !differs {
		return nil, nil
	}
	most := u.d.healthy.mostScans()
	apart := distance(u.d.healthy.trace(u.truth.Recording, most), u.d.healthy.trace(run, most))
	return &refutation{of: h, c: c, why: why, distance: apart}, nil
}

// nearestRounds is how often the steps about the nearest severity are halved: of three marks of a scale, to a quarter.
const nearestRounds = 2

// nearest is the run of a hypothesis that is nearest to the truth, over the scales of those of its faults that the truth
// has not; nil if one of those that were run cannot be told from it.
func (u *refuting) nearest(h Hypothesis) (*refutation, error) {
	best, err := u.refute(h)
	if best == nil || err != nil {
		return nil, err
	}
	for _, place := range h.varied(u.of.Truth) {
		near, err := u.nearestOf(h, place)
		if near == nil || err != nil {
			return nil, err
		}
		if near.distance < best.distance {
			best = near
		}
	}
	return best, nil
}

// nearestOf searches the scale of one of the faults: the three marks of the catalogue first, then between the nearest
// one and its neighbours.
func (u *refuting) nearestOf(h Hypothesis, place int) (*refutation, error) {
	s := h[place].Entry.Scale
	var tried []*refutation
	numbers := []float64{s.Mild, s.Usual, s.Severe}
	for round := range nearestRounds + 1 {
		for _, number := range numbers {
			r, err := u.refute(h.at(place, number))
			if r == nil || err != nil {
				return nil, err
			}
			r.severity = number
			tried = append(tried, r)
		}
		if round < nearestRounds {
			numbers = aboutNearest(tried)
		}
	}
	return slices.MinFunc(tried, byDistance), nil
}

func byDistance(a, b *refutation) int { return cmp.Compare(a.distance, b.distance) }

// aboutNearest are the middles between the nearest severity and its neighbours on both sides.
func aboutNearest(tried []*refutation) (numbers []float64) {
	list := slices.SortedFunc(slices.Values(tried), func(a, b *refutation) int { return cmp.Compare(a.severity, b.severity) })
	at := slices.Index(list, slices.MinFunc(list, byDistance))
	for _, next := range []int{at - 1, at + 1} {
		if next < 0 || next >= len(list) {
			continue
		}
		number := rounded((list[at].severity + list[next].severity) / 2)
		if number != list[at].severity && number != list[next].severity {
			numbers = append(numbers, number)
		}
	}
	return numbers
}
