package statistics

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Dose is the outcome of trials at one level of the stimulus. Tried and Passed are counts.
// Weighted counts are allowed, but Deviance and the standard errors are then valid only if the
// weights add up to the equivalent number of trials.
type Dose struct{ At, Tried, Passed float64 }

func (d Dose) failed() float64 { return d.Tried - d.Passed }

// OneOutcomeError says that there is nothing to fit, as all trials passed, or none.
type OneOutcomeError struct {
	Passed    bool
	Low, High float64 // the lowest and the highest dose
}

func (e *OneOutcomeError) Error() string {
	if e.Passed {
		return fmt.Sprintf("all passed from %.6g to %.6g: the curve is lower", e.Low, e.High)
	}
	return fmt.Sprintf("none passed from %.6g to %.6g: the curve is higher", e.Low, e.High)
}

// SeparatedError says that all up to Below failed and all from Above on passed, with at most one
// dose between: the step is there, and its slope cannot be determined.
type SeparatedError struct{ Below, Above float64 }

func (e *SeparatedError) Error() string {
	return fmt.Sprintf("all up to %.6g failed and all from %.6g on passed: the step is between", e.Below, e.Above)
}

// NoFitError says why there is no curve for other reasons.
type NoFitError struct{ Reason string }

func (e *NoFitError) Error() string { return "no curve fits: " + e.Reason }

// mergedDoses sorts the doses, merges those at the same level, and leaves out those without
// trials.
func mergedDoses(doses []Dose) ([]Dose, error) {
	sorted := make([]Dose, 0, len(doses))
	for _, d := range doses {
		if math.IsNaN(d.At) || math.IsInf(d.At, 0) || math.IsInf(d.Tried, 0) || !(0 <= d.Passed && d.Passed <= d.Tried) {
			return nil, &NoFitError{fmt.Sprintf("%g of %g trials passed at %g", d.Passed, d.Tried, d.At)}
		}
		if d.Tried > 0 {
			sorted = append(sorted, d)
		}
	}
	// by all three, so that a sum does not depend on the order that doses came in
	slices.SortFunc(sorted, func(a, b Dose) int {
		return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.Tried, b.Tried), cmp.Compare(a.Passed, b.Passed))
	})
	var merged []Dose
	for _, d := range sorted {
		if last := len(merged) - 1; last >= 0 && merged[last].At == d.At {
			merged[last].Tried += d.Tried
			merged[last].Passed = min(merged[last].Passed+d.Passed, merged[last].Tried)
			continue
		}
		merged = append(merged, d)
	}
	return merged, nil
}

// overlap returns an error unless some trials failed above a dose at which others passed, and
// some passed above a dose at which others failed. Only then the likelihood has its maximum at a
// finite slope: Albert and Anderson, Biometrika 71, 1984 (from memory). The doses are sorted.
func overlap(doses []Dose) error {
	if len(doses) == 0 {
		return &NoFitError{"there are no trials"}
	}
	passes := func(d Dose) bool { return d.Passed > 0 }
	fails := func(d Dose) bool { return d.failed() > 0 }
	first, last := doses[0], doses[len(doses)-1]
	switch {
	case !slices.ContainsFunc(doses, passes):
		return &OneOutcomeError{Passed: false, Low: first.At, High: last.At}
	case !slices.ContainsFunc(doses, fails):
		return &OneOutcomeError{Passed: true, Low: first.At, High: last.At}
	case len(doses) == 1:
		return &NoFitError{fmt.Sprintf("all trials are at %.6g", first.At)}
	}
	pass, fail := slices.IndexFunc(doses, passes), slices.IndexFunc(doses, fails)
	switch {
	case lastIndex(doses, fails) <= pass:
		return separated(doses, lastIndex(doses, fails), pass)
	case lastIndex(doses, passes) <= fail:
		return &NoFitError{fmt.Sprintf("the curve falls: none passed above %.6g", doses[fail].At)}
	}
	return nil
}

// separated takes the last dose at which trials failed and the first at which trials passed. If
// these are the same, the step is between its neighbours.
func separated(doses []Dose, fail, pass int) error {
	if fail < pass {
		return &SeparatedError{Below: doses[fail].At, Above: doses[pass].At}
	}
	switch fail {
	case 0:
		return &NoFitError{fmt.Sprintf("all above %.6g passed, and there are no trials below it", doses[0].At)}
	case len(doses) - 1:
		return &NoFitError{fmt.Sprintf("all below %.6g failed, and there are no trials above it", doses[fail].At)}
	}
	return &SeparatedError{Below: doses[fail-1].At, Above: doses[fail+1].At}
}

func lastIndex(doses []Dose, is func(Dose) bool) int {
	for i := len(doses) - 1; i >= 0; i-- {
		if is(doses[i]) {
			return i
		}
	}
	return -1
}
