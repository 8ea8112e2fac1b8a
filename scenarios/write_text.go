package scenarios

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"
)

// lineWidth is how many characters a line of a document has at most, if it can.
const lineWidth = 100

const indentStep = "  "

// blockText writes keys or items, each on lines of its own.
func (e *element) blockText(indent string) string {
	var b strings.Builder
	for i := range e.entries {
		if e.form == listForm {
			b.WriteString(e.entries[i].value.under(indent, "-", ""))
		} else {
			b.WriteString(e.entries[i].value.under(indent, keyText(e.entries[i].key)+":", e.entries[i].remark))
		}
	}
	return b.String()
}

// under writes a value behind what leads to it, a key or a dash, or below it.
func (e *element) under(indent, lead, remark string) string {
	if remark != "" {
		remark = " # " + remark
	}
	if len(e.entries) == 0 || !e.block {
		one := indent + lead + " " + e.lineText(false) + remark + "\n"
		fits := width(one) <= lineWidth
		if lines, ok := e.linesText(indent + indentStep); ok && (e.lines || !fits || strings.Contains(e.text, "\n")) {
			return indent + lead + " " + lines
		}
		if len(e.entries) == 0 || fits {
			return one
		}
	}
	if lead == "-" {
		return indent + "- " + e.blockText(indent + indentStep)[len(indent)+len("- "):]
	}
	return indent + lead + remark + "\n" + e.blockText(indent+indentStep)
}

// lineText writes a value on one line; inside means between brackets.
func (e *element) lineText(inside bool) string {
	switch e.form {
	case textForm:
		if isPlain(e.text, inside, e.exact) {
			return e.text
		}
		return inQuotes(e.text)
	case keysForm:
		parts := make([]string, len(e.entries))
		for i := range e.entries {
			parts[i] = keyText(e.entries[i].key) + ": " + e.entries[i].value.lineText(true)
		}
		return "{" + strings.Join(parts, ", ") + "}"
	case listForm:
		parts := make([]string, len(e.entries))
		for i := range e.entries {
			parts[i] = e.entries[i].value.lineText(true)
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return e.text
}

// linesText writes a text on lines of their own, below | as they are or below > folded
// where one is too long; false if
// neither can hold it, or if it is no text.
func (e *element) linesText(indent string) (string, bool) {
	body := strings.TrimRight(e.text, "\n")
	ends := len(e.text) - len(body)
	lines := strings.Split(body, "\n")
	// What stood in quotes and ends a line would lose that end with some readers.
	if e.form != textForm || body == "" || ends > 0 && e.exact || ends > 1 && !e.lines {
		return "", false
	}
	widest := 0
	for _, line := range lines {
		if !isPrintable(line) || !e.lines && strings.Trim(line, " ") != line {
			return "", false
		}
		widest = max(widest, width(line))
	}
	sign := "|"
	if widest > lineWidth-len(indent) && ends < 2 && isFoldable(lines) {
		sign, lines = ">", folded(lines, lineWidth-len(indent))
	}
	if strings.TrimLeft(body, " \n") != body { // or the depth would be read off the wrong line
		sign += strconv.Itoa(len(indentStep))
	}
	return sign + [...]string{"-", "", "+"}[min(ends, 2)] + "\n" + indented(lines, indent) + strings.Repeat("\n", max(ends-1, 0)), true
}

// isFoldable reports whether every space of the lines can be a line end.
func isFoldable(lines []string) bool {
	return !slices.ContainsFunc(lines, func(line string) bool {
		return strings.Trim(line, " ") != line || strings.Contains(line, "  ")
	})
}

// folded cuts lines at spaces; where a line ends a blank one is put in, for the first
// line end is read as a space or as nothing.
func folded(lines []string, most int) []string {
	var out []string
	for i, line := range lines {
		if i > 0 && lines[i-1] != "" {
			out = append(out, "")
		}
		out = append(out, wrapped(line, most)...)
	}
	return out
}

func wrapped(line string, most int) []string {
	var out []string
	row := ""
	for i, word := range strings.Split(line, " ") {
		switch {
		case i == 0:
			row = word
		case width(row)+1+width(word) > most:
			out = append(out, row)
			row = word
		default:
			row += " " + word
		}
	}
	return append(out, row)
}

func indented(lines []string, indent string) string {
	var b strings.Builder
	for _, line := range lines {
		if line != "" {
			b.WriteString(indent + line)
		}
		b.WriteString("\n")
	}
	return b.String()
}

func keyText(key string) string {
	if strings.Trim(key, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_.-") == "" && isPlain(key, true, true) {
		return key
	}
	return inQuotes(key)
}

// isPlain reports whether a text needs no quotes: it has no sign with a meaning in
// YAML, and our reader reads it as the same text. inside means between brackets, exact
// that it must not look like a number, true or false.
func isPlain(text string, inside, exact bool) bool {
	if !looksPlain(text) || inside && strings.ContainsAny(text, ",:[]{}") {
		return false
	}
	document := "k: " + text
	if inside {
		document = "k: {k: " + text + "}"
	}
	src, err := read("", []byte(document))
	if err != nil {
		return false
	}
	p, ok := src.find(map[bool]string{true: "$.k.k", false: "$.k"}[inside])
	if !ok || isNull(p.node) {
		return false
	}
	if words, ok := p.node.(*ast.StringNode); ok || exact {
		return ok && words.Value == text
	}
	got, ok := textOf(p.node)
	return ok && got == text
}

// looksPlain is stricter than YAML, so that any reader of YAML agrees.
func looksPlain(text string) bool {
	first, _ := utf8.DecodeRuneInString(text)
	switch {
	case text == "", !isPrintable(text), strings.HasPrefix(text, "..."), strings.HasSuffix(text, " "), strings.HasSuffix(text, ":"):
		return false
	case strings.Contains(text, ": "), strings.Contains(text, " #"):
		return false
	case first == '-' && len(text) > 1:
		return text[1] == '(' || isDecimal(text)
	}
	return unicode.IsLetter(first) || unicode.IsDigit(first) || strings.ContainsRune("./_(+", first)
}

// isPrintable leaves out line ends, tabs, controls and every space but the plain one.
func isPrintable(text string) bool {
	return !strings.ContainsFunc(text, func(r rune) bool { return !unicode.IsPrint(r) })
}

// inQuotes writes any text between double quotes.
func inQuotes(text string) string {
	var b strings.Builder
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			b.WriteString(`\` + string(r))
		case r == '\n':
			b.WriteString(`\n`)
		case unicode.IsPrint(r):
			b.WriteRune(r)
		case r > 0xFFFF:
			fmt.Fprintf(&b, `\U%08X`, r)
		default:
			fmt.Fprintf(&b, `\u%04X`, r)
		}
	}
	return `"` + b.String() + `"`
}

func width(text string) int { return utf8.RuneCountInString(strings.TrimSuffix(text, "\n")) }
