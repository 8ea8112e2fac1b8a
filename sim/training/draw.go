package training

import (
	"slices"
	"strconv"
	"time"

	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// drawFaults draws the faults of the level.
func (d *drawing) drawFaults() Hypothesis {
	h := Hypothesis{d.drawFault()}
	for d.level == Two && len(h) < 2 {
		f := d.drawFault()
		if f.Entry.Name != h[0].Entry.Name && !sameSymptom(&f.Entry, &h[0].Entry) {
			h = append(h, f)
		}
	}
	return h.sorted()
}

// drawFault draws a fault that the level allows, its severity and its moment.
func (d *drawing) drawFault() catalogue.Selection {
	list := d.faults
	switch d.level {
	case Mild:
		list = keep(list, func(f *catalogue.Entry) bool { return f.Scale != nil })
	case Data:
		wrongData := d.random.IntN(2) == 0
		if some := keep(list, func(f *catalogue.Entry) bool { return isData(f) == wrongData }); len(some) > 0 {
			list = some
		}
	}
	if len(list) == 0 {
		list = d.faults
	}
	s := catalogue.Selection{Entry: list[d.random.IntN(len(list))]}
	s.Severity = d.severity(&s.Entry)
	s.When = d.moment(&s.Entry)
	return s
}

func keep(list []catalogue.Entry, wanted func(*catalogue.Entry) bool) []catalogue.Entry {
	return slices.DeleteFunc(slices.Clone(list), func(f catalogue.Entry) bool { return !wanted(&f) })
}

// isData is whether a fault is wrong data and not a defect.
func isData(f *catalogue.Entry) bool { return f.Group == catalogue.EngineeringGroup }

// mildShare is how far of its scale a mild fault may be from the mild end.
const mildShare = 0.2

// severity draws a number of the scale of the fault, in steps.
func (d *drawing) severity(f *catalogue.Entry) float64 {
	const steps = 20
	share := float64(d.random.IntN(steps+1)) / steps
	if d.level == Mild {
		share *= mildShare
	}
	if f.Scale == nil {
		return 0
	}
	return rounded(f.Scale.Between(share))
}

// rounded leaves three digits of a number.
func rounded(x float64) float64 {
	short, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 3, 64), 64) // cannot fail
	return short
}

// moment draws when the fault begins: at the start or later with equal probability. Later it
// begins while the nominal run is in the state.
func (d *drawing) moment(f *catalogue.Entry) sim.Moment {
	const grain = 10 * time.Millisecond
	start := d.random.IntN(2) == 0
	place := d.random.IntN(max(1, len(d.visits)))
	share := d.random.Uint64()
	if start || f.FromStart || len(d.visits) == 0 {
		return sim.Moment{}
	}
	s := d.visits[place]
	grains := uint64(s.duration/grain) + 1
	return sim.Moment{State: s.state, After: time.Duration(share%grains) * grain}
}

// masks is whether a run goes through the same states to the same end as the nominal one, with the same verdict.
func (d *drawing) masks(faulted *Recording) bool {
	was, is := d.healthy.Result, faulted.Result
	return slices.Equal(d.healthy.path(), faulted.path()) && was.End == is.End && was.Verdict == is.Verdict
}

// bothVisible is whether each of two faults adds something to the other alone that is to be seen.
func (d *drawing) bothVisible(r *Riddle, faulted *Recording) (bool, error) {
	if len(r.Truth) < 2 {
		return true, nil
	}
	for i := range r.Truth {
		c, _ := r.Truth[i : i+1].caseOf(d.nominal)
		alone, err := Record(c)
		if err != nil {
			return false, err
		}
		v, ok := newReference(alone).visible(faulted)
		if !ok {
			return false, nil
		}
		r.Beyond = append(r.Beyond, v)
	}
	return true, nil
}
