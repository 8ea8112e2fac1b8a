package st

import "bytes"

// compareCode compares two values of one kind.
func compareCode(op string, k Kind, x, y code) code {
	switch {
	case k == Bool:
		return compareBool(op, x.b, y.b)
	case k.real():
		return compareReal(op, x, y)
	case k == String:
		l, r, test := x.s, y.s, ordering(op)
		return boolCode(func(m *run) bool {
			a := l(m)
			return test(bytes.Compare(a, r(m)))
		})
	case k == Ulint || k == Lword:
		return compareUnsigned(op, x.i, y.i)
	case x.slot >= 0 && y.known != nil && (op == "=" || op == "<>"):
		return conjunction{terms: []term{{x.slot, uint64(y.known.integer), op == "<>"}}}.code()
	}
	return compareInteger(op, x, y)
}

// ordering turns the result of a comparison, -1, 0 or 1, into that of an operator.
func ordering(op string) func(int) bool {
	switch op {
	case "=":
		return func(c int) bool { return c == 0 }
	case "<>":
		return func(c int) bool { return c != 0 }
	case "<":
		return func(c int) bool { return c < 0 }
	case "<=":
		return func(c int) bool { return c <= 0 }
	case ">":
		return func(c int) bool { return c > 0 }
	}
	return func(c int) bool { return c >= 0 }
}

func compareBool(op string, l, r func(*run) bool) code {
	switch op {
	case "=":
		return boolCode(func(m *run) bool { return l(m) == r(m) })
	case "<>":
		return boolCode(func(m *run) bool { return l(m) != r(m) })
	}
	test := ordering(op)
	return boolCode(func(m *run) bool { return test(int(bit(l(m))) - int(bit(r(m)))) })
}

func compareUnsigned(op string, l, r func(*run) int64) code {
	switch op {
	case "=", "<>":
		return equalIntegers(l, r, op == "<>")
	case "<":
		return boolCode(func(m *run) bool { return uint64(l(m)) < uint64(r(m)) })
	case "<=":
		return boolCode(func(m *run) bool { return uint64(l(m)) <= uint64(r(m)) })
	case ">":
		return boolCode(func(m *run) bool { return uint64(l(m)) > uint64(r(m)) })
	}
	return boolCode(func(m *run) bool { return uint64(l(m)) >= uint64(r(m)) })
}
