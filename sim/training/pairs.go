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
	likes, err := d.lookAlikes(ctx, u, rivals)
	if err != nil {
		return nil, err
	}
	for rank := range 2*mostLookAlikes - 1 {
		for i := range likes[0] {
			k := rank - i
			if k < 0 || k >= len(likes[1]) || alike(&likes[0][i].Entry, &likes[1][k].Entry) {
				continue
			}
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			list, err := u.allRefuted(wrongPairsOf(u.of.Truth, likes[0][i], likes[1][k]))
			if len(list) > 0 || err != nil {
				return list, err
			}
		}
	}
	return nil, nil
}

// lookAlikes lists those of each of the two faults that can be seen alone, too: the other pairs that they are in can
// be refuted.
func (d *drawing) lookAlikes(ctx context.Context, u *refuting, rivals []rival) (likes [2][]catalogue.Selection, err error) {
	for i := range rivals {
		x := &rivals[i]
		if ctx.Err() != nil {
			return likes, ctx.Err()
		}
		if len(likes[x.out]) == mostLookAlikes {
			continue
		}
		list, err := u.allRefuted(pairsWith(u.of.Truth, x.in))
		if err != nil {
			return likes, err
		}
		if len(list) == 0 {
			continue
		}
		if alone, _, err := d.try(x.in); err != nil || alone == nil {
			continue
		}
		likes[x.out] = append(likes[x.out], x.in)
	}
	return likes, nil
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
		choice, err := u.refuted(h)
		if choice == nil || err != nil {
			return nil, err
		}
		list = append(list, wrongCause{h, *choice})
	}
	return list, nil
}
