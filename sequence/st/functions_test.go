package st_test

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// valueCase is an expression and its value.
type valueCase struct{ kind, expression, want string }

func checkValues(t *testing.T, declarations string, cases []valueCase) {
	t.Helper()
	for _, c := range cases {
		require.Equal(t, c.want, value(t, declarations, c.kind, c.expression), c.expression)
	}
}

// operands are variables with values, so that nothing is computed before the run.
const operands = `VAR
  i : INT := 7; n : INT := -7; two : INT := 2; m2 : INT := -2; top : INT := 32767; low : INT := -32768;
  si : SINT := 127; si2 : SINT := -128; us : USINT := 255; ud : UDINT := 4294967295;
  d : DINT := 100000; l : LINT := 9223372036854775807; ul : ULINT := 18446744073709551615;
  r : REAL := 2.5; lr : LREAL := 2.5; tenth : REAL := 0.1;
  yes : BOOL := TRUE; no : BOOL; b : BYTE := 16#A5; w : WORD := 16#1234; lw : LWORD := 16#8000000000000001;
  t : TIME := T#1s500ms; s : STRING := 'ASTRING';
END_VAR`

// The order of the operators: IEC 61131-3 (2013), table of the operators of the ST language,
// from memory. Each value differs from that of another order.
func TestPrecedence(t *testing.T) {
	t.Parallel()
	checkValues(t, operands, []valueCase{
		{"INT", "i - two - two", "3"},           // from the left
		{"INT", "i + two * two", "11"},          // * before +
		{"INT", "(i + two) * two", "18"},        // parentheses first
		{"INT", "i MOD two * two", "2"},         // MOD and * are of one level
		{"INT", "i * two MOD two", "0"},         //
		{"INT", "-i MOD two", "-1"},             // the sign before MOD
		{"LREAL", "-lr ** 2", "6.25"},           // the sign before **
		{"LREAL", "2.0 * lr ** 2", "12.5"},      // ** before *
		{"LREAL", "lr ** 2 ** 3", "244.140625"}, // ** from the left: (2.5**2)**3
		{"BOOL", "i > two = yes", "TRUE"},       // > before =
		{"BOOL", "yes = i > two", "TRUE"},
		{"BOOL", "NOT no AND no", "FALSE"}, // NOT before AND
		{"BOOL", "yes OR no AND no", "TRUE"},
		{"BOOL", "yes OR yes XOR yes", "TRUE"}, // XOR before OR: TRUE OR (TRUE XOR TRUE)
		{"BOOL", "yes XOR no AND no", "TRUE"},  // AND before XOR
		{"BOOL", "no & no = no", "FALSE"},      // = before AND
		{"BOOL", "i + two > two * two", "TRUE"},
	})
}

// Integers: division truncates toward zero and MOD has the sign of the dividend, so that
// a = (a/b)*b + a MOD b (IEC 61131-3, arithmetic functions, from memory). What leaves its type wraps
// around.
func TestIntegerArithmetic(t *testing.T) {
	t.Parallel()
	checkValues(t, operands, []valueCase{
		{"INT", "i / two", "3"}, {"INT", "n / two", "-3"}, {"INT", "i / m2", "-3"}, {"INT", "n / m2", "3"},
		{"INT", "i MOD two", "1"}, {"INT", "n MOD two", "-1"}, {"INT", "i MOD m2", "1"}, {"INT", "n MOD m2", "-1"},
		{"INT", "top + 1", "-32768"}, {"INT", "low - 1", "32767"}, {"INT", "top * 2", "-2"}, {"INT", "-low", "-32768"},
		{"INT", "low / -1", "-32768"}, {"INT", "ABS(low)", "-32768"},
		{"SINT", "si + 1", "-128"}, {"SINT", "si2 - 1", "127"}, {"USINT", "us + 1", "0"}, {"UDINT", "ud + 1", "0"},
		{"LINT", "l + 1", "-9223372036854775808"}, {"ULINT", "ul + 1", "0"}, {"ULINT", "ul / 2", "9223372036854775807"},
		{"ULINT", "ul MOD 10", "5"}, {"BOOL", "ul > 1", "TRUE"},
		{"DINT", "i + d", "100007"}, // INT widens to DINT before the sum
		{"DINT", "top + 100000", "132767"},
		{"LINT", "ud + i", "4294967302"}, // no type but LINT holds both
		{"DINT", "1_000 * 16#FF - 2#1010 - 8#17", "254975"},
		{"INT", "-2#101", "-5"},
	})
}

