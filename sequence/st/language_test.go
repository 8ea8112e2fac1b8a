package st_test

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// run runs a program for one scan and compares variables.
func run(t *testing.T, text string, want map[string]string) *bench {
	t.Helper()
	m := machine(t, text)
	m.scan()
	for path, value := range want {
		require.Equal(t, value, m.get(path), path)
	}
	return m
}

func TestStatements(t *testing.T) {
	t.Parallel()
	run(t, `
PROGRAM p
VAR a, b, c, d, e, f, g, i, j, n : INT; u : USINT; s : SINT; sub : INT (0..9); sum : INT; END_VAR
IF FALSE THEN a := 1; ELSIF TRUE THEN a := 2; ELSIF TRUE THEN a := 3; ELSE a := 4; END_IF;
CASE 7 OF 1, 3: b := 1; 5..8: b := 2; ELSE b := 3; END_CASE;
CASE -3 OF -5..-3: c := 1; 0: c := 2; END_CASE;
CASE 20000 OF 0: d := 1; 10000..30000: d := 2; 32767: d := 3; ELSE d := 4; END_CASE;
FOR i := 1 TO 10 DO
  IF i = 3 THEN CONTINUE; END_IF;
  IF i = 6 THEN EXIT; END_IF;
  e := e + i;
END_FOR;
FOR j := 10 TO 1 BY -3 DO f := f * 10 + j; END_FOR;
FOR j := 5 TO 4 DO f := -1; END_FOR;
FOR u := 250 TO 255 DO g := g + 1; END_FOR; (* ends at the limit of the type *)
FOR s := -128 TO 127 BY 100 DO g := g + 10; END_FOR;
FOR sub := 0 TO 9 DO sum := sum + sub; END_FOR;
WHILE n < 5 DO n := n + 1; IF n = 4 THEN EXIT; END_IF; END_WHILE;
REPEAT n := n + 10; CONTINUE; UNTIL n > 30 END_REPEAT;
IF n > 0 THEN RETURN; END_IF;
a := 99;
END_PROGRAM`, map[string]string{
		"a": "2", "b": "2", "c": "1", "d": "2", "e": "12", "f": "10741", "g": "36", "sum": "45", "n": "34", "i": "6", "j": "5", "u": "255",
	})
}

func TestTypesAndInitialValues(t *testing.T) {
	t.Parallel()
	run(t, `
TYPE
  State : (Ready, Travel := 5, Clamp) := Travel;
  Code : USINT (Low := 10, High := 20);
  Level : INT (5..10);
  Point : STRUCT x : REAL := 1.5; y : REAL; END_STRUCT;
  Line : STRUCT from, till : Point := (y := 2.0); name : STRING[4] := 'lines'; END_STRUCT := (name := 'L');
  Speed : REAL := 3.0;
  Grid : ARRAY [0..1, 1..3] OF INT := [1, 2, 3, 4, 5, 6];
END_TYPE
PROGRAM p
VAR CONSTANT N : INT := 2 * 3; HALF : REAL := N / 4.0; END_VAR
VAR
  s : State; s2 : State := State#Clamp; code : Code; level : Level; l : Line; l2 : Line := (till := (x := 9.0)); v : Speed;
  g : Grid; a : ARRAY [-1..N] OF INT := [7, 3(1), 2()]; p : ARRAY [1..2] OF Point := [(x := 8.0), (y := 4.0)];
  t : TON := (PT := T#5s); ts : ARRAY [1..2] OF TON := [2((PT := T#1s))]; color : (Red, Green);
  quarter : REAL := HALF; i, j : INT; b : BOOL; other : Grid; k : Point;
END_VAR
i := g[1, 2]; g[0, 3] := 30; j := g[i - 5, 3];
other := g; k := p[2]; k.x := 100.0;
b := s = Travel AND s2 <> Ready AND code = Low AND color = Red;
END_PROGRAM`, map[string]string{
		"s": "Travel", "s2": "Clamp", "code": "Low", "level": "5", "l.from.x": "1.5", "l.from.y": "2.0", "l.name": "'L'", "l2.till.x": "9.0", "l2.till.y": "2.0",
		"l2.name": "'L'", "v": "3.0", "a[-1]": "7", "a[0]": "1", "a[2]": "1", "a[3]": "0", "p[1].x": "8.0", "p[2].x": "1.5", "p[2].y": "4.0", "t.PT": "T#5s", "ts[2].PT": "T#1s",
		"quarter": "1.5", "i": "5", "j": "30", "other[0, 3]": "30", "k.x": "100.0", "k.y": "4.0", "b": "TRUE", "color": "Red",
	})
}

