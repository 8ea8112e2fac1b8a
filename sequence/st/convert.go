package st

import (
	"fmt"
	"math"
	"strings"
)

// convertible is whether a conversion between two kinds exists under the name FROM_TO_TO.
func convertible(from, to Kind) bool {
	plain := func(k Kind) bool { return k >= Bool && k <= String }
	whole := func(k Kind) bool { return k.integer() || k.bits() }
	switch {
	case !plain(from) || !plain(to) || from == to:
		return false
	case from == String || to == String:
		return true
	case from == Bool:
		return whole(to)
	case to == Bool:
		return whole(from)
	case from == Time:
		return to.number()
	case to == Time:
		return from.number()
	case from.bits() && to.real(), from.real() && to.bits():
		return sameWidth(from, to)
	}
	return true
}

// sameWidth is whether a bit string has as many bits as a real number, whose pattern it can be.
func sameWidth(a, b Kind) bool {
	return a == Dword && b == Real || a == Real && b == Dword || a == Lword && b == Lreal || a == Lreal && b == Lword
}

// convert compiles a conversion of a value from one type to another.
func (k *compiler) convert(c code, from, to *Type, at span) code {
	kind := from.kind
	if kind == Enum {
		kind = Lint
	}
	if kind == to.kind {
		return c
	}
	if kind == String || to.kind == String {
		return k.convertText(c, from, to.kind, at.from)
	}
	return fold(convertCode(c, kind, to.kind, at.from), to.kind, c)
}

func convertCode(c code, from, to Kind, at int32) code {
	get, unsigned := c.i, from == Ulint || from == Lword
	switch {
	case from == Bool:
		is := c.b
		return integerCode(func(r *run) int64 { return int64(bit(is(r))) }).purely(c)
	case to == Bool:
		return boolCode(func(r *run) bool { return get(r) != 0 }).purely(c)
	case from == Time:
		return fromTime(get, to, at)
	case to == Time:
		return toTime(c, unsigned, at)
	case from.bits() && to.real():
		return fromPattern(get, to, at)
	case from.real() && to.bits():
		return toPattern(c.f, to)
	case from.real() && to.real():
		f := c.f
		return realCode(func(r *run) float64 { return r.finite(f(r), to, at) })
	case from.real():
		return realToWhole(c.f, from, to, math.RoundToEven, at)
	case to.real():
		round := func(v float64) float64 { return v }
		if to == Real {
			round = func(v float64) float64 { return float64(float32(v)) }
		}
		return realCode(func(r *run) float64 { return round(integerToReal(get(r), unsigned)) }).purely(c)
	}
	wrap := wrapper(to)
	return integerCode(func(r *run) int64 { return wrap(get(r)) }).purely(c)
}

// realToWhole rounds and fails if the value does not fit. Conversions round to the nearest, a
// half to the even one (IEC 60559, which the standard refers to); TRUNC rounds toward zero.
func realToWhole(f func(*run) float64, from, to Kind, round func(float64) float64, at int32) code {
	low, high := float64(math.MinInt64), float64(math.MaxInt64) // the upper limit is one above
	switch l, h := to.limits(); {
	case to == Ulint:
		low, high = 0, float64(math.MaxUint64)
	case to.width() < 64:
		low, high = float64(l), float64(h)+1
	}
	return integerCode(func(r *run) int64 {
		x := f(r)
		v := round(x)
		if !(v >= low && v < high) {
			r.fail(at, fmt.Sprintf("%s does not fit into %s", realText(x, from), to))
		}
		if to == Ulint {
			return int64(uint64(v))
		}
		return int64(v)
	})
}

// nsPerMS is what a number of a TIME stands for: 1 ms (common practice; the standard leaves it
// open).
const nsPerMS = 1_000_000

func fromTime(get func(*run) int64, to Kind, at int32) code {
	if to.real() {
		return realCode(func(r *run) float64 { return r.finite(float64(get(r))/nsPerMS, to, at) })
	}
	low, high := to.limits()
	if to == Ulint {
		low, high = 0, math.MaxInt64
	}
	return integerCode(func(r *run) int64 {
		v := get(r) / nsPerMS
		if v < low || v > high {
			r.fail(at, fmt.Sprintf("%d ms do not fit into %s", v, to))
		}
		return v
	})
}

func toTime(c code, unsigned bool, at int32) code {
	if f := c.f; f != nil {
		return integerCode(func(r *run) int64 {
			v := f(r) * nsPerMS
			if math.Abs(v) >= math.MaxInt64 {
				r.fail(at, timeTooLong)
			}
			return int64(math.RoundToEven(v))
		})
	}
	get := c.i
	return integerCode(func(r *run) int64 {
		v := get(r)
		if v > math.MaxInt64/nsPerMS || v < math.MinInt64/nsPerMS || unsigned && v < 0 {
			r.fail(at, timeTooLong)
		}
		return v * nsPerMS
	})
}

// fromPattern takes a bit string as the bits of a real number.
func fromPattern(get func(*run) int64, to Kind, at int32) code {
	return realCode(func(r *run) float64 {
		v := math.Float64frombits(uint64(get(r)))
		if to == Real {
			v = float64(math.Float32frombits(uint32(get(r))))
		}
		if v-v != 0 {
			r.fail(at, "the bits are those of no finite number")
		}
		return v
	})
}

func toPattern(f func(*run) float64, to Kind) code {
	if to == Dword {
		return integerCode(func(r *run) int64 { return int64(math.Float32bits(float32(f(r)))) })
	}
	return integerCode(func(r *run) int64 { return int64(math.Float64bits(f(r))) })
}

// kindNamed is the elementary kind of a name in capitals.
func kindNamed(u string) Kind {
	for k := Bool; k <= String; k++ {
		if k.String() == u {
			return k
		}
	}
	return kindBad
}

// conversionFunction is the function of a name such as INT_TO_REAL, TO_INT, REAL_TRUNC_INT,
// TRUNC, WORD_BCD_TO_UINT or UINT_TO_BCD_WORD, or nil.
func conversionFunction(u string) *builtin {
	if u == "TRUNC" {
		return truncation(u, kindBad, Dint)
	}
	if to, ok := strings.CutPrefix(u, "TRUNC_"); ok {
		return truncation(u, kindBad, kindNamed(to))
	}
	if to, ok := strings.CutPrefix(u, "TO_"); ok {
		return overloadedConversion(u, kindNamed(to))
	}
	if a, b, ok := strings.Cut(u, "_TRUNC_"); ok {
		return truncation(u, kindNamed(a), kindNamed(b))
	}
	a, b, ok := strings.Cut(u, "_TO_")
	if !ok {
		return nil
	}
	if from, ok := strings.CutSuffix(a, "_BCD"); ok {
		return fromBCD(u, kindNamed(from), kindNamed(b))
	}
	if to, ok := strings.CutPrefix(b, "BCD_"); ok {
		return toBCD(u, kindNamed(a), kindNamed(to))
	}
	return conversion(u, kindNamed(a), kindNamed(b))
}
