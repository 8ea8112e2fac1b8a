package sizing

import (
	"fmt"
	"math"
)

// The margins below which a line warns. All are choices: a torque that is known to a few
// parts in a hundred wants a tenth; a ceiling has its tolerances counted in already; the
// model knows nothing of a window but noise and elastic give, so that a factor of two is
// little there.
const (
	thinTorque  = 0.10
	thinCeiling = 0.05
	thinWindow  = 1.0
	thinPress   = 0.01
)

// sameFigure is by how much of itself a figure may differ from another one and be the same:
// far more than the rounding of the calculation, far less than anything that is measured.
const sameFigure = 1e-12

// atMost holds the line's value against an upper bound.
func (l Line) atMost(bound float64, what string, thin float64) Line {
	return l.held(bound, what, bound/math.Abs(l.Value)-1, thin, "at most")
}

// atLeast holds the line's value against a lower bound.
func (l Line) atLeast(bound float64, what string, thin float64) Line {
	return l.held(bound, what, math.Abs(l.Value)/bound-1, thin, "at least")
}

// held keeps the narrower of the margins that a line is held against.
func (l Line) held(bound float64, what string, relative, thin float64, must string) Line {
	if math.IsNaN(relative) || math.Abs(relative) < sameFigure {
		relative = 0 // nothing against nothing, or the bound itself
	}
	if math.IsInf(relative, 0) || l.Margin != nil && l.Margin.Relative-l.Margin.ThinBelow <= relative-thin {
		return l
	}
	l.Margin = &Margin{Bound: bound, To: what, Relative: relative, ThinBelow: thin}
	l.Warning = ""
	switch {
	case relative < 0:
		l.Warning = fmt.Sprintf("%.4g %s, and must be %s %.4g %s: %s", math.Abs(l.Value), l.Unit, must, bound, l.Unit, what)
	case relative < thin:
		l.Warning = fmt.Sprintf("only %.2g %% to %.4g %s: %s (thin below %.3g %%)", 100*relative, bound, l.Unit, what, 100*thin)
	}
	return l
}

// crossed is whether the line leaves no value that would do.
func (l *Line) crossed() bool { return l.Margin != nil && l.Margin.Relative < 0 }

// doubt adds a warning to a line that has no narrower one.
func (l Line) doubt(doubtful bool, format string, values ...any) Line {
	if doubtful && l.Warning == "" {
		l.Warning = fmt.Sprintf(format, values...)
	}
	return l
}

// present says what rig or sequence have now, and what follows from it.
func (l Line) present(key string, value float64, fits bool, format string, values ...any) Line {
	l.Set = &Present{Key: key, Value: value, Unit: l.Unit, Fits: fits, Says: fmt.Sprintf(format, values...)}
	return l
}

// between says whether a present value lies between two bounds.
func (l Line) between(key string, value, low, high float64) Line {
	fits := low <= value && value <= high
	says := fmt.Sprintf("within %.4g to %.4g %s", low, high, l.Unit)
	switch {
	case low > high:
		says = "no value would do"
	case !fits:
		says = fmt.Sprintf("must be within %.4g to %.4g %s", low, high, l.Unit)
	}
	return l.present(key, value, fits, "%s", says)
}

// rounding is the share by which a figure that somebody typed may be short.
const rounding = 1e-3

// enough says whether a present value is at least what it must be.
func (l Line) enough(key string, value float64) Line {
	if value >= l.Value*(1-rounding) {
		return l.present(key, value, true, "enough")
	}
	return l.present(key, value, false, "must be at least %.4g %s", l.Value, l.Unit)
}
