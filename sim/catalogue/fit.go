package catalogue

import (
	"maps"
	"slices"

	"holdbench/plant"
	"holdbench/sim"
)

// FitsCase is whether the fault makes sense in a case: it fits the rig, and its settings are
// valid values of parameters that the sequence has.
func (f *Entry) FitsCase(c *sim.Case) bool {
	if !f.Fits(&c.Rig) {
		return false
	}
	if f.Settings == nil {
		return true
	}
	s := c.Scenario
	s.Faults, s.Lesson = nil, nil
	Selection{Entry: *f, Severity: f.Usual()}.AddTo(&s, &c.Rig)
	_, _, err := c.With(s)
	return err == nil
}

// Fits is whether the fault makes sense on a rig: the rig has what the fault needs, the fault
// changes something, and the rig is valid from the mild end of the scale to the severe end.
func (f *Entry) Fits(r *plant.Rig) bool {
	if f.Needs != nil && !f.Needs(r) {
		return false
	}
	changes, valid := f.try(r, f.Usual())
	changes = changes || f.Settings != nil
	if !changes || !valid || f.Scale == nil {
		return changes && valid
	}
	for _, end := range []float64{f.Scale.Mild, f.Scale.Severe} {
		if _, valid := f.try(r, end); !valid {
			return false
		}
	}
	return true
}

// try compares a rig with the fault with the one without, and checks it against the rules of
// a rig. A fault of the link always changes something.
func (f *Entry) try(r *plant.Rig, number float64) (changes, valid bool) {
	faulted := *r
	values := f.Values(r, number)
	for _, target := range slices.Sorted(maps.Keys(values)) {
		f, ok := plant.FindField(target)
		if !ok {
			changes = true
			continue
		}
		if f.Set(&faulted, values[target]) != nil {
			return false, false
		}
		changes = changes || f.Text(&faulted) != f.Text(r)
	}
	_, err := plant.Validate(&faulted)
	return changes, err == nil
}