// REAL has 32 bits.
func TestRealArithmetic(t *testing.T) {
	t.Parallel()
	checkValues(t, operands, []valueCase{
		{"REAL", "tenth + 0.2", "0.3"},                     // float32(0.1) + float32(0.2) = float32(0.3)
		{"LREAL", "tenth", "0.10000000149011612"},          // the REAL nearest to 0.1
		{"REAL", "REAL#16777216.0 + 1.0", "1.6777216E7"},   // 24 bits of mantissa
		{"LREAL", "LREAL#16777216.0 + 1.0", "1.6777217E7"}, //
		{"REAL", "i / 2.0", "3.5"}, {"LREAL", "d * 0.5", "50000.0"}, {"REAL", "i", "7.0"},
		{"REAL", "r * -2", "-5.0"}, {"LREAL", "lr ** -1", "0.4"}, {"LREAL", "lr ** 0.5", "1.5811388300841898"},
		{"REAL", "EXPT(r, 2)", "6.25"}, {"LREAL", "1.0E-3 * 2.0", "0.002"},
		{"TIME", "t * 2", "T#3s"}, {"TIME", "t / 2", "T#750ms"}, {"TIME", "t * 0.5", "T#750ms"}, {"TIME", "t + T#1m", "T#1m1s500ms"},
		{"TIME", "T#1s - t", "T#-500ms"}, {"TIME", "-t", "T#-1s500ms"}, {"BOOL", "t > T#1499ms", "TRUE"},
		{"TIME", "ADD_TIME(t, t)", "T#3s"}, {"TIME", "SUB_TIME(t, T#1s)", "T#500ms"}, {"TIME", "MUL_TIME(t, 2)", "T#3s"}, {"TIME", "DIV_TIME(t, 3)", "T#500ms"},
		{"TIME", "t / 7", "T#214ms285us714ns"},
	})
}

