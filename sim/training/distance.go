package training

import (
	"context"
	"fmt"
	"hash/fnv"
	"math"
	"runtime"
	"slices"

	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/catalogue"
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

// trace is the values of all visible signals in units of far tolerances, scan by scan.
func (r *reference) trace(other *Recording) []float64 {
	list := make([]float64, 0, r.upTo(r.mostScans()))
	for i := 0; i < r.mostScans(); i += scanStride {
		for k := range r.signals {
			list = append(list, r.signals[k].coordinate(other.at(i), i))
		}
	}
	return list
}

// upTo is how many values of a trace are of so many scans.
func (r *reference) upTo(scans int) int {
	return len(r.signals) * ((scans + scanStride - 1) / scanStride)
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

// measure runs the rivals and sets how far they are from the run of the truth. Those that cannot be run, or that show
// nothing at this level, are removed: what cannot be right at a level is no answer there.
func (d *drawing) measure(ctx context.Context, of Hypothesis, faulted *Recording, list []rival) ([]rival, error) {
	workers := 1
	if _, ok := d.nominal.Program(); ok { // else a controller may permit one run at a time
		workers = runtime.GOMAXPROCS(0)
	}
	m := &measuring{drawing: d, values: d.healthy.upTo(d.healthy.untilParted(faulted, len(of)))}
	m.truth = d.healthy.trace(faulted)[:m.values]
	var err error
	if m.without, err = d.without(of); err != nil {
		return nil, err
	}
	type outcome struct {
		rival rival
		shows bool
		err   error
	}
	var kept []rival
	var failed error
	err = fanout.InOrder(ctx, len(list), workers, func(i int) (outcome, bool) {
		x, shows, err := m.rival(list[i])
		return outcome{x, shows, err}, true
	}, func(_ int, o outcome) {
		switch {
		case o.err != nil && failed == nil:
			failed = o.err
		case o.shows:
			kept = append(kept, o.rival)
		}
	})
	if err != nil {
		return nil, err
	}
	return kept, failed
}

// measuring is a truth against which rivals are measured.
type measuring struct {
	*drawing
	values  int // of a trace that are compared
	truth   []float64
	without []fewer
}

// rival measures a rival, at that of its severities that is the nearest; shows is false if none shows something.
func (m *measuring) rival(x rival) (near rival, shows bool, err error) {
	list, err := m.sketches(x)
	for i := range list {
		other, without, trace := x.with(list[i].of), m.without[x.out].trace[:m.values], list[i].trace[:m.values]
		other.distance = unlike(distance(m.truth, trace), distance(without, m.truth), distance(without, trace))
		other.tie = m.tieOf(other.Name())
		if i == 0 || other.distance < near.distance {
			near = other
		}
	}
	return near, len(list) > 0, err
}

// sketch is what is compared of the run of a rival.
type sketch struct {
	of    catalogue.Selection
	trace []float64
}

// sketches runs a rival. One fault alone from the start of the run is the same beside any truth and is run once.
func (m *measuring) sketches(x rival) ([]sketch, error) {
	recurs := len(x.Hypothesis) == 1 && x.in.When == sim.Moment{}
	if known, ok := m.known.Load(x.in.Entry.Name); ok && recurs {
		return known.([]sketch), nil //nolint:forcetypeassert // all are
	}
	list, err := m.newSketches(x)
	if recurs && err == nil {
		m.known.Store(x.in.Entry.Name, list)
	}
	return list, err
}

// newSketches runs a rival at its severities: at the first one that shows something, of the level [Data] at all, as its
// wrong causes are to be near.
func (m *measuring) newSketches(x rival) (list []sketch, err error) {
	for _, x = range m.trials(x) {
		c, ok := x.caseOf(m.nominal)
		if !ok {
			return nil, nil
		}
		run, err := m.record(x.Hypothesis, c, m.healthy.mostScans())
		if err != nil {
			return nil, err
		}
		if m.without[x.out].shows(run) && (m.level != Masked || m.masks(run)) {
			list = append(list, sketch{x.in, m.healthy.trace(run)})
		}
		if m.reuse(run); len(list) > 0 && m.level != Data {
			break
		}
	}
	return list, nil
}

// fewer is a run without one of the faults of the truth.
type fewer struct {
	*reference
	trace []float64
}

// without is the run without one of the faults, for each: of one fault, the nominal run.
func (d *drawing) without(of Hypothesis) ([]fewer, error) {
	var list []fewer
	for i := range of {
		r := d.healthy
		if len(of) > 1 {
			rest := slices.Delete(slices.Clone(of), i, i+1)
			c, _ := rest.caseOf(d.nominal)
			recorded, err := d.record(rest, c, d.healthy.mostScans())
			if err != nil {
				return nil, err
			}
			r = newReference(recorded)
		}
		list = append(list, fewer{r, d.healthy.trace(r.Recording)})
	}
	return list, nil
}
