package scenarios

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"

	"holdbench/plant/problem"
)

// The checks of this file keep a document plain: one mapping of names to values, no
// references, no types, finite decimal numbers.

// checkTokens refuses what no document needs and what would overload the parser.
func (s *source) checkTokens(tokens token.Tokens) error {
	if len(tokens) > maxTokens {
		return problem.List{{File: s.name, Message: fmt.Sprintf(
			"document has %d tokens; must have at most %d", len(tokens), maxTokens)}}
	}
	wrong := findings{source: s}
	var depth nesting
	var ends boundary
	for _, tk := range tokens {
		if message := unsupported(tk); message != "" {
			wrong.add(tk, "%s", message)
		}
		switch {
		case tk.Type == token.InvalidType, tk.Type == token.DirectiveType:
			return wrong.err() // the rest would make no sense
		case depth.add(tk) > maxDepth:
			wrong.add(tk, "values are nested more than %d levels deep here", maxDepth)
			return wrong.err()
		case ends.add(tk):
			wrong.add(tk, "a second document begins here; must be one document a file")
			return wrong.err()
		}
	}
	return wrong.err()
}

// unsupported is the message about a token that is not part of a plain document.
func unsupported(tk *token.Token) string {
	switch tk.Type {
	case token.InvalidType:
		return syntaxMessage(tk.Error)
	case token.AnchorType:
		return "anchors (&name) are not supported; write the value out, or quote text that begins with &"
	case token.AliasType:
		return "aliases (*name) are not supported; write the value out, or quote text that begins with *"
	case token.MergeKeyType:
		return "merge keys (<<) are not supported; write the values out"
	case token.TagType:
		return "tags (!name) are not supported; quote text that begins with !"
	case token.DirectiveType:
		return "directives (%) are not supported; quote text that begins with %"
	case token.MappingKeyType:
		return "keys marked with ? are not supported; write key: value"
	}
	return ""
}

// boundary detects content after the end of the first document.
type boundary struct{ begun, ended bool }

func (b *boundary) add(tk *token.Token) bool {
	switch tk.Type {
	case token.CommentType:
		return false
	case token.DocumentEndType:
		b.ended = true
		return false
	case token.DocumentHeaderType:
		second := b.begun || b.ended
		b.begun = true
		return second
	}
	b.begun = true
	return b.ended
}

// nesting counts how deep values are nested from the columns of keys and dashes and
// from brackets, so that a depth is known before anything recurses.
type nesting struct {
	columns []int // of the open blocks
	flow    int   // open brackets
}

func (n *nesting) add(tk *token.Token) int {
	switch tk.Type {
	case token.SequenceStartType, token.MappingStartType:
		n.flow++
	case token.SequenceEndType, token.MappingEndType:
		n.flow = max(n.flow-1, 0)
	case token.SequenceEntryType:
		n.block(tk.Position.Column)
	case token.MappingValueType:
		if tk.Prev != nil {
			n.block(tk.Prev.Position.Column)
		}
	}
	return len(n.columns) + n.flow
}

func (n *nesting) block(column int) {
	if n.flow > 0 {
		return
	}
	for len(n.columns) > 0 && n.columns[len(n.columns)-1] >= column {
		n.columns = n.columns[:len(n.columns)-1]
	}
	n.columns = append(n.columns, column)
}

// checkNodes checks every key and every number of the tree.
func (s *source) checkNodes() error {
	w := &treeCheck{findings{source: s}}
	ast.Walk(w, s.tree)
	return w.err()
}

type treeCheck struct{ findings }

// Visit is called by the library for every node.
func (w *treeCheck) Visit(node ast.Node) ast.Visitor {
	if mapping, ok := node.(*ast.MappingNode); ok {
		w.keys(mapping)
	}
	if message := numberFault(node); message != "" {
		w.add(node.GetToken(), "%s", message)
	}
	return w
}

// keys requires every key to be a name and to be given once. The decoder leaves a whole
// struct empty without a word when one of its keys is a number.
func (w *treeCheck) keys(mapping *ast.MappingNode) {
	first := map[string]*token.Token{}
	for iter := mapping.MapRange(); iter.Next(); {
		tk := iter.Key().GetToken()
		earlier := first[tk.Value]
		number := iter.Key().Type() == ast.IntegerType && w.source.isBinding(w.source.tree) // a value of a variable
		switch {
		case iter.Key().Type() != ast.StringType && !number || tk.Value == "":
			w.add(tk, "key %s is not a name; must be a word such as mass_kg", found(iter.Key()))
		case earlier != nil:
			w.add(tk, "key %q is repeated, first given in line %d; must be given once", clipped(tk.Value), earlier.Position.Line)
		default:
			first[tk.Value] = tk
		}
	}
}

// numberFault is the reason why a number cannot be used. The library reads a number that
// is too large as text, and nan without a dot as a text that still becomes NaN.
func numberFault(node ast.Node) string {
	text := node.GetToken().Value
	switch n := node.(type) {
	case *ast.NanNode, *ast.InfinityNode:
		return text + " is not finite; must be a finite number"
	case *ast.IntegerNode, *ast.FloatNode:
		if !isDecimal(text) {
			value := node.(ast.ScalarNode).GetValue()
			return fmt.Sprintf("%s would be read as %v; write the decimal number, or quote it as text", text, value)
		}
		return tooLarge(text)
	case *ast.StringNode:
		if !isQuoted(n) {
			return tooLarge(text)
		}
	}
	return ""
}

func tooLarge(text string) string {
	if !isDecimal(text) {
		return ""
	}
	if x, _ := strconv.ParseFloat(text, 64); math.IsInf(x, 0) {
		return clipped(text) + " is too large; must be a number below 1.8e308"
	}
	return ""
}

// isDecimal accepts a plain decimal number, such as -1.5 or 2e3; 017, 0x1F and
// 1_000 are none.
func isDecimal(text string) bool {
	if text != "" && strings.ContainsRune("+-", rune(text[0])) {
		text = text[1:]
	}
	mantissa, exponent := text, "0"
	if i := strings.IndexAny(text, "eE"); i >= 0 {
		mantissa, exponent = text[:i], text[i+1:]
		if exponent != "" && strings.ContainsRune("+-", rune(exponent[0])) {
			exponent = exponent[1:]
		}
	}
	whole, fraction, _ := strings.Cut(mantissa, ".")
	if len(whole) > 1 && whole[0] == '0' {
		return false
	}
	return isDigits(whole+fraction) && isDigits(exponent)
}

func isDigits(text string) bool {
	return text != "" && strings.Trim(text, "0123456789") == ""
}
