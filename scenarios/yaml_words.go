package scenarios

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"time"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"

	"holdbench/plant/problem"
)

// syntaxProblem gives an error of the parser its place and plain words. The error's
// own text is never asked for: it prints the source, in time by the square of its
// length.
func (s *source) syntaxProblem(err error) problem.Problem {
	var known yaml.Error
	if !errors.As(err, &known) || known.GetToken() == nil {
		line, _, _ := strings.Cut(err.Error(), "\n")
		return problem.Problem{File: s.name, Message: syntaxWords(line)}
	}
	return s.problemAtToken(known.GetToken(), "%s", syntaxWords(known.GetMessage()))
}

// syntaxWords says in plain words what the lexer or the parser complains of.
func syntaxWords(message string) string {
	for _, w := range syntaxTable() {
		if strings.Contains(message, w.library) {
			return w.ours
		}
	}
	return "this cannot be read as YAML here: " + message
}

type wording struct{ library, ours string }

// syntaxTable pairs parts of the library's messages with ours; the first that fits
// counts.
func syntaxTable() []wording {
	return []wording{
		{"end character of single-quoted text", "a text begins with ' here and never ends; close it with '"},
		{"end character of double-quoted text", `a text begins with " here and never ends; close it with "`},
		{"unexpected document separator", "a text in quotes runs into a line --- or ...; close its quotes before"},
		{"unknown escape character", `this backslash begins no escape that YAML knows; write \\ for a backslash, or use single quotes`},
		{"escaped UTF-", `an escape is cut short here; must be \u with four or \U with eight hexadecimal digits`},
		{"surrogate", `an escape is half of a pair here; must be \U with eight hexadecimal digits`},
		{"is a reserved character", "a text cannot begin with this character; put the text in quotes"},
		{"invalid tag character", "tags (!name) are not read; put a text that begins with ! in quotes"},
		{"invalid header option", "| and > must end their line; put the text on the lines below, indented"},
		{"invalid number of indent", "lines of a text below | or > are indented unevenly; indent them alike"},
		{"could not find multi-line content", "| or > announces a text that does not follow; put it on the lines below, indented"},
		{"'[' character corresponding", "] closes a list that was not opened; remove it, or open the list with ["},
		{"'{' character corresponding", "} closes keys that were not opened; remove it, or open them with {"},
		{"flow mapping end token", "{ is never closed; a } is missing"},
		{"sequence end token", "[ is never closed; a ] is missing"},
		{"',' or '}' must be specified", "a , or } is missing before this"},
		{"',' or ']' must be specified", "a , or ] is missing before this"},
		{"unexpected scalar value type", "a value is missing here"},
		{"expected sequence element", "a value is missing before this comma"},
		{"block sequence entries are not allowed", "- begins an item of a list and cannot follow a key on its line; put the list on the lines below, or use [ ]"},
		{"map key-value is pre-defined", "the value before this is already complete; check the indentation and the quotes"},
		{"mapping value is not allowed", `a value holds ": " here; check the indentation of the next line, or put a text that holds ": " in quotes`},
		{"non-map value is specified", "this is not a key with a value; must be written key: value, with a space after the colon"},
		{"unexpected key name", "this is not a key with a value; must be written key: value, with a space after the colon"},
		{"implicit line break", "a key must stand on one line with its colon"},
		{"after document separator", "nothing may follow on this line; begin on the next"},
		{"unexpected end content", "nothing may follow on this line; begin on the next"},
		{"value is not allowed in this context", "no value can stand here; check the indentation, the brackets and the quotes"},
		{"map", "keys and values do not fit together here; must be written key: value"},
	}
}

// decodeWords says in plain words what the decoder complains of. Types that read
// themselves have found plain words already.
func decodeWords(err error, known yaml.Error) string {
	var mismatch *yaml.TypeError
	var overflow *yaml.OverflowError
	var unexpected *yaml.UnexpectedNodeTypeError
	switch {
	case errors.As(err, &mismatch):
		return fmt.Sprintf("value is %q; must be %s", clipped(mismatch.Token.Value), kindWords(mismatch.DstType))
	case errors.As(err, &overflow):
		return fmt.Sprintf("value is %s; must be %s that fits", clipped(overflow.SrcNum), kindWords(overflow.DstType))
	case errors.As(err, &unexpected):
		return fmt.Sprintf("value is %s; must be %s", nodeWords(unexpected.Actual), nodeWords(unexpected.Expected))
	}
	message, _, _ := strings.Cut(known.GetMessage(), "\n")
	return strings.Replace(message, "unknown field", "unknown key", 1)
}

// kindWords says what a value of a type is.
func kindWords(t reflect.Type) string {
	if t == reflect.TypeFor[time.Duration]() {
		return durationWords
	}
	switch t.Kind() {
	case reflect.Bool:
		return "true or false"
	case reflect.Float32, reflect.Float64:
		return "a number"
	case reflect.String:
		return "a text"
	case reflect.Slice, reflect.Array:
		return "a list"
	case reflect.Struct, reflect.Map:
		return "keys with values"
	}
	return "a whole number"
}

// nodeWords says what a node of a type is.
func nodeWords(t ast.NodeType) string {
	switch t {
	case ast.MappingType, ast.MappingValueType:
		return "keys with values"
	case ast.SequenceType:
		return "a list"
	case ast.NullType:
		return "nothing"
	}
	return "a single value"
}
