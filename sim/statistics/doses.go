package statistics

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Dose is what came of tries at one place of the stimulus. Tried and Passed are counts; weighted
// ones are allowed, though Deviance and the standard errors then mean what they say only if the
// weights add up to the number of tries that they are worth.
type Dose struct{ At, Tried, Passed float64 }

func (d Dose) failed() float64 { return d.Tried - d.Passed }

// OneOutcomeError says that there is nothing to fit, as all tries passed, or none.
type OneOutcomeError struct {
	Passed    bool
	Low, High float64 // the places that were tried
}

func (e *OneOutcomeError) Error() string {
	if e.Passed {
		return fmt.Sprintf("everything passed from %.6g to %.6g: the curve lies lower", e.Low, e.High)
	}
	return fmt.Sprintf("nothing passed from %.6g to %.6g: the curve lies higher", e.Low, e.High)
}

// SeparatedError says that everything up to Below failed and everything from Above on passed, with
// at most one place between: the step lies there, and how steep it is the tries do not tell.
type SeparatedError struct{ Below, Above float64 }

func (e *SeparatedError) Error() string {
	return fmt.Sprintf("everything up to %.6g failed and everything from %.6g on passed: the step lies between", e.Below, e.Above)
}

// NoFitError says why there is no curve for other reasons.
type NoFitError struct{ Why string }

func (e *NoFitError) Error() string { return "no curve fits: " + e.Why }

// merged puts doses in order of their places, one for each place, and leaves out those that were
// not tried.
func merged(doses []Dose) ([]Dose, error) {
	sorted := make([]Dose, 0, len(doses))
	for _, d := range doses {
		if math.IsNaN(d.At) || math.IsInf(d.At, 0) || math.IsInf(d.Tried, 0) || !(0 <= d.Passed && d.Passed <= d.Tried) {
			return nil, &NoFitError{fmt.Sprintf("%g of %g tries passed at %g", d.Passed, d.Tried, d.At)}
		}
		if d.Tried > 0 {
			sorted = append(sorted, d)
		}
	}
	// by all three, so that a sum does not depend on the order that doses came in
	slices.SortFunc(sorted, func(a, b Dose) int {
		return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.Tried, b.Tried), cmp.Compare(a.Passed, b.Passed))
	})
	var places []Dose
	for _, d := range sorted {
		if last := len(places) - 1; last >= 0 && places[last].At == d.At {
			places[last].Tried += d.Tried
			places[last].Passed = min(places[last].Passed+d.Passed, places[last].Tried)
			continue
		}
		places = append(places, d)
	}
	return places, nil
}

// overlap returns an error unless some tries failed above a place where others passed, and some
// passed above a place where others failed. Only then the likelihood has its maximum at a finite
// slope: Albert and Anderson, Biometrika 71, 1984 (from memory). Places are in order.
func overlap(places []Dose) error {
	if len(places) == 0 {
		return &NoFitError{"nothing was tried"}
	}
	passes := func(d Dose) bool { return d.Passed > 0 }
	fails := func(d Dose) bool { return d.failed() > 0 }
	first, last := places[0], places[len(places)-1]
	switch {
	case !slices.ContainsFunc(places, passes):
		return &OneOutcomeError{Passed: false, Low: first.At, High: last.At}
	case !slices.ContainsFunc(places, fails):
		return &OneOutcomeError{Passed: true, Low: first.At, High: last.At}
	case len(places) == 1:
		return &NoFitError{fmt.Sprintf("all tries were at %.6g", first.At)}
	}
	pass, fail := slices.IndexFunc(places, passes), slices.IndexFunc(places, fails)
	switch {
	case lastIndex(places, fails) <= pass:
		return separated(places, lastIndex(places, fails), pass)
	case lastIndex(places, passes) <= fail:
		return &NoFitError{fmt.Sprintf("the curve falls: nothing passed above %.6g", places[fail].At)}
	}
	return nil
}

// separated takes the last place where something failed and the first where something passed. If
// that is one place, the step is known no closer than to its neighbours.
func separated(places []Dose, fail, pass int) error {
	if fail < pass {
		return &SeparatedError{Below: places[fail].At, Above: places[pass].At}
	}
	switch fail {
	case 0:
		return &NoFitError{fmt.Sprintf("everything above %.6g passed, and nothing was tried below it", places[0].At)}
	case len(places) - 1:
		return &NoFitError{fmt.Sprintf("everything below %.6g failed, and nothing was tried above it", places[fail].At)}
	}
	return &SeparatedError{Below: places[fail-1].At, Above: places[fail+1].At}
}

func lastIndex(places []Dose, is func(Dose) bool) int {
	for i := len(places) - 1; i >= 0; i-- {
		if is(places[i]) {
			return i
		}
	}
	return -1
}
