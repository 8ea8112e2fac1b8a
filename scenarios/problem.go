package scenarios

import (
	"fmt"
	"strings"

	"github.com/mattn/go-runewidth"
)

// Problem is one thing that is wrong, or doubtful, with a document, and where.
type Problem struct {
	File         string
	Line, Column int // from 1; 0 if there is no place
	Message      string
	Excerpt      string // the line with a mark below, empty if there is no place
	Warning      bool   // the document can be used, but look at it
}

// Error gives place, message and excerpt.
func (p *Problem) Error() string {
	var b strings.Builder
	b.WriteString(p.File)
	if p.Line > 0 {
		fmt.Fprintf(&b, ":%d:%d", p.Line, p.Column)
	}
	b.WriteString(": ")
	if p.Warning {
		b.WriteString("warning: ")
	}
	b.WriteString(p.Message)
	if p.Excerpt != "" {
		b.WriteByte('\n')
		b.WriteString(p.Excerpt)
	}
	return b.String()
}

// Problems is everything wrong with a document at once.
type Problems []*Problem

// Error lists the problems, one after the other.
func (p Problems) Error() string {
	parts := make([]string, len(p))
	for i, problem := range p {
		parts[i] = problem.Error()
	}
	return strings.Join(parts, "\n")
}

// orNil is the error if there is any problem.
func (p Problems) orNil() error {
	if len(p) == 0 {
		return nil
	}
	return p
}

// excerpt shows a line of a document with a mark below a column.
func excerpt(text string, line, column int) string {
	lines := strings.Split(text, "\n")
	if line < 1 || line > len(lines) {
		return ""
	}
	shown := strings.TrimRight(lines[line-1], "\r")
	runes := []rune(shown)
	before := printable(string(runes[:min(max(column-1, 0), len(runes))]))
	const most = 120
	if runewidth.StringWidth(before) > most {
		return "" // a mark that far out helps nobody
	}
	margin := fmt.Sprintf("%5d | ", line)
	gap := strings.Repeat(" ", len(margin)-2) + "| " + strings.Repeat(" ", runewidth.StringWidth(before))
	return margin + runewidth.Truncate(printable(shown), most, "…") + "\n" + gap + "^"
}

// printable shows tabs as a blank and other control characters as a sign, so that a
// document cannot steer the terminal.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t':
			return ' '
		case r < ' ' || r >= 0x7f && r < 0xa0:
			return '�'
		}
		return r
	}, s)
}
