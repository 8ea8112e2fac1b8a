package sizing

import (
	"math"

	"holdbench/plant/problem"
)

// The margins below which a line has a warning. All are choices: torques are known to a few
// per cent, which requires a tenth; a ceiling already includes its tolerances; of a window the
// model includes only noise and elastic deflection, so that a factor of two is little.
const (
	thinTorque  = 0.10
	thinCeiling = 0.05
	thinWindow  = 1.0
	thinPress   = 0.01
)

// sameFigure is the relative difference below which two figures are equal: far above the
// rounding errors of the calculation, far below the resolution of any measurement.
const sameFigure = 1e-12

// atMost compares the value with an upper bound.
func (l Line) atMost(bound float64, what string, thin float64) Line {
	return l.bounded(bound, what, bound/math.Abs(l.Value)-1, thin, "at most")
}

// atLeast compares the value with a lower bound.
func (l Line) atLeast(bound float64, what string, thin float64) Line {
	return l.bounded(bound, what, math.Abs(l.Value)/bound-1, thin, "at least")
}

// within holds the value against a limit of the rig's format, which says nothing about the
// test: only a value above it is reported.
func (l Line) within(limit float64, what string) Line {
	if l.Value <= limit {
		return l
	}
	return l.atMost(limit, what, 0)
}

// bounded keeps the smaller margin of a line with several bounds.
func (l Line) bounded(bound float64, what string, relative, thin float64, must string) Line {
	if math.IsNaN(relative) || math.Abs(relative) < sameFigure {
		relative = 0 // 0/0, or equal to the bound
	}
	if math.IsInf(relative, 0) || l.Margin != nil && l.Margin.Relative-l.Margin.ThinBelow <= relative-thin {
		return l
	}
	l.Margin = &Margin{Bound: bound, To: what, Relative: relative, ThinBelow: thin}
	l.Warning = ""
	switch {
	case relative < 0:
		l.Warning = problem.Text("%.4g %s; must be %s %.4g %s: %s", math.Abs(l.Value), l.Unit, must, bound, l.Unit, what)
	case relative < thin:
		l.Warning = problem.Text("margin of only %.2g %% to %.4g %s: %s (small below %.3g %%)", 100*relative, bound, l.Unit, what, 100*thin)
	}
	return l
}

// crossed reports whether no value is permitted.
func (l *Line) crossed() bool { return l.Margin != nil && l.Margin.Relative < 0 }

// warnIf adds a warning to a line without one.
func (l Line) warnIf(condition bool, format string, values ...any) Line {
	if condition && l.Warning == "" {
		l.Warning = problem.Text(format, values...)
	}
	return l
}

// withPresent adds the present value of rig or sequence with its assessment.
func (l Line) withPresent(key string, value float64, fits bool, format string, values ...any) Line {
	l.Set = &Present{Key: key, Value: value, Unit: l.Unit, Fits: fits, Assessment: problem.Text(format, values...)}
	return l
}

// between assesses whether a present value lies between two bounds.
func (l Line) between(key string, value, low, high float64) Line {
	fits := low <= value && value <= high
	says := problem.Text("within %.4g to %.4g %s", low, high, l.Unit)
	switch {
	case low > high:
		says = "no value is permitted"
	case !fits:
		says = problem.Text("must be within %.4g to %.4g %s", low, high, l.Unit)
	}
	return l.withPresent(key, value, fits, "%s", says)
}

// rounding is the relative rounding error permitted for a value in a document.
const rounding = 1e-3

// sufficient assesses whether a present value is at least that of the line.
func (l Line) sufficient(key string, value float64) Line {
	if value >= l.Value*(1-rounding) {
		return l.withPresent(key, value, true, "sufficient")
	}
	return l.withPresent(key, value, false, "must be at least %.4g %s", l.Value, l.Unit)
}
