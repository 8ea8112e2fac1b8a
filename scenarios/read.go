package scenarios

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// The bounds of a document; a parser that nests without end would take the program
// down with it.
const (
	maxBytes = 1 << 20
	maxDepth = 60
)

// source is a document that parses, with its tree for the places in it.
type source struct {
	name string
	text string
	body ast.Node
}

// read parses one document. The error is a [Problems].
func read(name string, text []byte) (src *source, err error) {
	src = &source{name: name, text: string(text)}
	if message := unreadable(text); message != "" {
		return nil, Problems{{File: name, Message: message}}
	}
	defer func() {
		if r := recover(); r != nil { // the parser is not ours
			src, err = nil, Problems{{File: name, Message: fmt.Sprintf("the document cannot be parsed: %v", r)}}
		}
	}()
	file, err := parser.ParseBytes(text, 0)
	if err != nil {
		return nil, Problems{src.translate(err)}
	}
	if len(file.Docs) != 1 {
		return nil, Problems{{File: name, Message: fmt.Sprintf("there are %d documents in it; must be one", len(file.Docs))}}
	}
	src.body = file.Docs[0].Body
	if _, ok := src.body.(*ast.MappingNode); !ok {
		return nil, Problems{{File: name, Message: "it holds no keys; must be a document that begins with scenario, rig or sequence"}}
	}
	return src, src.plain().orNil()
}

// unreadable says why a text is not worth parsing.
func unreadable(text []byte) string {
	switch {
	case len(text) > maxBytes:
		return fmt.Sprintf("it is longer than the %d bytes that a document may have", maxBytes)
	case !utf8.Valid(text):
		return "it is not UTF-8 text; must be a YAML document"
	case depth(string(text)) > maxDepth:
		return fmt.Sprintf("it nests deeper than %d levels", maxDepth)
	}
	return ""
}

// depth is a bound on the nesting, counted from the brackets and the dashes that
// begin a line.
func depth(text string) int {
	deepest, open := 0, 0
	for line := range strings.Lines(text) {
		dashes := strings.Count(line[:len(line)-len(strings.TrimLeft(line, "-? "))], "-")
		deepest = max(deepest, dashes)
		for _, r := range line {
			switch r {
			case '[', '{':
				open++
			case ']', '}':
				open = max(0, open-1)
			}
			deepest = max(deepest, open)
		}
	}
	return deepest
}

func (s *source) root() ast.Node { return s.body }

// plain refuses what a document of ours has no use for.
func (s *source) plain() Problems {
	var found Problems
	ast.Walk(visitor(func(node ast.Node) {
		refuse := ""
		switch node.(type) {
		case *ast.AnchorNode, *ast.AliasNode, *ast.MergeKeyNode:
			refuse = "anchors, aliases and merge keys are not used here; write the value out"
		case *ast.TagNode:
			refuse = "tags are not used here; write the plain value"
		case *ast.NanNode, *ast.InfinityNode:
			refuse = "this is not a number that can be computed with; must be a finite number"
		case *ast.NullNode:
			refuse = "the value is missing; write one or leave the key out"
		}
		if refuse != "" {
			found = append(found, s.atToken(node.GetToken(), refuse))
		}
	}), s.body)
	return found
}

// visitor makes a function walk a tree.
type visitor func(ast.Node)

// Visit calls the function and goes on.
func (v visitor) Visit(node ast.Node) ast.Visitor {
	v(node)
	return v
}

// decode reads a node into a value, strictly, and reports everything that does not
// fit at once. The prefix is the node's path in the document.
func (s *source) decode(prefix string, node ast.Node, into any) (err error) {
	defer func() {
		if r := recover(); r != nil { // the decoder is not ours
			err = Problems{s.problem(prefix, 0, fmt.Sprintf("the document cannot be read: %v", r))}
		}
	}()
	if err := s.fit(node, into).orNil(); err != nil {
		return err
	}
	if err := yaml.NodeToValue(node, into, yaml.Strict()); err != nil {
		return Problems{s.translate(err)}
	}
	return nil
}

// translate gives an error of the YAML library our form.
func (s *source) translate(err error) *Problem {
	var known yaml.Error
	if errors.As(err, &known) {
		return s.atToken(known.GetToken(), plainWords(known.GetMessage()))
	}
	return &Problem{File: s.name, Message: err.Error()}
}

// plainWords turns the library's words into ours where they speak of its own types.
func plainWords(message string) string {
	switch {
	case strings.HasPrefix(message, "cannot unmarshal"):
		return "the value does not fit this key"
	case strings.Contains(message, "'\t'"), strings.HasPrefix(message, "tab character"):
		return "found a tab; must be spaces"
	}
	return message
}

func (s *source) atToken(t *token.Token, message string) *Problem {
	if t == nil || t.Position == nil {
		return &Problem{File: s.name, Message: message}
	}
	return s.atPlace(t.Position.Line, t.Position.Column, message)
}

func (s *source) atPlace(line, column int, message string) *Problem {
	return &Problem{File: s.name, Line: line, Column: column, Message: message, Excerpt: excerpt(s.text, line, column)}
}

// problem points at a path of the document, or at the nearest part of it that is
// there. The column is a character within a scalar, from 1; 0 is its beginning.
func (s *source) problem(path string, column int, message string) *Problem {
	for p := path; p != ""; p = parent(p) {
		if t := s.tokenAt(p); t != nil && t.Position != nil {
			at := t.Position.Column
			if p == path && column > 0 && !strings.Contains(t.Value, "\n") {
				at += column - 1 + quoteWidth(t)
			}
			return s.atPlace(t.Position.Line, at, message)
		}
	}
	return &Problem{File: s.name, Message: message}
}

func quoteWidth(t *token.Token) int {
	if t.Type == token.SingleQuoteType || t.Type == token.DoubleQuoteType {
		return 1
	}
	return 0
}

// tokenAt finds the token of a path, nil if the path is not in the document.
func (s *source) tokenAt(path string) *token.Token {
	if path == "$" {
		return firstToken(s.body)
	}
	p, err := yaml.PathString(path)
	if err != nil {
		return nil
	}
	node, err := p.FilterNode(s.body)
	if err != nil || node == nil {
		return nil
	}
	return firstToken(node)
}

// firstToken is where a node begins; a mapping's own token is its first colon.
func firstToken(node ast.Node) *token.Token {
	switch n := node.(type) {
	case *ast.MappingNode:
		if n.IsFlowStyle || len(n.Values) == 0 {
			return n.GetToken()
		}
		return n.Values[0].Key.GetToken()
	case *ast.MappingValueNode:
		return n.Key.GetToken()
	case *ast.LiteralNode:
		return n.GetToken()
	}
	return node.GetToken()
}

// parent cuts the last step off a path, the empty string after the root.
func parent(path string) string {
	if strings.HasSuffix(path, "'") {
		if i := strings.LastIndex(path[:len(path)-1], ".'"); i > 0 {
			return path[:i]
		}
	}
	if i := strings.LastIndexAny(path, ".["); i > 0 {
		return path[:i]
	}
	if path == "$" {
		return ""
	}
	return "$"
}
