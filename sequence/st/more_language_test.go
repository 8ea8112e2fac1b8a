package st_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
	"holdbench/sequence/st"
)

// Comments of all kinds, nested or not, pragmas, and names in any case.
func TestComments(t *testing.T) {
	t.Parallel()
	run(t, "\ufeff"+`{attribute 'x'} program P // to the end (* of the line
VAR (* a (* nested (* twice *) *) comment ** / *) A : INT; /* another /* nested */ one */ END_VAR
{warning disable} a/**/:=/* */1(**)+(* + 5 *)2; // last`+"\r\nend_PROGRAM // no line follows", map[string]string{"a": "3"})
}

// The rest of the language, each part where it is least usual.
func TestCorners(t *testing.T) {
	t.Parallel()
	run(t, `
TYPE
  Colour : DWORD (Red := 16#FF0000, Green := 16#00FF00); Other : Colour := Green; Step : USINT (One := 1, Two); Pair : STRUCT a, b : INT; END_STRUCT
  Index : (First, Second) ; Nest : STRUCT p : ARRAY [1..2] OF Pair; n : STRUCT x : REAL := 2.5; END_STRUCT; (* inner *) END_STRUCT;
END_TYPE
FUNCTION_BLOCK Ramp
VAR_INPUT step : INT := 1; p : Pair; END_VAR
VAR_OUTPUT value : INT; pair : Pair; name : STRING; END_VAR
value := value + step; pair := p; pair.a := pair.a + 1; name := 'ramp';
END_FUNCTION_BLOCK
FUNCTION_BLOCK Empty END_FUNCTION_BLOCK
FUNCTION Touch VAR_IN_OUT t : TON; n : ARRAY [1..2] OF INT; END_VAR t(IN := TRUE, PT := T#1s); n[2] := n[2] + 1; END_FUNCTION
FUNCTION Total : DINT VAR_INPUT n : Nest; END_VAR VAR i : INT; END_VAR FOR i := 1 TO 2 DO Total := Total + n.p[i].a; END_FOR; END_FUNCTION
PROGRAM p
VAR CONSTANT WIDTH : INT := ABS(-3) + SEL(TRUE, 1, LEN('ab')) + MUL(2, 3) + MOVE(1); HALF : LREAL := SQRT(0.25) * (1.5 - 0.5) / 1.0; NAME : STRING := CONCAT('a', 'bc'); END_VAR
VAR
  c : Colour := Green; o : Other; s : Step := Two; dw : DWORD; n, n2 : INT; d : DINT; ramps : ARRAY [0..1] OF Ramp; nest, nest2 : Nest; pair : Pair; text : STRING[3];
  t : TON; list : ARRAY [1..2] OF INT; wide : ARRAY [1..WIDTH] OF INT; e : ARRAY [1..3] OF Empty; l : LINT; r : LREAL; q : REAL; b, b2 : BOOL; i : INT; many : LREAL; w : WORD;
  ul : ULINT := 18446744073709551615; k : LINT; u : ULINT; rr : REAL; tm : TIME := T#1s;
END_VAR
dw := c; dw := dw OR TO_DWORD(Red); n := s; b := c = Green AND o = Colour#Green;
ramps[n - 1](step := 5, p := (nest.p[1]), value => d, pair => pair, name => text);
ramps[0](1, pair); (* by position *)
nest.p[2].a := 7; nest.p[1].b := 4; nest2 := nest; many := Total(nest2); nest2.n.x := 1.0;
Touch(t, list); Touch(t := t, n := list);
e[2]();
ABS(n); SQRT(2.5); GT(1, 2); LEFT('abc', 1); Total(nest);
wide[WIDTH] := n; wide[-1 + 2] := 5; n2 := wide[WIDTH] + wide[ONE];
CASE ul OF 18446744073709551615: l := 1; 0..10: l := 2; END_CASE;
CASE w OF 16#0: l := l + 10; END_CASE;
CASE n OF ELSE l := l + 100; END_CASE;
FOR k := 9223372036854775806 TO 9223372036854775807 DO l := l + 1000; END_FOR;
FOR u := 18446744073709551614 TO 18446744073709551615 DO l := l + 10000; END_FOR;
FOR k := -9223372036854775807 TO -9223372036854775808 BY -1 DO l := l + 100000; END_FOR;
(* REAL throughout, as q is: pi/2 + 1 + 2 + 1 *)
r := ATAN2(1.0, 0.0) + ATAN2(Y := q, X := 1.0) + EXP(0.0) + LN(1.0) + LOG(100.0) + SIN(q) + COS(q) + TAN(q) + ASIN(q) + ACOS(1.0) + ATAN(q);
b2 := (SEL(b, 1, 2)) = 2 AND MAX(1, 2) > 1.5 AND NOT (1 > 2) AND +n = n AND 16#0F <> BYTE#16#F0 AND b = TRUE AND FALSE < TRUE AND 'b' >= 'a' AND 'a' <> 'b' AND 'b' > 'a' AND 'a' <= 'a';
rr := SEL(b, 1, 2.5); rr := MAX(rr, 1);
IF b THEN ; END_IF;
tm := -tm + tm * 3.5 / 0.5;
WHILE TRUE DO WHILE TRUE DO EXIT; END_WHILE; i := i + 1; IF i > 3 THEN RETURN; END_IF; END_WHILE;
END_PROGRAM`, map[string]string{
		"dw": "16#00FFFF00", "n": "2", "b": "TRUE", "d": "5", "pair.a": "1", "text": "'ram'", "ramps[0].value": "1", "ramps[0].pair.a": "2", "nest2.p[2].a": "7", "many": "7.0",
		"nest.n.x": "2.5", "nest2.n.x": "1.0", "list[2]": "2", "t.IN": "TRUE", "n2": "7", "l": "222111", "b2": "TRUE", "r": "5.570796489715576", "WIDTH": "12", "HALF": "0.5", "NAME": "'abc'",
		"rr": "2.5", "tm": "T#6s", "i": "4",
	})
}

