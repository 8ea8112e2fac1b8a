package scenarios

import (
	"errors"
	"strings"

	"github.com/goccy/go-yaml"

	"holdbench/plant/problem"
)

// The library finds the errors of a document's syntax, and this file words them. Its own
// messages assume knowledge of its parser: "unexpected key name" is a space missing
// behind a colon, "non-map value is specified" a key without one. Its excerpt shows lines
// around, not the line alone, does not cut a long line, sends control characters of the
// document to the terminal, and takes time by the square of the document's length. It has
// neither file, line and column in the form that editors follow, nor more than one error.

// syntaxProblem is an error of the parser with its location and a plain message.
func (s *source) syntaxProblem(err error) problem.Problem {
	var known yaml.Error
	if !errors.As(err, &known) || known.GetToken() == nil {
		line, _, _ := strings.Cut(err.Error(), "\n")
		return problem.Problem{File: s.name, Message: syntaxMessage(line)}
	}
	return s.problemAtToken(known.GetToken(), "%s", syntaxMessage(known.GetMessage()))
}

// syntaxMessage is a plain message for an error of the lexer or the parser.
func syntaxMessage(message string) string {
	for _, w := range syntaxTable() {
		if strings.Contains(message, w.library) {
			return w.ours
		}
	}
	return "not valid YAML: " + message
}

type wording struct{ library, ours string }

// syntaxTable pairs parts of the library's messages with ours; the first match counts.
func syntaxTable() []wording {
	return []wording{
		{"end character of single-quoted text", "text that begins with ' is never closed; close it with '"},
		{"end character of double-quoted text", `text that begins with " is never closed; close it with "`},
		{"unexpected document separator", "quoted text runs into a line --- or ...; close the quotes before it"},
		{"unknown escape character", `this backslash begins no YAML escape; write \\ for a backslash, or use single quotes`},
		{"escaped UTF-", `an escape is cut short here; must be \u with four or \U with eight hexadecimal digits`},
		{"surrogate", `an escape is half of a pair here; must be \U with eight hexadecimal digits`},
		{"is a reserved character", "unquoted text cannot begin with this character; quote the text"},
		{"invalid tag character", "tags (!name) are not supported; quote text that begins with !"},
		{"invalid header option", "| and > must end their line; put the text on the lines below, indented"},
		{"invalid number of indent", "lines of text below | or > are indented unevenly; indent them equally"},
		{"could not find multi-line content", "no text follows | or >; put it on the lines below, indented"},
		{"'[' character corresponding", "] closes a list that was not opened; remove it, or open the list with ["},
		{"'{' character corresponding", "} closes keys that were not opened; remove it, or open them with {"},
		{"flow mapping end token", "{ is never closed; a } is missing"},
		{"sequence end token", "[ is never closed; a ] is missing"},
		{"',' or '}' must be specified", "a , or } is missing before this"},
		{"',' or ']' must be specified", "a , or ] is missing before this"},
		{"unexpected scalar value type", "value is missing"},
		{"expected sequence element", "value is missing before this comma"},
		{"block sequence entries are not allowed", "- begins an item of a list and cannot follow a key on its line; put the list on the lines below, or use [ ]"},
		{"map key-value is pre-defined", "the value before this is complete; check the indentation and the quotes"},
		{"mapping value is not allowed", `value contains ": "; check the indentation of the next line, or quote text that contains ": "`},
		{"non-map value is specified", "not a key with a value; must be written key: value, with a space after the colon"},
		{"unexpected key name", "not a key with a value; must be written key: value, with a space after the colon"},
		{"implicit line break", "a key and its colon must be on one line"},
		{"after document separator", "nothing may follow on this line; begin on the next"},
		{"unexpected end content", "nothing may follow on this line; begin on the next"},
		{"value is not allowed in this context", "a value is not allowed here; check the indentation, the brackets and the quotes"},
		{"map", "keys and values do not match; must be written key: value"},
	}
}
