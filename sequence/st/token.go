package st

import "strings"

// tokenKind is the kind of a token.
type tokenKind uint8

const (
	tokEnd      tokenKind = iota // the end of the file
	tokName                      // a name that is no keyword
	tokKeyword                   // word is the keyword in capitals
	tokMark                      // an operator or a delimiter; word is it
	tokInteger                   // also with a base, such as 16#FF
	tokReal                      // with a point
	tokString                    // text is the value, one character a byte
	tokDuration                  // number is the value in ns
	tokTyped                     // the name before # in INT#5 or State#Ready; word is it as written
	tokBad                       // an error has been reported; it stands for a value
)

// token is a piece of the text.
type token struct {
	kind   tokenKind
	at     span
	word   string
	text   string
	number int64
	open   bool // a string or, at the end of the file, a comment has no end: what follows is unknown
}

// is reports whether the token is that keyword or mark.
func (t token) is(word string) bool {
	return (t.kind == tokKeyword || t.kind == tokMark) && t.word == word
}

// isKeyword is whether a word in capitals is reserved. Names of elementary types are not among
// them; they are looked up like other types.
func isKeyword(word string) bool {
	switch word {
	case "PROGRAM", "END_PROGRAM", "FUNCTION", "END_FUNCTION", "FUNCTION_BLOCK", "END_FUNCTION_BLOCK",
		"TYPE", "END_TYPE", "STRUCT", "END_STRUCT", "ARRAY", "OF",
		"VAR", "VAR_INPUT", "VAR_OUTPUT", "VAR_IN_OUT", "VAR_TEMP", "END_VAR", "CONSTANT", "RETAIN", "NON_RETAIN",
		"IF", "THEN", "ELSIF", "ELSE", "END_IF", "CASE", "END_CASE", "FOR", "TO", "BY", "DO", "END_FOR",
		"WHILE", "END_WHILE", "REPEAT", "UNTIL", "END_REPEAT", "EXIT", "CONTINUE", "RETURN",
		"AND", "OR", "XOR", "NOT", "MOD", "TRUE", "FALSE":
		return true
	}
	return unsupportedWord(word) != ""
}

// unsupportedWord advises what to write instead of a word of the standard that is not supported; it
// is empty for all other words.
func unsupportedWord(word string) string {
	switch word {
	case "VAR_GLOBAL", "VAR_EXTERNAL", "VAR_CONFIG", "VAR_ACCESS":
		return "declare it in the PROGRAM and pass it as VAR_INPUT or VAR_IN_OUT"
	case "VAR_STAT":
		return "write VAR; it keeps its value from scan to scan"
	case "AT":
		return "leave the address out and bind the name in the binding document"
	case "CONFIGURATION":
		return "leave it out; the bench calls one PROGRAM in each scan"
	case "METHOD":
		return "write a FUNCTION, and hand over in VAR_IN_OUT what it changes"
	case "CLASS", "INTERFACE", "EXTENDS", "IMPLEMENTS", "ABSTRACT":
		return "use FUNCTION_BLOCK and FUNCTION"
	case "NAMESPACE", "USING":
		return "leave it out; every FUNCTION and FUNCTION_BLOCK of the file can be called"
	case "REF_TO", "POINTER":
		return "pass the variable as VAR_IN_OUT"
	case "UNION":
		return "use a STRUCT, and conversions such as DWORD_TO_REAL"
	case "R_EDGE":
		return "use an instance of R_TRIG"
	case "F_EDGE":
		return "use an instance of F_TRIG"
	}
	return ""
}

// unsupportedName advises what to write instead of a word that is a keyword in some places only; in
// all others it is a name like any other.
func unsupportedName(word string) string {
	switch word {
	case "THIS", "SUPER", "PROPERTY", "FINAL", "OVERRIDE":
		return "use FUNCTION_BLOCK and FUNCTION"
	case "PUBLIC", "PRIVATE", "PROTECTED", "INTERNAL":
		return "leave it out; every FUNCTION and FUNCTION_BLOCK of the file can be called"
	case "ACTION":
		return "write its statements where it is called, or a FUNCTION_BLOCK"
	case "STEP", "INITIAL_STEP", "TRANSITION":
		return "write the steps as a CASE over an enumeration"
	case "REFERENCE", "REF", "ADR", "NULL":
		return "pass the variable as VAR_IN_OUT"
	case "GOTO", "JMP":
		return "use IF, WHILE, EXIT or RETURN"
	case "RESOURCE", "TASK":
		return "leave it out; the bench calls one PROGRAM in each scan"
	}
	return ""
}

// upper is a name as it is compared: the case of letters does not count.
func upper(name string) string { return strings.ToUpper(name) }