func TestCalls(t *testing.T) {
	t.Parallel()
	m := run(t, `
FUNCTION Sum : INT
VAR_INPUT a : INT; b : INT := 10; END_VAR
VAR_OUTPUT twice : DINT; END_VAR
VAR n : INT := 1; END_VAR
VAR_TEMP m : INT := 2; END_VAR
n := n + 1; m := m + 1;      (* both begin anew in each call *)
Sum := a + b + n + m - 5;
twice := 2 * Sum;
END_FUNCTION
FUNCTION Swap
VAR_IN_OUT x, y : INT; END_VAR
VAR t : INT; END_VAR
t := x; x := y; y := t;
END_FUNCTION
FUNCTION Longest : STRING
VAR_INPUT a, b : STRING; END_VAR
Longest := SEL(LEN(a) < LEN(b), a, b);
END_FUNCTION
TYPE Point : STRUCT x, y : INT; END_STRUCT; END_TYPE
FUNCTION Make : Point
VAR_INPUT x, y : INT; END_VAR
Make.x := x; Make.y := y;
END_FUNCTION
FUNCTION Norm : INT
VAR_INPUT p : Point; END_VAR
Norm := ABS(p.x) + ABS(p.y);
END_FUNCTION
FUNCTION_BLOCK Counter
VAR_INPUT step : INT := 1; END_VAR
VAR_IN_OUT total : INT; END_VAR
VAR_OUTPUT n : INT; odd : BOOL; END_VAR
VAR_TEMP fresh : INT; END_VAR
fresh := fresh + 1;
n := n + step * fresh;
total := total + step;
odd := n MOD 2 = 1;
END_FUNCTION_BLOCK
FUNCTION_BLOCK Outer
VAR_INPUT k : INT; END_VAR
VAR inner : ARRAY [1..2] OF Counter; all : INT; END_VAR
inner[k](step := Sum(k, 0), total := all);
inner[k].step := 3;
inner[k](total := all);
END_FUNCTION_BLOCK
PROGRAM p
VAR a, b, c, d, i, x : INT; w : DINT; c1, c2 : Counter; even, o : BOOL; out : Outer; s : STRING; pt : Point; many : ARRAY [0..1] OF INT := [3, 4]; END_VAR
a := Sum(1, 2);
b := Sum(a := Sum(a := 5, b := Sum(1, 1)), twice => w);
c := 7; d := 8;
Swap(c, d);
Swap(many[0], many[1]);
c1(step := 2, total := x, NOT odd => even);
c1(total := x);
c2(total := x, odd => o, n => i);
out(k := 2);
s := CONCAT(Longest('abc', 'de'), Longest('x', 'yz'));
pt := Make(3, -4);
b := b + Norm(Make(-1, 2)) + Norm(pt);
END_PROGRAM`, map[string]string{
		"a": "3", "w": "34", "b": "27", "c": "8", "d": "7", "many[0]": "4", "c1.n": "4", "c2.n": "1", "even": "TRUE", "o": "TRUE", "x": "5", "i": "1",
		"out.inner[2].n": "5", "out.inner[1].n": "0", "out.all": "5", "s": "'abcyz'", "pt.y": "-4",
	})
	m.scan()
	require.Equal(t, "8", m.get("c1.n"))
	require.Equal(t, "10", m.get("out.all"))
}

// Both sides of AND and OR are evaluated, so that a fault on the right shows at once and not on
// the day when the left is TRUE.
func TestLogicEvaluatesBothSides(t *testing.T) {
	t.Parallel()
	err := fails(t, `PROGRAM p VAR a : ARRAY [1..3] OF BOOL; i : INT := 4; b : BOOL; END_VAR
b := i <= 3 AND a[i];
END_PROGRAM`)
	require.EqualError(t, err, "test.st:2:19: the index is 4, which is outside 1..3")
}

