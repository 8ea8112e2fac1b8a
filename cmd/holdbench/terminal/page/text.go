package page

import (
	"math"
	"strconv"
	"strings"

	"github.com/charmbracelet/x/ansi"
)

// Text draws one line up to the area's right edge or to the first newline, whichever comes
// first, and returns the next free column; that is the edge when something was cut off.
// It counts columns the same way above and below the area.
func (a Area) Text(x, y int, role Role, s string) int {
	if a.page == nil {
		return x
	}
	for _, r := range s {
		if r == '\n' || x >= a.w {
			return x
		}
		sign, width := signOf(r, a.page.ascii)
		if x >= 0 && width > a.w-x {
			return a.w
		}
		a.put(x, y, sign, width, role)
		x += width
	}
	return x
}

// Fit draws one line like Text, with an ellipsis where it is cut off.
func (a Area) Fit(x, y int, role Role, s string) int {
	return a.Text(x, y, role, Cut(s, a.w-x))
}

// Right draws one line that ends at the area's right edge. When it is too long, it starts at
// the left edge and its end is cut off.
func (a Area) Right(y int, role Role, s string) {
	s, _, _ = strings.Cut(s, "\n")
	a.Text(max(a.w-Width(s), 0), y, role, s)
}

// Wrap draws a text in words between column x and the area's right edge, from row y downwards,
// and returns how many lines it needs, also those that the area is too low for. A word that
// is too long is broken; blanks between words count as one; a newline begins a line.
func (a Area) Wrap(x, y int, role Role, s string) (lines int) {
	column := a.Sub(x, 0, a.w, a.h)
	if column.w == 0 || s == "" {
		return 0
	}
	for paragraph := range strings.SplitSeq(s, "\n") {
		for line := range strings.SplitSeq(fold(paragraph, column.w), "\n") {
			column.Text(0, y+lines, role, line)
			lines++
		}
	}
	return lines
}

// fold breaks a paragraph into lines of at most width cells. A no-break space is no place to
// break, nor is a hyphen: names of documents, signs of numbers and numbers of standards have it.
func fold(paragraph string, width int) string {
	const hyphen, noBreak = "-", "\u2011"
	words := strings.FieldsFunc(paragraph, func(r rune) bool { return r == ' ' || r == '\t' || r == '\r' })
	text := drawable(strings.Join(words, " "), width)
	return strings.ReplaceAll(ansi.Wrap(strings.ReplaceAll(text, hyphen, noBreak), width, ""), noBreak, hyphen)
}

// Width is how many cells Text takes for a line.
func Width(s string) int {
	width := 0
	for _, r := range s {
		_, w := signOf(r, false)
		width += w
	}
	return width
}

// Cut shortens a line to so many cells and shows that it did.
func Cut(s string, width int) string {
	s, _, _ = strings.Cut(s, "\n")
	return ansi.Truncate(drawable(s, width), max(width, 0), "…")
}

// FourDigits is [Digits] with the four digits that figures have on a screen.
func FourDigits(x float64) string { return Digits(x, 4) }

// Digits writes a number with so many significant digits, without zeros at its end. Digits before the point are never
// rounded away. It has a power of ten only from 1e15 on and below a millionth.
func Digits(x float64, digits int) string {
	const least, most = 1e-6, 1e15
	text := strconv.FormatFloat(x, 'g', digits, 64)
	switch size := math.Abs(x); {
	case size >= math.Pow10(digits-1) && size < most:
		return strconv.FormatFloat(x, 'f', 0, 64)
	case size >= least && size < 1:
		rounded, _ := strconv.ParseFloat(text, 64) // of a number that was just written
		return strconv.FormatFloat(rounded, 'f', -1, 64)
	}
	return text
}

// Counted is a number of things: 1 fault, 2 faults.
func Counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}

// drawable is a text as Text draws it, so that the library counts it as we do. A sign that is
// wider than a line becomes U+FFFD.
func drawable(s string, width int) string {
	return strings.Map(func(r rune) rune {
		sign, w := signOf(r, false)
		switch {
		case w == 0:
			return -1
		case r == '\u00a0':
			return r
		case w > width:
			return '\ufffd'
		}
		return sign
	}, s)
}
