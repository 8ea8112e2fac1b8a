package chart

import (
	"fmt"
	"math"
	"strings"
	"unicode"

	"github.com/charmbracelet/x/ansi"
)

// tidy makes a name fit for one line: what steers a terminal or breaks a picture becomes a blank.
func tidy(name string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		switch {
		case unicode.Is(unicode.Bidi_Control, r), r == unicode.ReplacementChar:
			return -1
		case !unicode.IsGraphic(r):
			return ' '
		}
		return r
	}, name))
}

// lettering writes names with all signs or with those of ASCII alone.
type lettering bool

const (
	allSigns  lettering = false
	onlyASCII lettering = true
)

func (l lettering) write(name string) string {
	name = tidy(name)
	if l == allSigns {
		return name
	}
	name = strings.NewReplacer("N·m", "Nm", "·", "*", "°", "deg ", "−", "-", "–", "-", "×", "x", "²", "2", "µ", "u", "…", "..", "≤", "<=", "≥", ">=").Replace(name)
	return strings.Map(func(r rune) rune {
		if r > '~' {
			return '?'
		}
		return r
	}, name)
}

// cut shortens text to a width in cells.
func (l lettering) cut(text string, width int) string {
	tail := l.more()
	if width <= len(tail) {
		tail = ""
	}
	return strings.TrimRight(ansi.Truncate(text, max(width, 0), tail), " ")
}

// more says that something was left out.
func (l lettering) more() string {
	if l == onlyASCII {
		return ".."
	}
	return "…"
}

func cells(text string) int { return ansi.StringWidth(text) }

func pad(text string, width int) string {
	return text + strings.Repeat(" ", max(0, width-cells(text)))
}

func padLeft(text string, width int) string {
	return strings.Repeat(" ", max(0, width-cells(text))) + text
}

// flow sets entries side by side in lines of a width.
func (l lettering) flow(entries []string, width int) []string {
	const between = "   "
	var lines []string
	for _, e := range entries {
		e = l.cut(e, width)
		last := len(lines) - 1
		if last >= 0 && cells(lines[last])+len(between)+cells(e) <= width {
			lines[last] += between + e
			continue
		}
		lines = append(lines, e)
	}
	return lines
}

// figure is a number in four digits that count.
func figure(v float64) string { return digits("%.4g", v) }

func threeDigits(v float64) string { return digits("%.3g", v) }

// digits writes a number without the power of ten as long as it is not too long.
func digits(format string, v float64) string {
	text := fmt.Sprintf(format, v)
	if strings.Contains(text, "e") && 1e-4 < math.Abs(v) && math.Abs(v) < 1e7 {
		text = fmt.Sprintf("%.0f", v)
	}
	if text == "-0" {
		return "0"
	}
	return text
}