// Conversions from a real number round to the nearest, a half to the even one (IEC 61131-3,
// conversion functions, which refer to IEC 60559; from memory). TRUNC rounds toward zero.
func TestConversions(t *testing.T) {
	t.Parallel()
	const halves = `VAR a : REAL := 1.5; b : REAL := 2.5; c : REAL := -1.5; d : REAL := -2.5; e : REAL := 1.6; f : REAL := -1.6; g : REAL := 0.5; END_VAR`
	checkValues(t, halves, []valueCase{
		{"INT", "REAL_TO_INT(a)", "2"}, {"INT", "REAL_TO_INT(b)", "2"}, {"INT", "REAL_TO_INT(c)", "-2"}, {"INT", "REAL_TO_INT(d)", "-2"},
		{"INT", "REAL_TO_INT(g)", "0"}, {"INT", "TO_INT(e)", "2"}, {"INT", "REAL_TO_INT(1.6)", "2"}, {"INT", "REAL_TO_INT(-1.6)", "-2"},
		{"INT", "REAL_TO_INT(1.4)", "1"}, {"INT", "REAL_TO_INT(-1.4)", "-1"},
		{"DINT", "TRUNC(e)", "1"}, {"DINT", "TRUNC(f)", "-1"}, {"DINT", "TRUNC(1.4)", "1"}, {"DINT", "TRUNC(-1.4)", "-1"},
		{"INT", "REAL_TRUNC_INT(e)", "1"}, {"INT", "TRUNC_INT(f)", "-1"},
	})
	checkValues(t, operands, []valueCase{
		{"SINT", "INT_TO_SINT(INT#200)", "-56"}, {"USINT", "INT_TO_USINT(n)", "249"}, {"INT", "DINT_TO_INT(d)", "-31072"},
		{"WORD", "INT_TO_WORD(n)", "16#FFF9"}, {"INT", "WORD_TO_INT(WORD#16#FFFF)", "-1"}, {"BYTE", "WORD_TO_BYTE(w)", "16#34"},
		{"DWORD", "REAL_TO_DWORD(r)", "16#40200000"}, {"REAL", "DWORD_TO_REAL(DWORD#16#40200000)", "2.5"},
		{"LWORD", "LREAL_TO_LWORD(lr)", "16#4004000000000000"}, {"LREAL", "LWORD_TO_LREAL(LWORD#16#4004000000000000)", "2.5"},
		{"INT", "BOOL_TO_INT(yes)", "1"}, {"BOOL", "INT_TO_BOOL(n)", "TRUE"}, {"BOOL", "BYTE_TO_BOOL(BYTE#0)", "FALSE"},
		{"DINT", "TIME_TO_DINT(t)", "1500"}, {"REAL", "TIME_TO_REAL(t)", "1500.0"}, {"TIME", "DINT_TO_TIME(1500)", "T#1s500ms"},
		{"TIME", "REAL_TO_TIME(r)", "T#2ms500us"}, {"LREAL", "LINT_TO_LREAL(l)", "9.223372036854776E18"}, {"REAL", "DINT_TO_REAL(16777217)", "1.6777216E7"},
		{"REAL", "LREAL_TO_REAL(0.1)", "0.1"}, {"LREAL", "ULINT_TO_LREAL(ul)", "1.8446744073709552E19"},
		{"STRING", "INT_TO_STRING(n)", "'-7'"}, {"STRING", "ULINT_TO_STRING(ul)", "'18446744073709551615'"}, {"STRING", "BOOL_TO_STRING(yes)", "'TRUE'"},
		{"STRING", "REAL_TO_STRING(r)", "'2.5'"}, {"STRING", "LREAL_TO_STRING(1.0E20)", "'1.0E20'"}, {"STRING", "TIME_TO_STRING(t)", "'T#1s500ms'"},
		{"STRING", "WORD_TO_STRING(w)", "'16#1234'"}, {"INT", "STRING_TO_INT('-12')", "-12"}, {"REAL", "STRING_TO_REAL('2.5')", "2.5"},
		{"BYTE", "STRING_TO_BYTE('16#A5')", "16#A5"}, {"TIME", "STRING_TO_TIME('T#1h30m')", "T#1h30m"}, {"BOOL", "STRING_TO_BOOL('true')", "TRUE"},
		{"UINT", "WORD_BCD_TO_UINT(w)", "1234"}, {"WORD", "UINT_TO_BCD_WORD(UINT#1234)", "16#1234"}, {"LREAL", "r", "2.5"},
	})
}

// Bit strings: SHL and SHR fill with 0, ROL and ROR turn.
func TestBitFunctions(t *testing.T) {
	t.Parallel()
	checkValues(t, operands, []valueCase{
		{"BYTE", "SHL(b, 1)", "16#4A"}, {"BYTE", "SHR(b, 1)", "16#52"}, {"BYTE", "ROL(b, 1)", "16#4B"}, {"BYTE", "ROR(b, 1)", "16#D2"},
		{"BYTE", "SHL(b, 8)", "16#00"}, {"BYTE", "SHR(b, 100)", "16#00"}, {"BYTE", "ROL(b, 8)", "16#A5"}, {"BYTE", "ROR(b, 17)", "16#D2"}, {"BYTE", "ROL(b, 0)", "16#A5"},
		{"LWORD", "ROL(lw, 1)", "16#0000000000000003"}, {"LWORD", "ROR(lw, 1)", "16#C000000000000000"}, {"LWORD", "SHL(lw, 64)", "16#0000000000000000"},
		{"WORD", "ROL(w, 4)", "16#2341"}, {"WORD", "ROR(w, 4)", "16#4123"},
		{"BYTE", "NOT b", "16#5A"}, {"BYTE", "b AND 16#0F", "16#05"}, {"BYTE", "b OR 16#0F", "16#AF"}, {"BYTE", "b XOR 16#FF", "16#5A"},
		{"WORD", "b OR w", "16#12B5"}, {"BYTE", "AND(b, BYTE#16#F0, BYTE#16#80)", "16#80"}, {"BOOL", "XOR(yes, yes, yes)", "TRUE"}, {"BOOL", "NOT(yes)", "FALSE"},
		{"BOOL", "lw > LWORD#16#7FFF_FFFF_FFFF_FFFF", "TRUE"},
	})
}

