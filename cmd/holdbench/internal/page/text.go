// Package page lays out what people read: text, figures, tables, bars and strips for a screen of
// some width, with colours and signs where the screen has them.
package page

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
)

// Clean makes text of documents safe to print: what could move the cursor, change
// colours or turn the direction of writing comes out as an escape. Line breaks stay.
func Clean(text string) string {
	if !strings.ContainsFunc(text, func(r rune) bool { return r != '\n' && unsafeRune(r) }) {
		return text
	}
	var b strings.Builder
	for len(text) > 0 {
		r, size := utf8.DecodeRuneInString(text)
		switch {
		case r == utf8.RuneError && size == 1:
			fmt.Fprintf(&b, `\x%02x`, text[0])
		case r != '\n' && unsafeRune(r):
			fmt.Fprintf(&b, `\u%04x`, r)
		default:
			b.WriteRune(r)
		}
		text = text[size:]
	}
	return b.String()
}

// CleanLine is clean for text that must stay on one line.
func CleanLine(text string) string {
	return strings.ReplaceAll(Clean(strings.TrimSpace(text)), "\n", `\n`)
}

func unsafeRune(r rune) bool {
	return r == utf8.RuneError || unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) ||
		r == '\u2028' || r == '\u2029'
}

// Cells is how wide text is on the screen, with or without colours.
func Cells(text string) int { return ansi.StringWidth(text) }

// Pad fills text with blanks on the right.
func Pad(text string, width int) string {
	return text + strings.Repeat(" ", max(0, width-Cells(text)))
}

// PadLeft fills text with blanks on the left.
func PadLeft(text string, width int) string {
	return strings.Repeat(" ", max(0, width-Cells(text))) + text
}

// Wrap breaks text between words into lines of at most the width, and a word only if it is
// longer than a line. A hyphen is no place to break: names of documents, signs of numbers and
// numbers of standards have it.
func Wrap(text string, width int) []string {
	const hyphen, noBreak = "-", "\u2011"
	words := strings.ReplaceAll(strings.Join(strings.Fields(text), " "), hyphen, noBreak)
	return strings.Split(strings.ReplaceAll(ansi.Wrap(words, max(1, width), ""), noBreak, hyphen), "\n")
}

// Paragraph wraps text and puts every line behind a margin.
func Paragraph(text, margin string, width int) string {
	lines := Wrap(text, width-Cells(margin))
	return margin + strings.Join(lines, "\n"+margin) + "\n"
}

// Prose wraps the paragraphs of a help text.
func Prose(paragraphs ...string) string {
	var parts []string
	for _, p := range paragraphs {
		parts = append(parts, strings.Join(Wrap(p, Narrow), "\n"))
	}
	return strings.Join(parts, "\n\n")
}

// OrNothing is text, or a word where there is none.
func OrNothing(text string) string {
	if text == "" {
		return "nothing"
	}
	return text
}
