package training

import (
	"math"

	"holdbench/sequence"
	"holdbench/sim/compare"
)

// stay is one visit of a state.
type stay struct {
	state    string
	from, to int // scans
}

// stays lists all visits of states, in order.
func (r *Recording) stays() []stay {
	var list []stay
	for i := range r.scans {
		if n := len(list); n == 0 || list[n-1].state != r.scans[i].state {
			list = append(list, stay{r.scans[i].state, i, i})
		}
		list[len(list)-1].to = i + 1
	}
	return list
}

// inSameState is the proof by a number in one of the states that both runs go through in the same order, each counted
// from its entry: with another setpoint a state is left earlier, and what its signals show differs all the same. Of the
// first state in which one differs it is the signal that is drawn, of these the one that differs the most.
func (r *reference) inSameState(other *Recording) (best Visibility, ok bool) {
	was, is := r.stays(), other.stays()
	for k := 0; k < min(len(was), len(is)) && was[k].state == is[k].state && !ok; k++ {
		for i := range r.signals {
			s := &r.signals[i]
			if s.Kind != sequence.KindNumber || s.isCountdown() || !isShown(r.sequence, s.Name) {
				continue
			}
			v, found := r.stayStretch(s, other, was[k], is[k])
			v.evident = 0 // they are of one state
			if found && (!ok || v.before(&best)) {
				best, ok = v, true
			}
		}
	}
	return best, ok
}

// stayStretch finds the first stretch in a stay in which a number differs as required from the one of the other run's
// stay, at the same time from the entry.
func (r *reference) stayStretch(s *referenceSignal, other *Recording, was, is stay) (v Visibility, found bool) {
	from, scans := -1, min(was.to-was.from, is.to-is.from)
	for j := 0; j <= scans; j++ {
		excess := 0.0
		if j < scans {
			x := s.InputNumber(&other.scans[is.from+j].in)
			if excess = s.excess(x, was.from+j, r.slackScans); s.atLeast(x, was.from+j, r.slackScans) < s.leastFigure() {
				excess = 0
			}
		}
		switch {
		case excess >= LeastTolerances && from < 0:
			from = j
		case excess < LeastTolerances && from >= 0:
			if r.lasts(from, j) >= LeastTime.Seconds()-1e-9 {
				return r.stayProof(s, other, was.from+from, is.from+from, j-from), true
			}
			from = -1
		}
	}
	return v, false
}

// atLeast is how far a number is from the values about a scan.
func (s *referenceSignal) atLeast(x float64, i, slack int) float64 {
	distance, _ := s.distance(x, i, slack)
	return distance
}

// stayProof is the proof of so many scans, from one of each run on.
func (r *reference) stayProof(s *referenceSignal, other *Recording, was, is, scans int) Visibility {
	v := Visibility{
		Signal: s.Name, Unit: s.Unit.String(), Sign: Apart, InState: true, State: other.at(is).state, FromS: other.at(is).atS, FirstS: r.at(was).atS,
		LastsS: other.lasts(0, scans), Tolerances: flagExcess, Least: math.Inf(1),
	}
	clearest, most := 0, math.Inf(-1)
	for j := range scans {
		x := s.InputNumber(&other.scans[is+j].in)
		v.Tolerances = min(v.Tolerances, s.excess(x, was+j, r.slackScans))
		distance := s.atLeast(x, was+j, r.slackScans)
		v.Least = min(v.Least, distance)
		if distance > most {
			most, clearest = distance, j
		}
	}
	v.ClearS = other.at(is + clearest).atS
	v.First, v.Second, _, _ = compare.Figures(text(&s.Signal, r.at(was+clearest)), text(&s.Signal, other.at(is+clearest)), true)
	return v
}
