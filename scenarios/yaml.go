package scenarios

import (
	"errors"
	"fmt"
	"reflect"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"

	"holdbench/plant/problem"
)

const documentForm = "keys with values, the first of them scenario, rig or sequence"

// source is a document as read: its text for excerpts, its tree for places.
type source struct {
	name  string   // in messages
	text  []byte   // of a document that was read before and has no tree yet
	lines []string // of the text, without line ends
	tree  ast.Node // nil until the text is parsed

	program programText // that a binding names
	reach   Reach       // of the files that the document names
}

// read parses a document. It refuses everything that needs no knowledge of what the
// document describes; the error is a [problem.List].
func read(name string, text []byte) (*source, error) {
	if len(text) > maxBytes {
		return nil, problem.List{{File: name, Message: fmt.Sprintf(
			"document has %d bytes; must be at most %d", len(text), maxBytes)}}
	}
	plain := normalised(text)
	s := &source{name: name, lines: strings.Split(plain, "\n")}
	if err := s.checkCharacters(plain); err != nil {
		return nil, err
	}
	err := s.guarded(func() error { return s.parse(plain) })
	if err != nil {
		return nil, err
	}
	return s, nil
}

// parse makes the tree. The tokens are checked first, because the parser recurses
// without a limit and nothing recovers from a full stack.
func (s *source) parse(text string) error {
	tokens := lexer.Tokenize(text)
	if err := s.checkTokens(tokens); err != nil {
		return err
	}
	// Doubled keys are found later, all of them and not just the first.
	file, err := parser.Parse(tokens, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		return problem.List{s.syntaxProblem(err)}
	}
	if len(file.Docs) == 0 || isNull(file.Docs[0].Body) {
		return problem.List{{File: s.name, Message: "document is empty; must be " + documentForm}}
	}
	s.tree = file.Docs[0].Body
	if _, ok := s.tree.(*ast.MappingNode); !ok {
		return problem.List{s.problemAtToken(s.tree.GetToken(), "document is %s; must be %s", found(s.tree), documentForm)}
	}
	return s.checkNodes()
}

// root is the node of the whole document.
func (s *source) root() ast.Node { return s.tree }

// part is the node at a path of the document.
func (s *source) part(path string) ast.Node {
	s.reparse()
	p, _ := s.find(path)
	return p.node
}

// decode reads a node of the document into what a pointer points to; prefix is the
// node's path. Values that the document does not mention stay as they are. The error
// is a [problem.List].
func (s *source) decode(prefix string, node ast.Node, into any) error {
	return s.guarded(func() error {
		r := reader{findings: findings{source: s}, known: map[reflect.Type]fieldSet{}}
		r.value(place{label: label(prefix), node: node}, reflect.ValueOf(into).Elem())
		if err := r.err(); err != nil {
			return err
		}
		for _, read := range r.later {
			if err := read(); err != nil {
				return problem.List{s.decodeProblem(prefix, err)}
			}
		}
		return nil
	})
}

// guarded turns a panic into a problem. It is the last resort: the lexer, the parser
// and the decoder are not ours, and no document may end the program.
func (s *source) guarded(work func() error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = problem.List{{File: s.name, Message: fmt.Sprintf(
				"the YAML library failed on this document (%v); simplify it", r)}}
		}
	}()
	return work()
}

// problem makes a message about the value at a path; column is a character within
// that value, counted from 1, and 0 means the value as a whole.
func (s *source) problem(path string, column int, message string) problem.Problem {
	s.reparse()
	return s.problemAt(s.within(path, column), message)
}

// reparse makes the tree of a document that was read before, to locate a value in it.
func (s *source) reparse() {
	if s.tree != nil || s.text == nil {
		return
	}
	if src, err := read(s.name, s.text); err == nil { // as it was the first time
		src.program, src.reach = s.program, s.reach
		*s = *src
	}
}

func (s *source) problemAt(at position, message string) problem.Problem {
	return problem.Problem{
		File: at.file, Line: at.line, Column: at.column, Message: message,
		Excerpt: excerpt(s.lines[at.line-1], at.line, at.column),
	}
}

func (s *source) problemAtToken(tk *token.Token, format string, args ...any) problem.Problem {
	return s.problemAt(s.atToken(tk), fmt.Sprintf(format, args...))
}

// decodeProblem locates an error of a type that reads itself.
func (s *source) decodeProblem(prefix string, err error) problem.Problem {
	var known yaml.Error
	if !errors.As(err, &known) || known.GetToken() == nil {
		line, _, _ := strings.Cut(err.Error(), "\n")
		return s.problem(prefix, 0, line)
	}
	tk := known.GetToken()
	// A mapping's token is its first colon; the key is the location to report.
	if tk.Type == token.MappingValueType && tk.Prev != nil {
		tk = tk.Prev
	}
	message, _, _ := strings.Cut(known.GetMessage(), "\n")
	return s.problemAtToken(tk, "%s", message)
}