// Bounds of a text: its length, its nesting, its problems, and the memory that it declares.
func TestLimits(t *testing.T) {
	t.Parallel()
	within := func(text, want string) {
		_, _, err := st.Compile("p", text)
		require.ErrorContains(t, err, want)
		require.LessOrEqual(t, len(problem.Of(err)), 102)
	}
	const begin, end = "PROGRAM p VAR i : INT; b : BOOL; END_VAR ", " END_PROGRAM"
	within(strings.Repeat(" ", st.MaxSource+1), "the file has 1048577 bytes; must be at most 1048576")
	within(begin+"i := "+strings.Repeat("(", 200)+"1"+strings.Repeat(")", 200)+";"+end, "nested more than 100 deep")
	within(begin+"b := "+strings.Repeat("NOT ", 200)+"b;"+end, "nested more than 100 deep")
	within(begin+strings.Repeat("IF b THEN ", 200)+strings.Repeat("END_IF; ", 200)+end, "nested more than 100 deep")
	within(begin+"i := "+strings.Repeat("ABS(", 200)+"1"+strings.Repeat(")", 200)+";"+end, "nested more than 100 deep")
	within(begin+"i"+strings.Repeat("[1]", 200)+" := 1;"+end, "nested more than 100 deep")
	within(begin+"i := 1"+strings.Repeat(" + i", 2000)+";"+end, "more than 1000 operators in a row")
	within("PROGRAM p VAR a : "+strings.Repeat("ARRAY [1..2] OF ", 200)+"INT; END_VAR"+end, "nested more than 100 deep")
	within("PROGRAM p VAR a : "+strings.Repeat("ARRAY [1..2] OF ", 60)+"INT; END_VAR"+end, "a program holds at most 262144 elementary values")
	within("PROGRAM p VAR a, b : ARRAY [1..262144] OF INT; END_VAR"+end, "p with b is too large")
	within(begin+strings.Repeat("x := 1;\n", 500)+end, "there are more than 100 problems; the rest is not shown")
	var many strings.Builder
	for i := range 10 {
		fmt.Fprintf(&many, "FUNCTION_BLOCK f%d VAR a : ARRAY [1..200000] OF INT; END_VAR END_FUNCTION_BLOCK\n", i)
	}
	within(many.String(), "f5 with a is too large")
	compiled(t, begin+"i := 1"+strings.Repeat(" + i", 999)+";"+end)
}

// Text that belongs to no rule of the grammar: no panic, and at least one problem.
func TestPiecesOfPrograms(t *testing.T) {
	t.Parallel()
	for i := range len(steps) {
		for _, text := range []string{steps[:i], steps[i:], steps[:i] + ";" + steps[i:], steps[:i] + " END_IF " + steps[i:]} {
			if i%29 == len(text)%29 {
				_, _, _ = st.Compile("p", text)
			}
		}
	}
}
