package training

import (
	"context"
	"fmt"
	"hash/fnv"
	"math"
	"runtime"
	"slices"

	"holdbench/sequence"
	"holdbench/sim/fanout"
)

// The distance of two runs is the mean over all visible signals, and over scans of both up to a quarter beyond the
// end of the nominal run, of
//
//	min(1, |a − b| / (10 t))
//
// with a and b the values of the signal in the two runs and t its tolerance in the nominal run at that scan. It is 0
// for runs that cannot be distinguished and 1 for runs without a common value. Words and flags count 0 or 1.
const (
	farTolerances = 10
	beyondNominal = 1.25
	scanStride    = 10 // one scan of so many is compared
	// shownShare is which part of the distance of the truth from the run without its fault a wrong cause has at
	// least from that run, to show something itself.
	shownShare = 0.5
)

// mostScans are the scans of a run that are compared.
func (r *reference) mostScans() int { return int(float64(beyondNominal * float64(len(r.scans)))) }

// untilParted are the scans in which the signs of one fault are compared: until half a second after its run parts from
// the nominal one, as what follows belongs to the other states, whatever led there.
func (r *reference) untilParted(faulted *Recording, faults int) int {
	if faults > 1 {
		return r.mostScans()
	}
	return min(r.mostScans(), r.divergence(faulted)+int(LeastTime.Seconds()/r.scanS))
}

// trace is the values of all visible signals in units of far tolerances, of so many scans.
func (r *reference) trace(other *Recording, most int) []float64 {
	list := make([]float64, 0, len(r.signals)*(most/scanStride+1))
	for k := range r.signals {
		s := &r.signals[k]
		for i := 0; i < most; i += scanStride {
			list = append(list, s.coordinate(other.at(i), i))
		}
	}
	return list
}

// coordinate is the value of a signal in units of far tolerances.
func (s *referenceSignal) coordinate(at *scan, i int) float64 {
	const none = 1e-9 // tolerance of a signal that does not change in the nominal run: any difference counts
	x := s.InputNumber(&at.in)
	switch s.Kind {
	case sequence.KindNumber:
		return x / (farTolerances * max(none, s.tolerances[min(i, len(s.tolerances)-1)]))
	case sequence.KindBoolean:
		return x
	}
	sum := fnv.New32a()
	_, _ = sum.Write([]byte(text(&s.Signal, at))) // never fails
	return float64(sum.Sum32())
}

// unlike is how little two runs share of what they show against the run without the fault, of which they are as far as
// signs and others: 0 for equal runs, 1 for signs in other signals or at other times. It is rounded to tenths, so that
// chance chooses among wrong causes that are about as near.
//
//	u = apart / (signs + others)
func unlike(apart, signs, others float64) float64 {
	const tenths = 10
	if signs+others == 0 {
		return 1
	}
	return math.Round(tenths*apart/(signs+others)) / tenths
}

// tieOf is the place of a cause among those that are as near, by chance.
func (d *drawing) tieOf(name string) uint32 {
	sum := fnv.New32a()
	_, _ = fmt.Fprintf(sum, "%d %s", d.seed, name) // never fails
	return sum.Sum32()
}

func distance(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		if d := math.Abs(a[i] - b[i]); d > 0 { // not for values that are no numbers
			sum += min(1, d)
		}
	}
	return sum / float64(max(1, len(a)))
}

// measure runs the rivals and sets how far they are from the run of the truth; those that cannot be run are removed.
func (d *drawing) measure(ctx context.Context, of Hypothesis, faulted *Recording, list []rival) ([]rival, error) {
	workers := 1
	if _, ok := d.nominal.Program(); ok { // else a controller may permit one run at a time
		workers = runtime.GOMAXPROCS(0)
	}
	most := d.healthy.untilParted(faulted, len(of))
	truth := d.healthy.trace(faulted, most)
	without, err := d.without(of, most)
	if err != nil {
		return nil, err
	}
	type outcome struct {
		rival rival
		runs  bool
		err   error
	}
	var kept []rival
	var failed error
	err = fanout.InOrder(ctx, len(list), workers, func(i int) (outcome, bool) {
		c, ok := list[i].caseOf(d.nominal)
		if !ok {
			return outcome{}, true
		}
		other, err := record(c, d.healthy.mostScans())
		if err != nil {
			return outcome{err: err}, true
		}
		x, trace := list[i], d.healthy.trace(other, most)
		base := without[x.out]
		signs, others := distance(base, truth), distance(base, trace)
		x.distance, x.tie = unlike(distance(truth, trace), signs, others), d.tieOf(x.Name())
		x.shows = len(x.Hypothesis) < len(of) || others >= shownShare*signs
		return outcome{rival: x, runs: true}, true
	}, func(_ int, o outcome) {
		switch {
		case o.err != nil && failed == nil:
			failed = o.err
		case o.runs:
			kept = append(kept, o.rival)
		}
	})
	if err != nil {
		return nil, err
	}
	return kept, failed
}

// without is the trace of the run without one of the faults, for each: of one fault, the nominal run.
func (d *drawing) without(of Hypothesis, most int) ([][]float64, error) {
	var list [][]float64
	for i := range of {
		c, _ := slices.Delete(slices.Clone(of), i, i+1).caseOf(d.nominal)
		r, err := record(c, d.healthy.mostScans())
		if err != nil {
			return nil, err
		}
		list = append(list, d.healthy.trace(r, most))
	}
	return list, nil
}
