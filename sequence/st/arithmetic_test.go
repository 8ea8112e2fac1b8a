package st_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// whole are the integer types of Go.
type whole interface {
	~int8 | ~int16 | ~int32 | ~int64 | ~uint8 | ~uint16 | ~uint32 | ~uint64
}

// The arithmetic of every integer type is that of Go's type of the same size, which wraps around
// and truncates toward zero too.
func TestIntegersAgainstGo(t *testing.T) {
	t.Parallel()
	againstGo[int8](t, "SINT", true)
	againstGo[int16](t, "INT", true)
	againstGo[int32](t, "DINT", true)
	againstGo[int64](t, "LINT", true)
	againstGo[uint8](t, "USINT", false)
	againstGo[uint16](t, "UINT", false)
	againstGo[uint32](t, "UDINT", false)
	againstGo[uint64](t, "ULINT", false)
}

func againstGo[T whole](t *testing.T, kind string, signed bool) {
	t.Helper()
	negative := "n := a;"
	if signed {
		negative = "n := -a;"
	}
	m := machine(t, fmt.Sprintf(`PROGRAM p VAR a, b, sum, dif, prod, quot, rem, low, n : %s; less, equal, most : BOOL; back : %s; s : STRING; END_VAR
sum := a + b; dif := a - b; prod := a * b;
IF b <> 0 THEN quot := a / b; rem := a MOD b; END_IF;
less := a < b; equal := a = b; most := a >= b; low := MIN(a, b); %s
s := %s_TO_STRING(a); back := STRING_TO_%s(s);
END_PROGRAM`, kind, kind, negative, kind, kind))
	random := rand.New(rand.NewPCG(5, 6))
	special := []T{0, 1, 2, 7, T(0) - 1, T(0) - 2}
	if signed {
		low := T(1)
		for low > 0 {
			low *= 2
		}
		special = append(special, low, low+1, low-1)
	}
	pick := func() T {
		if random.IntN(2) == 0 {
			return special[random.IntN(len(special))]
		}
		return T(random.Uint64())
	}
	for range 300 {
		a, b := pick(), pick()
		m.set("a", int(a))
		m.set("b", int(b))
		m.scan()
		want := map[string]any{
			"sum": a + b, "dif": a - b, "prod": a * b, "low": min(a, b), "back": a, "s": fmt.Sprintf("'%d'", a),
			"less": a < b, "equal": a == b, "most": a >= b,
		}
		if signed {
			want["n"] = -a
		}
		if b != 0 {
			want["quot"], want["rem"] = a/b, a%b
		}
		for path, v := range want {
			text := fmt.Sprint(v)
			if is, ok := v.(bool); ok {
				text = map[bool]string{true: "TRUE", false: "FALSE"}[is]
			}
			require.Equal(t, text, m.get(path), "%s: %s of %d and %d", kind, path, a, b)
		}
	}
}

// REAL is Go's float32, in every step.
func TestRealAgainstGo(t *testing.T) {
	t.Parallel()
	m := machine(t, `PROGRAM p VAR a, b, c, x : REAL; END_VAR x := (a * b + c) / (ABS(a) + 1.0) - b; END_PROGRAM`)
	random := rand.New(rand.NewPCG(7, 8))
	for range 1000 {
		a, b, c := float32(random.NormFloat64()), float32(1e3*random.NormFloat64()), float32(random.NormFloat64())
		m.set("a", float64(a))
		m.set("b", float64(b))
		m.set("c", float64(c))
		m.scan()
		product := a * b
		sum := product + c
		divisor := max(a, -a) + 1
		quotient := sum / divisor
		require.Equal(t, float64(quotient-b), m.Real(m.ref("x")))
	}
}
