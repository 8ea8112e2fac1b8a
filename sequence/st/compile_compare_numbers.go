package st

// The comparisons below are written out for variables (V), values that are known (K) and other
// expressions (E), as a call for each operand is most of what a comparison costs. >= is the
// opposite of < and <= that of >; no value is a NaN.

// compareInteger compares values that are ordered as int64.
func compareInteger(op string, x, y code) code {
	opposite := op == "<>" || op == ">=" || op == "<="
	switch op {
	case "=", "<>":
		return equalIntegers(x.i, y.i, opposite)
	case "<", ">=":
		return lessInteger(x, y, opposite)
	}
	if l, r := x.i, y.i; x.general() && y.general() { // in the order of the text
		return boolCode(func(m *run) bool { return (l(m) > r(m)) != opposite })
	}
	return lessInteger(y, x, opposite)
}

func equalIntegers(l, r func(*run) int64, opposite bool) code {
	return boolCode(func(m *run) bool { return (l(m) == r(m)) != opposite })
}

func lessInteger(x, y code, opposite bool) code {
	l, r, a, b := x.i, y.i, x.slot, y.slot
	switch {
	case a >= 0 && b >= 0:
		return boolCode(func(m *run) bool { return (int64(m.f[a]) < int64(m.f[b])) != opposite })
	case a >= 0 && y.known != nil:
		v := y.known.integer
		return boolCode(func(m *run) bool { return (int64(m.f[a]) < v) != opposite })
	case x.known != nil && b >= 0:
		v := x.known.integer
		return boolCode(func(m *run) bool { return (v < int64(m.f[b])) != opposite })
	}
	return boolCode(func(m *run) bool { return (l(m) < r(m)) != opposite })
}

func compareReal(op string, x, y code) code {
	opposite := op == "<>" || op == ">=" || op == "<="
	switch op {
	case "=", "<>":
		l, r := x.f, y.f
		return boolCode(func(m *run) bool { return (l(m) == r(m)) != opposite })
	case "<", ">=":
		return lessReal(x, y, opposite)
	}
	if l, r := x.f, y.f; x.general() && y.general() { // in the order of the text
		return boolCode(func(m *run) bool { return (l(m) > r(m)) != opposite })
	}
	return lessReal(y, x, opposite)
}

func lessReal(x, y code, opposite bool) code {
	l, r, a, b := x.f, y.f, x.slot, y.slot
	switch {
	case a >= 0 && b >= 0:
		return boolCode(func(m *run) bool { return (realOf(m.f[a]) < realOf(m.f[b])) != opposite })
	case a >= 0 && y.known != nil:
		v := y.known.real
		return boolCode(func(m *run) bool { return (realOf(m.f[a]) < v) != opposite })
	case x.known != nil && b >= 0:
		v := x.known.real
		return boolCode(func(m *run) bool { return (v < realOf(m.f[b])) != opposite })
	case y.known != nil:
		v := y.known.real
		return boolCode(func(m *run) bool { return (l(m) < v) != opposite })
	case x.known != nil:
		v := x.known.real
		return boolCode(func(m *run) bool { return (v < r(m)) != opposite })
	case b >= 0:
		return boolCode(func(m *run) bool { return (l(m) < realOf(m.f[b])) != opposite })
	case a >= 0:
		return boolCode(func(m *run) bool { return (realOf(m.f[a]) < r(m)) != opposite })
	}
	return boolCode(func(m *run) bool { return (l(m) < r(m)) != opposite })
}

// general is whether code is neither a variable nor known.
func (c code) general() bool { return c.slot < 0 && c.known == nil }
