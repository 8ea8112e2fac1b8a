package scenarios

import (
	"errors"
	"strings"

	"github.com/goccy/go-yaml"

	"holdbench/plant/problem"
)

// The library finds the errors of a document's syntax, and this file says them. Its own
// words are for people who know its parser: "unexpected key name" is a space missing
// behind a colon, "non-map value is specified" a key without one. Its excerpt shows lines
// around, not the line alone, does not cut a long line, sends control characters of the
// document to the terminal, and takes time by the square of the document's length. It has
// neither file, line and column in the form that editors follow, nor more than one error.

// syntaxProblem gives an error of the parser its place and plain words.
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
