package statistics

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Dose is the outcome of trials at one level of the stimulus. Tried and Passed are counts.
// Weighted counts are allowed, but intervals and goodness of fit are then valid only if the
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
		return fmt.Sprintf("all passed from %.4g to %.4g: the step lies below %.4g", e.Low, e.High, e.Low)
	}
	return fmt.Sprintf("none passed from %.4g to %.4g: the step lies above %.4g", e.Low, e.High, e.High)
}

// SeparatedError says that all up to Below failed and all from Above on passed but for lapses,
// with at most one dose between: the step is there, and its slope cannot be determined.
type SeparatedError struct {
	Below, Above float64
	// PassedBelow and FailedAbove are the lapses, in trials.
	PassedBelow, FailedAbove float64
}

func (e *SeparatedError) Error() string {
	return fmt.Sprintf("%s up to %.6g failed and %s from %.6g on passed: the step is between",
		allBut(e.PassedBelow), e.Below, allBut(e.FailedAbove), e.Above)
}

func allBut(lapses float64) string {
	if lapses == 0 {
		return "all"
	}
	return fmt.Sprintf("all but %.6g", lapses)
}

// LapseError says that more trials pass, or fail, whatever the dose, than lapses explain: then the
// curve has another shape.
type LapseError struct{}

func (e *LapseError) Error() string {
	return fmt.Sprintf("no curve fits: %.3g %% or more pass or fail whatever the dose, which are no lapses", 100*maxLapse)
}

// PoorFitError says that the curve does not go through the counts.
type PoorFitError struct{ Goodness Goodness }

func (e *PoorFitError) Error() string {
	return fmt.Sprintf("no curve fits: the best one does not go through the counts (goodness of fit: deviance %.4g over %d groups, p-value %.2g)",
		e.Goodness.Deviance, e.Goodness.Groups, e.Goodness.PValue)
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

// twoOutcomes returns an error unless some trials passed and some failed, at two doses or more.
// The doses are sorted.
func twoOutcomes(doses []Dose) error {
	if len(doses) == 0 {
		return &NoFitError{"there are no trials"}
	}
	first, last := doses[0], doses[len(doses)-1]
	switch {
	case !slices.ContainsFunc(doses, func(d Dose) bool { return d.Passed > 0 }):
		return &OneOutcomeError{Passed: false, Low: first.At, High: last.At}
	case !slices.ContainsFunc(doses, func(d Dose) bool { return d.failed() > 0 }):
		return &OneOutcomeError{Passed: true, Low: first.At, High: last.At}
	case len(doses) == 1:
		return &NoFitError{fmt.Sprintf("all trials are at %.6g", first.At)}
	}
	return nil
}
