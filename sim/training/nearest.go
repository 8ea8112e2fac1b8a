package training

import (
	"cmp"
	"slices"

	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// refutation is a run of a wrong cause that can be told from that of the truth.
type refutation struct {
	of       Hypothesis
	c        *sim.Case
	run      *Recording // of the nearest one
	distance float64    // from the run of the truth
}

// refute runs a hypothesis to its end; nil if its run cannot be told from that of the truth, or if no case is made of it.
func (u *refuting) refute(h Hypothesis) (*refutation, error) {
	c, fits := h.caseOf(u.d.nominal)
	if !fits {
		return nil, nil
	}
	run, err := u.d.record(h, c, 0) // whole, as the end of a run that is cut short would be a difference
	if err != nil {
		return nil, err
	}
	if !apart(u.truth, run) {
		u.d.reuse(run)
		return nil, nil
	}
	return &refutation{h, c, run, distance(u.trace, u.d.healthy.trace(run))}, nil
}

// apart is whether two runs can be told apart. The noise of one may hide the other, so each is held against the other.
func apart(a *reference, b *Recording) bool { return a.shows(b) || newReference(b).shows(a.Recording) }

// The severities of a wrong cause that are run: in steps over its scale, as a cause may be near at several places of it, then
// with the steps about the nearest one halved, to the three digits of a severity. A rougher search leaves causes that give
// the very same run at a severity between.
const (
	nearestSteps  = 10
	nearestRounds = 5
)

// nearest is the run of a hypothesis that is nearest to the truth, over the scales of those of its faults that the truth
// has not; nil if one of those that were run cannot be told from it.
func (u *refuting) nearest(h Hypothesis) (*refutation, error) {
	s := &severitySearch{u: u}
	defer s.end()
	if r, err := s.refute(h); r == nil || err != nil {
		return nil, err
	}
	for _, place := range h.varied(u.of.Truth) {
		if complete, err := s.along(h, place); !complete || err != nil {
			return nil, err
		}
	}
	return s.take(), nil
}

// severitySearch is the runs of a wrong cause at several severities.
type severitySearch struct {
	u     *refuting
	tried []*refutation
}

// refute runs a hypothesis unless it was run.
func (s *severitySearch) refute(h Hypothesis) (*refutation, error) {
	for _, r := range s.tried {
		if slices.EqualFunc(r.of, h, func(a, b catalogue.Selection) bool { return a.Severity == b.Severity }) {
			return r, nil
		}
	}
	r, err := s.u.refute(h)
	if r != nil && err == nil {
		s.tried = append(s.tried, r)
	}
	return r, err
}

// take is the nearest one, and leaves the others.
func (s *severitySearch) take() *refutation {
	near := slices.MinFunc(s.tried, byDistance)
	s.tried = slices.DeleteFunc(s.tried, func(r *refutation) bool { return r == near })
	return near
}

// end gives back the runs that are left.
func (s *severitySearch) end() {
	for _, r := range s.tried {
		s.u.d.reuse(r.run)
	}
}

// along searches the scale of one of the faults: the three marks of the catalogue and steps over it first, then between
// the nearest one and its neighbours. It is false for a severity at which the run cannot be told from the truth.
func (s *severitySearch) along(h Hypothesis, place int) (complete bool, err error) {
	scale := h[place].Entry.Scale
	var tried []*refutation
	numbers := []float64{scale.Mild, scale.Usual, scale.Severe}
	for step := range nearestSteps - 1 {
		numbers = append(numbers, rounded(scale.Between(float64(step+1)/nearestSteps)))
	}
	for round := range nearestRounds + 1 {
		for _, number := range numbers {
			r, err := s.refute(h.at(place, number))
			if r == nil || err != nil {
				return false, err
			}
			tried = append(tried, r)
		}
		if round < nearestRounds {
			numbers = aboutNearest(tried, place)
		}
	}
	return true, nil
}

func byDistance(a, b *refutation) int { return cmp.Compare(a.distance, b.distance) }

// aboutNearest are the middles between the nearest severity of a fault and its neighbours on both sides.
func aboutNearest(tried []*refutation, place int) (numbers []float64) {
	severity := func(r *refutation) float64 { return r.of[place].Severity }
	list := slices.SortedFunc(slices.Values(tried), func(a, b *refutation) int { return cmp.Compare(severity(a), severity(b)) })
	at := slices.Index(list, slices.MinFunc(list, byDistance))
	for _, next := range []int{at - 1, at + 1} {
		if next < 0 || next >= len(list) {
			continue
		}
		number := rounded((severity(list[at]) + severity(list[next])) / 2)
		if number != severity(list[at]) && number != severity(list[next]) {
			numbers = append(numbers, number)
		}
	}
	return numbers
}
