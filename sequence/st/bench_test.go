package st_test

import "testing"

// BenchmarkParts measures the statements of a scan one by one.
func BenchmarkParts(b *testing.B) {
	const declared = `TYPE State : (A, B, C, D, E); END_TYPE
PROGRAM p VAR x, y, z, w : BOOL; i, j : INT; r, q : REAL := 1.5; s : State; t : TON; END_VAR `
	for _, c := range []struct{ name, body string }{
		{"empty", ""},
		{"assign", "x := y;"},
		{"ten_assigns", "x := y; x := y; x := y; x := y; x := y; x := y; x := y; x := y; x := y; x := y;"},
		{"compare", "x := i > 5;"},
		{"real", "x := ABS(r - 3.5) <= 2.0;"},
		{"and", "x := y AND z AND i > 5 AND NOT w;"},
		{"if", "IF x OR y OR z THEN s := A; END_IF;"},
		{"case", "CASE s OF A: x := y; B: x := z; C: x := w; END_CASE;"},
		{"timer", "t(IN := x, PT := T#5s);"},
		{"timer_on", "t(IN := TRUE, PT := T#5s);"},
	} {
		m := machine(b, declared+c.body+" END_PROGRAM")
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				_ = m.Scan(m.now)
			}
		})
	}
}
