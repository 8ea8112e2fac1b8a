package main

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
)

// clean makes text of documents safe to print: what could move the cursor, change
// colours or turn the direction of writing comes out as an escape. Line breaks stay.
func clean(text string) string {
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

// cleanLine is clean for text that must stay on one line.
func cleanLine(text string) string {
	return strings.ReplaceAll(clean(strings.TrimSpace(text)), "\n", `\n`)
}

func unsafeRune(r rune) bool {
	return r == utf8.RuneError || unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) ||
		r == '\u2028' || r == '\u2029'
}

// cells is how wide text is on the screen, with or without colours.
func cells(text string) int { return ansi.StringWidth(text) }

// pad fills text with blanks on the right, padLeft on the left.
func pad(text string, width int) string {
	return text + strings.Repeat(" ", max(0, width-cells(text)))
}

func padLeft(text string, width int) string {
	return strings.Repeat(" ", max(0, width-cells(text))) + text
}

// wrap breaks text between words into lines of at most the width, and a word only if
// it is longer than a line.
func wrap(text string, width int) []string {
	width = max(1, width)
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && cells(line)+1+cells(word) <= width {
			line += " " + word
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for cells(word) > width {
			head := ansi.Truncate(word, width, "")
			if head == "" {
				break // a sign wider than the line
			}
			lines = append(lines, head)
			word = word[len(head):]
		}
		line = word
	}
	return append(lines, line)
}

// paragraph wraps text and puts every line behind a margin.
func paragraph(text, margin string, width int) string {
	lines := wrap(text, width-cells(margin))
	return margin + strings.Join(lines, "\n"+margin) + "\n"
}

// prose wraps the paragraphs of a help text.
func prose(paragraphs ...string) string {
	var parts []string
	for _, p := range paragraphs {
		parts = append(parts, strings.Join(wrap(p, narrow), "\n"))
	}
	return strings.Join(parts, "\n\n")
}

// fitNumber writes x with as many decimals as the width has room for.
func fitNumber(x float64, width, decimals int, sign bool) string {
	format := "%.*f"
	if sign {
		format = "%+.*f"
	}
	for d := decimals; d >= 0; d-- {
		text := fmt.Sprintf(format, d, x)
		if zero(text) {
			text = fmt.Sprintf("%.*f", d, 0.0)
		}
		if len(text) <= width {
			return padLeft(text, width)
		}
	}
	return padLeft(fmt.Sprintf("%.0e", x), width)
}

// zero tells a number that rounds to nothing: -0.00 would only raise questions.
func zero(text string) bool { return strings.Trim(text, "+-0.") == "" }

// figure is a number for prose: four digits that count, zeros at the end left out.
func figure(x float64) string {
	text := fmt.Sprintf("%.4g", x)
	if strings.Contains(text, "e") && x > -1e9 && x < 1e9 && (x > 1e-4 || x < -1e-4) {
		return fmt.Sprintf("%.0f", x)
	}
	return text
}

// seconds is a time of a run with its unit.
func seconds(s float64) string { return fmt.Sprintf("%.3f s", s) }

// count is a number of things in words.
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// sortedKeys puts a map in an order that is always the same.
func sortedKeys(m map[string]string) []string { return slices.Sorted(maps.Keys(m)) }
