package export

import (
	"strconv"
	"strings"
)

// longestName is how long an identifier may be: IEC 61131-3 asks a compiler to tell at least the
// first six characters apart, and leaves the length to it; 32 is what common compilers take
// (common practice).
const longestName = 32

// names gives out identifiers of Structured Text, each once without regard to case.
type names struct{ taken map[string]bool }

func newNames() *names {
	n := &names{taken: map[string]bool{}}
	for _, word := range strings.Fields(reservedInST) {
		n.taken[word] = true
	}
	return n
}

// new is an identifier that is like the one wanted: cut to the length that is permitted, without two
// underscores in a row or one at the end, and with a number if it is taken.
func (n *names) new(wanted string) string {
	plain := strings.Trim(wanted, "_")
	for strings.Contains(plain, "__") {
		plain = strings.ReplaceAll(plain, "__", "_")
	}
	name := cut(plain, longestName)
	for i := 2; n.taken[strings.ToUpper(name)]; i++ {
		end := "_" + strconv.Itoa(i)
		name = cut(plain, longestName-len(end)) + end
	}
	n.taken[strings.ToUpper(name)] = true
	return name
}

func cut(name string, length int) string {
	if len(name) > length {
		name = name[:length]
	}
	return strings.TrimRight(name, "_")
}

// camel writes a name of a document as one of a type: tilt-arm is TiltArm.
func camel(name string) string {
	var b strings.Builder
	for _, part := range strings.FieldsFunc(name, func(r rune) bool { return !isLetter(r) && !isDigit(r) }) {
		b.WriteString(strings.ToUpper(part[:1]) + part[1:])
	}
	text := b.String()
	if text == "" || isDigit(rune(text[0])) {
		text = "Sequence" + text
	}
	return text
}

func isLetter(r rune) bool { return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' }
func isDigit(r rune) bool  { return r >= '0' && r <= '9' }

// reservedInST are the keywords, and the names of the standard's functions and function blocks, of
// IEC 61131-3:2003 and :2013 (from memory), and the letters that the other languages of the standard use.
const reservedInST = `
ABS ABSTRACT ACOS ACTION ADD AND ANY ANY_BIT ANY_DATE ANY_DERIVED ANY_ELEMENTARY ANY_INT ANY_MAGNITUDE ANY_NUM
ANY_REAL ANY_STRING ARRAY ASIN AT ATAN ATAN2 BOOL BY BYTE CAL CALC CALCN CASE CD CDT CHAR CLASS CLK CONCAT
CONFIGURATION CONSTANT CONTINUE COS CTD CTU CTUD CU CV D DATE DATE_AND_TIME DELETE DINT DIV DO DS DT DWORD ELSE
ELSIF END_ACTION END_CASE END_CLASS END_CONFIGURATION END_FOR END_FUNCTION END_FUNCTION_BLOCK END_IF END_INTERFACE
END_METHOD END_NAMESPACE END_PROGRAM END_REPEAT END_RESOURCE END_STEP END_STRUCT END_TRANSITION END_TYPE END_VAR
END_WHILE EN ENO EQ ET EXIT EXP EXPT EXTENDS F F_EDGE F_TRIG FALSE FINAL FIND FOR FROM FUNCTION FUNCTION_BLOCK GE GT
IF IMPLEMENTS IN INITIAL_STEP INSERT INT INTERFACE INTERNAL INTERVAL JMP JMPC JMPCN L LD LDATE LDN LDT LE LEFT LEN
LIMIT LINT LN LOG LREAL LT LTIME LTOD LWORD MAX METHOD MID MIN MOD MOVE MUL MUX N NAMESPACE NE NON_RETAIN NOT NULL OF
ON OR ORN OVERLAP OVERRIDE P PRIORITY PRIVATE PROGRAM PROTECTED PT PUBLIC PV Q Q1 QD QU R R_EDGE R1 RC READ_ONLY
READ_WRITE REAL REF REF_TO REPEAT REPLACE RESOURCE RET RETAIN RETC RETCN RETURN RIGHT ROL ROR RS RTC S S1 SEL SEMA SHL
SHR SIN SINGLE SINT SL SQRT SR ST STEP STN STRING STRUCT SUB SUPER T TAN TASK THEN THIS TIME TIME_OF_DAY TO TOD
TOF TON TP TRANSITION TRUE TRUNC TYPE UDINT UINT ULINT UNTIL USINT USING VAR VAR_ACCESS VAR_CONFIG VAR_EXTERNAL
VAR_GLOBAL VAR_IN_OUT VAR_INPUT VAR_OUTPUT VAR_TEMP WCHAR WHILE WITH WORD WSTRING XOR XORN`
