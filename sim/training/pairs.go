package training

import (
	"context"
	"slices"

	"holdbench/sim/catalogue"
)

// mostLookAlikes is how many look-alikes of each of two faults are tried.
const mostLookAlikes = 8

// wrongPairs makes the answers to a riddle of two faults: with one look-alike of each there are four faults, and the
// answers are all six pairs of them. So each fault is in three answers, and no answer differs from the others by what
// it shares with them. No two of the four have the same symptom or the same remedy.
func (d *drawing) wrongPairs(ctx context.Context, u *refuting, rivals []rival) ([]wrongCause, error) {
	likes := [2]*lookAlikes{}
	for out := range likes {
		likes[out] = &lookAlikes{u: u, rivals: keep(rivals, func(x *rival) bool { return x.out == out })}
	}
	for rank := range 2*mostLookAlikes - 1 {
		for i := range rank + 1 {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			list, err := u.pairsOf(likes, i, rank-i)
			if len(list) > 0 || err != nil {
				return list, err
			}
		}
	}
	return nil, nil
}

// pairsOf makes the answers with one look-alike of each fault, by their places; none if there are none at these.
func (u *refuting) pairsOf(likes [2]*lookAlikes, i, k int) ([]wrongCause, error) {
	first, err := likes[0].at(i)
	if first == nil || err != nil {
		return nil, err
	}
	second, err := likes[1].at(k)
	if second == nil || err != nil || alike(&first.Entry, &second.Entry) {
		return nil, err
	}
	return u.allRefuted(wrongPairsOf(u.of.Truth, *first, *second))
}

// lookAlikes are those of one of the two faults that can be seen alone, too, and the pairs with which can be refuted.
// They are found one after the other, as the nearest ones are mostly enough.
type lookAlikes struct {
	u      *refuting
	rivals []rival // that were not tried
	found  []*catalogue.Selection
}

// at is one of them, the nearest first; nil behind the last.
func (l *lookAlikes) at(i int) (*catalogue.Selection, error) {
	for i < mostLookAlikes && i >= len(l.found) && len(l.rivals) > 0 {
		in := l.rivals[0].in
		l.rivals = l.rivals[1:]
		list, err := l.u.allRefuted(pairsWith(l.u.of.Truth, in))
		if err != nil {
			return nil, err
		}
		if len(list) == 0 {
			continue
		}
		alone, _, err := l.u.d.try(in)
		if err != nil {
			return nil, err
		}
		if alone != nil {
			l.found = append(l.found, &in)
		}
	}
	if i < len(l.found) {
		return l.found[i], nil
	}
	return nil, nil
}

// pairsWith are a fault with each of two others.
func pairsWith(truth Hypothesis, in catalogue.Selection) []Hypothesis {
	return []Hypothesis{Hypothesis{truth[0], in}.sorted(), Hypothesis{truth[1], in}.sorted()}
}

// wrongPairsOf are the pairs of four faults but that of the truth.
func wrongPairsOf(truth Hypothesis, first, second catalogue.Selection) []Hypothesis {
	return slices.Concat(pairsWith(truth, first), pairsWith(truth, second), []Hypothesis{Hypothesis{first, second}.sorted()})
}

// allRefuted makes answers of hypotheses, none if one of them cannot be refuted.
func (u *refuting) allRefuted(of []Hypothesis) ([]wrongCause, error) {
	var list []wrongCause
	for _, h := range of {
		wrong, err := u.refuted(h)
		if wrong == nil || err != nil {
			return nil, err
		}
		list = append(list, *wrong)
	}
	return list, nil
}
