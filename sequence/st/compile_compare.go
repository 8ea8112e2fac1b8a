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
	case x.slot >= 0 && y.known != nil:
		return compareSlot(op, x.slot, y.known.integer)
	}
	return compareInteger(op, x.i, y.i)
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

func compareInteger(op string, l, r func(*run) int64) code {
	switch op {
	case "=":
		return boolCode(func(m *run) bool { return l(m) == r(m) })
	case "<>":
		return boolCode(func(m *run) bool { return l(m) != r(m) })
	case "<":
		return boolCode(func(m *run) bool { return l(m) < r(m) })
	case "<=":
		return boolCode(func(m *run) bool { return l(m) <= r(m) })
	case ">":
		return boolCode(func(m *run) bool { return l(m) > r(m) })
	}
	return boolCode(func(m *run) bool { return l(m) >= r(m) })
}

// compareSlot compares a variable with a value, which is most of what a step chain does.
func compareSlot(op string, o int, v int64) code {
	switch op {
	case "=":
		return boolCode(func(m *run) bool { return int64(m.f[o]) == v })
	case "<>":
		return boolCode(func(m *run) bool { return int64(m.f[o]) != v })
	case "<":
		return boolCode(func(m *run) bool { return int64(m.f[o]) < v })
	case "<=":
		return boolCode(func(m *run) bool { return int64(m.f[o]) <= v })
	case ">":
		return boolCode(func(m *run) bool { return int64(m.f[o]) > v })
	}
	return boolCode(func(m *run) bool { return int64(m.f[o]) >= v })
}

func compareUnsigned(op string, l, r func(*run) int64) code {
	switch op {
	case "=", "<>":
		return compareInteger(op, l, r)
	case "<":
		return boolCode(func(m *run) bool { return uint64(l(m)) < uint64(r(m)) })
	case "<=":
		return boolCode(func(m *run) bool { return uint64(l(m)) <= uint64(r(m)) })
	case ">":
		return boolCode(func(m *run) bool { return uint64(l(m)) > uint64(r(m)) })
	}
	return boolCode(func(m *run) bool { return uint64(l(m)) >= uint64(r(m)) })
}

func compareReal(op string, x, y code) code {
	l, r := x.f, y.f
	switch op {
	case "=":
		return boolCode(func(m *run) bool { return l(m) == r(m) })
	case "<>":
		return boolCode(func(m *run) bool { return l(m) != r(m) })
	case "<":
		return boolCode(func(m *run) bool { return l(m) < r(m) })
	case "<=":
		return boolCode(func(m *run) bool { return l(m) <= r(m) })
	case ">":
		return boolCode(func(m *run) bool { return l(m) > r(m) })
	}
	return boolCode(func(m *run) bool { return l(m) >= r(m) })
}

// logicCode evaluates both sides, as many controllers do, so that a fault on the right shows
// whatever the left is. The right side is left out where nobody can notice.
func logicCode(op string, x, y code) code {
	l, r := x.b, y.b
	switch {
	case op == "XOR":
		return boolCode(func(m *run) bool { return l(m) != r(m) }).purely(x, y)
	case op == "AND" && y.pure:
		return andCode(x, y).purely(x)
	case op == "AND":
		return boolCode(func(m *run) bool {
			a, b := l(m), r(m)
			return a && b
		})
	case y.pure && y.slot >= 0:
		o := y.slot
		return boolCode(func(m *run) bool { return l(m) || m.f[o] != 0 }).purely(x)
	case y.pure:
		return boolCode(func(m *run) bool { return l(m) || r(m) }).purely(x)
	}
	return boolCode(func(m *run) bool {
		a, b := l(m), r(m)
		return a || b
	})
}

func andCode(x, y code) code {
	l, r := x.b, y.b
	switch {
	case x.slot >= 0 && y.slot >= 0:
		a, b := x.slot, y.slot
		return boolCode(func(m *run) bool { return m.f[a] != 0 && m.f[b] != 0 })
	case x.slot >= 0:
		a := x.slot
		return boolCode(func(m *run) bool { return m.f[a] != 0 && r(m) })
	case y.slot >= 0:
		b := y.slot
		return boolCode(func(m *run) bool { return l(m) && m.f[b] != 0 })
	}
	return boolCode(func(m *run) bool { return l(m) && r(m) })
}

func bitLogic(op string, x, y code) code {
	l, r := x.i, y.i
	switch op {
	case "AND":
		return integerCode(func(m *run) int64 { return l(m) & r(m) })
	case "OR":
		return integerCode(func(m *run) int64 { return l(m) | r(m) })
	}
	return integerCode(func(m *run) int64 { return l(m) ^ r(m) })
}