// The selection and comparison functions, with names of their parameters and without.
func TestSelectionFunctions(t *testing.T) {
	t.Parallel()
	checkValues(t, operands, []valueCase{
		{"INT", "SEL(no, 1, 2)", "1"}, {"INT", "SEL(G := yes, IN0 := i, IN1 := two)", "2"}, {"REAL", "SEL(yes, 1.0, 2.5)", "2.5"}, {"REAL", "SEL(yes, i, r)", "2.5"},
		{"INT", "MUX(0, i, two)", "7"}, {"INT", "MUX(K := two, IN0 := 1, IN1 := 2, IN2 := 3)", "3"},
		{"INT", "MAX(i, two, n)", "7"}, {"INT", "MIN(IN1 := i, IN2 := two, IN3 := n)", "-7"}, {"ULINT", "MAX(ul, ULINT#1)", "18446744073709551615"},
		{"LREAL", "MAX(1, 2.5)", "2.5"}, {"TIME", "MIN(t, T#1s)", "T#1s"}, {"STRING", "MAX('abc', 'abd')", "'abd'"},
		{"INT", "LIMIT(0, n, 5)", "0"}, {"INT", "LIMIT(MN := 0, IN := i, MX := 5)", "5"}, {"REAL", "LIMIT(0.0, r, 10.0)", "2.5"},
		{"BOOL", "GT(3, 2, 1)", "TRUE"}, {"BOOL", "GT(3, 1, 2)", "FALSE"}, {"BOOL", "LE(i, i)", "TRUE"}, {"BOOL", "NE(i, two)", "TRUE"}, {"BOOL", "EQ(i, 7, 7)", "TRUE"},
		{"INT", "ADD(1, 2, 3)", "6"}, {"INT", "SUB(i, two)", "5"}, {"INT", "MUL(i, two, two)", "28"}, {"INT", "DIV(i, two)", "3"}, {"INT", "MOD(i, two)", "1"}, {"INT", "MOVE(i)", "7"},
		{"INT", "ABS(n)", "7"}, {"REAL", "ABS(-r)", "2.5"}, {"INT", "i + SEL(yes, 1, 2)", "9"}, {"REAL", "r * MAX(1, 2)", "5.0"},
	})
}

// The examples that the standard gives for its string functions (IEC 61131-3, character string
// functions, from memory), and what lies beyond the end.
func TestStringFunctions(t *testing.T) {
	t.Parallel()
	checkValues(t, operands, []valueCase{
		{"INT", "LEN('ASTRING')", "7"}, {"STRING", "LEFT(IN := 'ASTR', L := 3)", "'AST'"}, {"STRING", "RIGHT(IN := 'ASTR', L := 3)", "'STR'"},
		{"STRING", "MID(IN := 'ASTR', L := 2, P := 2)", "'ST'"}, {"STRING", "CONCAT('AB', 'CD', 'E')", "'ABCDE'"},
		{"STRING", "INSERT(IN1 := 'ABE', IN2 := 'CD', P := 2)", "'ABCDE'"}, {"STRING", "DELETE(IN := 'ABXYC', L := 2, P := 3)", "'ABC'"},
		{"STRING", "REPLACE(IN1 := 'ABCDE', IN2 := 'X', L := 2, P := 3)", "'ABXE'"}, {"INT", "FIND(IN1 := 'ABCBC', IN2 := 'BC')", "2"},
		{"STRING", "LEFT(s, 100)", "'ASTRING'"}, {"STRING", "RIGHT(s, 0)", "''"}, {"STRING", "MID(s, 100, 6)", "'NG'"}, {"STRING", "MID(s, 1, 100)", "''"},
		{"STRING", "INSERT(s, 'x', 0)", "'xASTRING'"}, {"STRING", "INSERT(s, 'x', 100)", "'ASTRINGx'"}, {"STRING", "DELETE(s, 100, 2)", "'A'"},
		{"INT", "FIND(s, 'x')", "0"}, {"INT", "FIND(s, '')", "0"}, {"STRING[3]", "s", "'AST'"}, {"BOOL", "s = 'ASTRING'", "TRUE"}, {"BOOL", "'a' < 'ab'", "TRUE"},
		{"STRING", "CONCAT(LEFT(s, 2), LEFT(s, 3))", "'ASAST'"}, {"INT", "LEN('$$$'$41$L')", "4"}, {"STRING", "'ü'", "'ü'"}, {"INT", "LEN('ü')", "1"},
	})
}
