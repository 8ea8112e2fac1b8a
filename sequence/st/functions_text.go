package st

import (
	"bytes"
	"fmt"
)

// stringFunctions count characters from 1. A negative length, or a place before the first
// character, fails; what reaches beyond the end takes what is there (common practice).
func stringFunctions() []builtin {
	return []builtin{
		length(), find(), concat(),
		textFunction("LEFT", []string{"IN", "L"}, func(to, in, _ []byte, l, _ int) []byte {
			return append(to, in[:min(l, len(in))]...)
		}),
		textFunction("RIGHT", []string{"IN", "L"}, func(to, in, _ []byte, l, _ int) []byte {
			return append(to, in[len(in)-min(l, len(in)):]...)
		}),
		textFunction("MID", []string{"IN", "L", "P"}, func(to, in, _ []byte, l, p int) []byte {
			from, end := part(in, l, p)
			return append(to, in[from:end]...)
		}),
		textFunction("DELETE", []string{"IN", "L", "P"}, func(to, in, _ []byte, l, p int) []byte {
			from, end := part(in, l, p)
			return append(append(to, in[:from]...), in[end:]...)
		}),
		textFunction("INSERT", []string{"IN1", "IN2", "P"}, func(to, in, more []byte, _, p int) []byte {
			p = min(p, len(in))
			return append(append(append(to, in[:p]...), more...), in[p:]...)
		}),
		textFunction("REPLACE", []string{"IN1", "IN2", "L", "P"}, func(to, in, more []byte, l, p int) []byte {
			from, end := part(in, l, p)
			return append(append(append(to, in[:from]...), more...), in[end:]...)
		}),
	}
}

// part is the first and the last place, the latter excluded, of l characters from p on.
func part(in []byte, l, p int) (from, end int) {
	from = min(p-1, len(in))
	return from, from + min(l, len(in)-from)
}

// textFunction has one or two strings, then a length L, a place P, or both.
func textFunction(name string, params []string, f func(to, in, more []byte, l, p int) []byte) builtin {
	return builtin{
		name: name, params: params,
		check: func(c *checker, e *callExpr) *Type { return c.textCall(e) },
		make: func(k *compiler, e *callExpr) code {
			all := k.exprs(e.params)
			from, to := k.scratch(2 * MaxStringLength)
			at := e.at.from
			return fold(textCode(func(r *run) []byte {
				in, more := all[0].s(r), []byte(nil)
				l, p := 0, 1
				for i, name := range params[1:] {
					switch name {
					case "IN2":
						more = all[i+1].s(r)
					case "L":
						l = r.position(all[i+1].i(r), 0, name, at)
					case "P":
						p = r.position(all[i+1].i(r), e.firstPlace(), name, at)
					}
				}
				text := f(r.text[from:from:to], in, more, l, p)
				return text[:min(len(text), MaxStringLength)]
			}), String, all...)
		},
	}
}

// firstPlace is the least P: INSERT counts the characters before, the others begin at 1.
func (e *callExpr) firstPlace() int64 {
	if e.builtin.name == "INSERT" {
		return 0
	}
	return 1
}

// position checks a length or a place.
func (r *run) position(v, least int64, name string, at int32) int {
	if v < least {
		r.fail(at, fmt.Sprintf("%s is %d; must be at least %d", name, v, least))
	}
	return int(min(v, MaxStringLength+1))
}

// textCall checks the parameters of a string function by their names.
func (c *checker) textCall(e *callExpr) *Type {
	ok := true
	for i, x := range e.params {
		t := c.value(x)
		switch name := e.builtin.param(i); {
		case t.kind == kindBad:
			ok = false
		case name == "L" || name == "P":
			c.settleDefault(x)
			if t = x.info().typ; !t.kind.integer() {
				c.src.errorf(x.info().at, "%s is an integer, the value is %s", name, t)
				ok = false
			}
		case t.kind != String:
			c.src.errorf(x.info().at, "%s is a STRING, the value is %s%s", name, t, c.conversionHint(x, t, c.elementary[String]))
			ok = false
		}
	}
	if !ok {
		return c.elementary[kindBad]
	}
	return c.stringOf(MaxStringLength)
}

func length() builtin {
	return builtin{
		name: "LEN", params: []string{"IN"},
		check: func(c *checker, e *callExpr) *Type {
			if t := c.textCall(e); t.kind == kindBad {
				return t
			}
			return c.elementary[Int]
		},
		make: func(k *compiler, e *callExpr) code {
			x := k.expr(e.params[0])
			get := x.s
			return fold(integerCode(func(r *run) int64 { return int64(len(get(r))) }).purely(x), Int, x)
		},
	}
}

// find is the place of the first string that equals the second, 0 if there is none.
func find() builtin {
	return builtin{
		name: "FIND", params: []string{"IN1", "IN2"},
		check: func(c *checker, e *callExpr) *Type {
			if t := c.textCall(e); t.kind == kindBad {
				return t
			}
			return c.elementary[Int]
		},
		make: func(k *compiler, e *callExpr) code {
			x, y := k.expr(e.params[0]), k.expr(e.params[1])
			l, r := x.s, y.s
			return fold(integerCode(func(m *run) int64 {
				in, what := l(m), r(m)
				if len(what) == 0 {
					return 0
				}
				return int64(bytes.Index(in, what) + 1)
			}).purely(x, y), Int, x, y)
		},
	}
}

func concat() builtin {
	return builtin{
		name: "CONCAT", params: []string{"IN1", "IN2"}, more: true,
		check: func(c *checker, e *callExpr) *Type { return c.textCall(e) },
		make: func(k *compiler, e *callExpr) code {
			all := k.exprs(e.params)
			from, to := k.scratch(MaxStringLength)
			return fold(textCode(func(r *run) []byte {
				text := r.text[from:from:to]
				for _, c := range all {
					more := c.s(r)
					text = append(text, more[:min(len(more), to-from-len(text))]...)
				}
				return text
			}), String, all...)
		},
	}
}
