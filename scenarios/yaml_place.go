package scenarios

import (
	"strconv"
	"strings"
	"unicode"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// position is a place in a document; line and column count characters from 1.
type position struct {
	file         string
	line, column int
}

// place is a value in the tree, and how messages name it.
type place struct {
	label string       // load.mass_kg, or empty for the document
	key   *token.Token // key of the value, nil for an item of a list
	node  ast.Node
}

// within is the position of a character of the value at a path, or of the value for
// column 0.
func (s *source) within(path string, column int) position {
	p, exact := s.find(path)
	if exact && column > 0 {
		if at, ok := s.inText(p.node, column); ok {
			return at
		}
	}
	return s.atToken(p.token())
}

// atToken is the position of a token, limited to the document in case the library is
// wrong.
func (s *source) atToken(tk *token.Token) position {
	line := min(max(tk.Position.Line, 1), len(s.lines))
	last := max(len([]rune(s.lines[line-1])), 1)
	return position{s.name, line, min(max(tk.Position.Column, 1), last)}
}

// find follows a path as far as it exists and reports whether that was its end.
func (s *source) find(path string) (place, bool) {
	here := place{node: s.tree}
	for _, step := range steps(path) {
		next, ok := here.child(step)
		if !ok {
			return here, false
		}
		here = next
	}
	return here, true
}

// child is what a step leads to: a key of a mapping, or [n] of a list.
func (p place) child(step string) (place, bool) {
	if list, ok := p.node.(*ast.SequenceNode); ok {
		i, err := strconv.Atoi(strings.Trim(step, "[]"))
		if err != nil || i < 0 || i >= len(list.Values) {
			return p, false
		}
		return place{node: list.Values[i]}, true
	}
	mapping, ok := p.node.(ast.MapNode)
	if !ok {
		return p, false
	}
	for iter := mapping.MapRange(); iter.Next(); {
		if tk := iter.Key().GetToken(); tk.Value == step {
			return place{key: tk, node: iter.Value()}, true
		}
	}
	return p, false
}

// token is the location of a value in messages: the value if it begins in the line of its
// key, else the key.
func (p place) token() *token.Token {
	switch n := p.node.(type) {
	case *ast.MappingNode:
		if n.IsFlowStyle {
			return n.GetToken()
		}
		if p.key == nil && len(n.Values) > 0 {
			return n.Values[0].Key.GetToken()
		}
	case *ast.SequenceNode:
		if n.IsFlowStyle {
			return n.GetToken()
		}
	case *ast.NullNode:
		// A value left out has a token behind the end of its line.
	default:
		return n.GetToken()
	}
	if p.key != nil {
		return p.key
	}
	return p.node.GetToken()
}

// steps cuts a path into keys and [n]. A key with special characters is in single
// quotes, where a backslash escapes the next character.
func steps(path string) []string {
	var list []string
	rest := strings.TrimPrefix(path, "$")
	for rest != "" {
		var step string
		switch {
		case strings.HasPrefix(rest, ".'"):
			step, rest = quotedStep(rest[2:])
		case rest[0] == '[':
			end := strings.IndexByte(rest, ']') + 1
			if end == 0 {
				end = len(rest)
			}
			step, rest = rest[:end], rest[end:]
		default:
			rest = strings.TrimPrefix(rest, ".")
			end := strings.IndexAny(rest, ".[")
			if end < 0 {
				end = len(rest)
			}
			step, rest = rest[:end], rest[end:]
		}
		list = append(list, step)
	}
	return list
}

func quotedStep(rest string) (step, after string) {
	var b strings.Builder
	for i := 0; i < len(rest); i++ {
		switch {
		case rest[i] == '\'':
			return b.String(), rest[i+1:]
		case rest[i] == '\\' && i+1 < len(rest):
			i++
		}
		b.WriteByte(rest[i])
	}
	return b.String(), ""
}

// label is how messages name a path.
func label(path string) string {
	name := ""
	for _, step := range steps(path) {
		name = joined(name, step)
	}
	return name
}

func joined(parent, step string) string {
	if parent == "" || strings.HasPrefix(step, "[") {
		return parent + step
	}
	return parent + "." + step
}

// inText finds a character of a scalar in the source. Folding, quoting and indenting
// only add or change white space, so counting the other characters leads there.
func (s *source) inText(node ast.Node, column int) (position, bool) {
	text, from, quote := s.written(node)
	ahead, total := countNonSpace(text, column-1), countNonSpace(text, len(text))
	if total == 0 {
		return position{}, false
	}
	skip := min(ahead, total-1)
	for line := from.line; line <= len(s.lines); line++ {
		runes := []rune(s.lines[line-1])
		for i := from.column - 1; i < len(runes); i++ {
			pair := isEscape(runes[i:], quote)
			switch {
			case unicode.IsSpace(runes[i]):
			case pair && strings.ContainsRune("nrtN_ ", runes[i+1]) && quote == '"':
				// means white space
			case skip == 0:
				return position{s.name, line, i + 1}, true
			default:
				skip--
			}
			if pair {
				i++
			}
		}
		from.column = 1
	}
	return position{}, false
}

// written is the text of a scalar, where it begins in the source, and its quote.
func (s *source) written(node ast.Node) (text string, from position, quote rune) {
	tk := node.GetToken()
	from = s.atToken(tk)
	switch n := node.(type) {
	case *ast.LiteralNode:
		return n.Value.Value, position{s.name, from.line + 1, 1}, 0
	case *ast.StringNode:
		if isQuoted(n) {
			quote = []rune(s.lines[from.line-1])[from.column-1]
			from.column++
		}
		return n.Value, from, quote
	case ast.ScalarNode:
		return tk.Value, from, 0
	}
	return "", from, 0
}

// countNonSpace counts the characters among the first n that are not white space.
func countNonSpace(text string, n int) int {
	count, seen := 0, 0
	for _, r := range text {
		if seen == n {
			break
		}
		seen++
		if !unicode.IsSpace(r) {
			count++
		}
	}
	return count
}

// isEscape reports whether two characters of the source mean one.
func isEscape(runes []rune, quote rune) bool {
	if len(runes) < 2 {
		return false
	}
	return quote == '"' && runes[0] == '\\' || quote == '\'' && runes[0] == '\'' && runes[1] == '\''
}

func isQuoted(n *ast.StringNode) bool {
	t := n.GetToken().Type
	return t == token.SingleQuoteType || t == token.DoubleQuoteType
}

func isNull(node ast.Node) bool { return node == nil || node.Type() == ast.NullType }