// What has no right result stops the program, with its place.
func TestRuntimeErrors(t *testing.T) {
	t.Parallel()
	const declared = `TYPE Level : INT (0..100); END_TYPE
PROGRAM p VAR i, z : INT := 0; d : DINT := 100000; r, rz : REAL := 0.0; big : REAL := 3.0E38; a : ARRAY [1..3, 0..1] OF INT; l : Level; u : ULINT := 18446744073709551615; t : TIME := T#200d; s : STRING; w : WORD := 16#FFFF; END_VAR
`
	for _, c := range []struct{ statement, want string }{
		{"i := 1 / z;", "3:8: this divides by zero"},
		{"i := 1 MOD z;", "3:8: this divides by zero"},
		{"r := 1.0 / rz;", "3:6: this divides by zero"},
		{"t := t / z;", "3:6: this divides by zero"},
		{"r := big * 10.0;", "3:6: the result is too large for its type"},
		{"i := a[z, 0];", "3:8: the index is 0, which is outside 1..3"},
		{"a[1, d] := 5;", "3:6: the index is 100000, which is outside 0..1"},
		{"i := a[1, u];", "outside 0..1"},
		{"l := 101 + z;", "3:6: the value is 101, which is outside Level (0..100)"},
		{"FOR l := 95 TO 105 DO ; END_FOR;", "3:1: the value is 101, which is outside Level (0..100)"},
		{"r := SQRT(rz - 1.0);", "3:6: SQRT of a negative number: -1"},
		{"r := LN(rz);", "3:6: LN of a number that is not above zero: 0"},
		{"r := ASIN(rz + 1.5);", "3:6: ASIN of a number outside -1..1: 1.5"},
		{"r := EXP(big);", "3:6: the result is too large for its type"},
		{"r := rz ** -1;", "3:6: this divides by zero"},
		{"r := (rz - 1.0) ** 0.5;", "3:6: a negative base has no power with a fraction"},
		{"i := REAL_TO_INT(r + 40000.0);", "3:6: 40000.0 does not fit into INT"},
		{"i := TIME_TO_INT(t);", "3:6: 17280000000 ms do not fit into INT"},
		{"t := t * d;", "3:6: the TIME is longer than 292 years"},
		{"i := MUX(z - 1, 1, 2);", "3:10: K is -1; must be from 0 to 1"},
		{"i := STRING_TO_INT('x1');", "3:6: 'x1' is no INT"},
		{"s := LEFT(s, z - 1);", "3:6: L is -1; must be at least 0"},
		{"s := MID(s, 1, z);", "3:6: P is 0; must be at least 1"},
		{"w := SHL(w, z - 1);", "3:13: N is negative"},
		{"i := UINT_TO_INT(WORD_BCD_TO_UINT(w));", "3:18: 16#FFFF is no BCD number"},
		{"FOR i := 1 TO 10 BY z DO ; END_FOR;", "3:1: a step of 0 never ends"},
		{"WHILE TRUE DO ; END_WHILE;", "3:1: the scan takes more steps than its budget allows"},
		{"REPEAT i := i + 1; UNTIL FALSE END_REPEAT;", "the scan takes more steps than its budget allows"},
		{"FOR d := 0 TO 2147483647 DO ; END_FOR;", "3:1: the scan takes more steps than its budget allows"},
		{"r := DWORD_TO_REAL(16#7F800000 OR WORD_TO_DWORD(w));", "the bits are those of no finite number"},
	} {
		require.ErrorContains(t, fails(t, declared+c.statement+"\nEND_PROGRAM"), c.want, c.statement)
	}
}

// Operands are read from the left, also where a FUNCTION changes a variable on its way.
func TestOperandsFromTheLeft(t *testing.T) {
	t.Parallel()
	run(t, `
FUNCTION Next : INT VAR_IN_OUT x : INT; END_VAR x := x + 1; Next := x; END_FUNCTION
FUNCTION Grow : REAL VAR_IN_OUT x : REAL; END_VAR x := x * 2.0; Grow := x; END_FUNCTION
PROGRAM p VAR a, b, c, d, e, f, g, h : BOOL; i, j : INT; r, q : REAL := 1.0; END_VAR
a := i < Next(i); b := Next(i) > i; c := Next(i) >= i; d := i <> Next(i);
e := r < Grow(r); f := Grow(r) > r; g := Grow(r) <= r;
j := i + Next(i) * 10;
q := r - Grow(r);
END_PROGRAM`, map[string]string{
		"a": "TRUE", "b": "FALSE", "c": "TRUE", "d": "TRUE", "e": "TRUE", "f": "FALSE", "g": "TRUE", "j": "54", "q": "-8.0",
	})
}
