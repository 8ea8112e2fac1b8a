package trend

import (
	"fmt"
	"math"
	"slices"
	"strconv"
)

// farLimit is how many times away from all tests a limit is doubtful. A movement is often an increment of the
// encoder, and its limit a window of hundreds.
func (q *Quantity) farLimit() float64 {
	if q.Of == "movement_deg" {
		return 1000
	}
	return 20
}

// DoubtLimit compares the limit of the command line with the values of the tests, for a slip of its unit. The
// error is of a limit that every test is past by far, the note of one that every test is past, or is far from.
func (s *Series) DoubtLimit() (note string, err error) {
	l := s.Limit
	if l == nil || l.From != FromFlag || len(s.Values) == 0 {
		return "", nil
	}
	low, high, far := slices.Min(s.Values), slices.Max(s.Values), s.Quantity.farLimit()
	tests := fmt.Sprintf("the tests have %.4g to %.4g %s", low, high, s.Quantity.Unit)
	switch {
	case l.High > 0 && l.High*far < low:
		return "", fmt.Errorf("%s=%g is less than 1/%g of every test: %s; %s", s.Quantity.Name, l.High, far, tests, s.likely(l.High))
	case l.Low > high*far && high > 0:
		return "", fmt.Errorf("%s=%g.. is more than %g times every test: %s; %s", s.Quantity.Name, l.Low, far, tests, s.likely(l.Low))
	case l.High <= low, l.Low >= high:
		return fmt.Sprintf("every test is past the limit of %s: %s", s.Quantity.Name, tests), nil
	case high > 0 && !math.IsInf(l.High, 1) && l.High > high*far:
		return fmt.Sprintf("the limit %g of %s is more than %g times every test: %s; %s", l.High, s.Quantity.Name, far, tests, s.likely(l.High)), nil
	}
	return "", nil
}

// likely is the limit in the unit of the quantity that a limit in another unit would be, where that is near the
// tests.
func (s *Series) likely(limit float64) string {
	low, high := slices.Min(s.Values), slices.Max(s.Values)
	for _, u := range s.Quantity.otherUnits() {
		if x := limit * u.factor; x >= low/2 && x <= 20*high {
			text := strconv.FormatFloat(x, 'g', 4, 64)
			return fmt.Sprintf("must be in %s: %g %s are %s=%s", s.Quantity.Unit, limit, u.name, s.Quantity.Name, text)
		}
	}
	return "must be in " + s.Quantity.Unit
}

// otherUnit is a unit that is taken by mistake, and what makes that of the quantity of it.
type otherUnit struct {
	name   string
	factor float64
}

func (q *Quantity) otherUnits() []otherUnit {
	switch q.Unit {
	case "ms":
		return []otherUnit{{"s", 1000}, {"µs", 1e-3}}
	case "mm":
		return []otherUnit{{"m", 1000}, {"µm", 1e-3}}
	case "A":
		return []otherUnit{{"mA", 1e-3}}
	case "deg":
		return []otherUnit{{"rad", 180 / math.Pi}, {"mdeg", 1e-3}}
	}
	return []otherUnit{{"rad/(N·m)", 180 / math.Pi}}
}
