package page

import (
	"strings"
	"unicode"

	"github.com/charmbracelet/x/ansi"
)

// signOf returns what is drawn for a rune and its width of 0, 1 or 2 cells. The width is the
// one that the terminal library counts with, so that its lines and ours agree. Nothing that
// steers a terminal comes through.
func signOf(r rune, ascii bool) (sign rune, width int) {
	if r >= ' ' && r < 0x7f {
		return r, 1
	}
	sign, width = visible(r)
	if ascii && width > 0 {
		return asciiSign(sign), width
	}
	return sign, width
}

// visible replaces what a cell cannot hold: a control character by its picture, any blank by
// a space, what has no shape or joins with its neighbours by U+FFFD. A mark that sits on
// the rune before it has width 0 and is left out, since a cell has one rune.
func visible(r rune) (sign rune, width int) {
	switch {
	case r >= 0 && r < ' ':
		return '␀' + r, 1
	case r == 0x7f:
		return '␡', 1
	case lineSign(r):
		return r, 1
	case unicode.In(r, unicode.Cc, unicode.Cs, unicode.Zl, unicode.Zp), !unicode.In(r, unicode.L, unicode.M, unicode.N, unicode.P, unicode.S, unicode.Z, unicode.Cf):
		return unicode.ReplacementChar, 1
	case unicode.Is(unicode.Zs, r) && r != '\u3000': // U+3000 is two cells wide
		return ' ', 1
	}
	return standingAlone(r)
}

// lineSign is the short way for what charts and text are made of; all are one cell wide.
func lineSign(r rune) bool {
	return r >= 0x2500 && r <= 0x259f || r >= 0x2800 && r <= 0x28ff || r >= 0xa1 && r < 0x300 && r != 0xad
}

// standingAlone lets a rune through whose width does not depend on its neighbours. Parts of
// flags, of Hangul syllables and of Indic clusters do: a line of them has another width than
// the sum of its cells.
func standingAlone(r rune) (sign rune, width int) {
	s := string(r)
	width = ansi.StringWidth(s)
	switch {
	case width == 0:
		return r, 0
	case width > 2, ansi.StringWidth("a"+s+s+"a") != 2+2*width:
		return unicode.ReplacementChar, 1
	}
	return r, width
}

// asciiSign returns the nearest sign of ASCII, one cell for one cell, and '?' where there is none.
func asciiSign(r rune) rune {
	switch {
	case r < 0x7f:
		return r
	case r >= 0x2500 && r <= 0x257f:
		return asciiLine(r)
	case r >= 0x2800 && r <= 0x28ff:
		return asciiDots(r)
	}
	for _, row := range asciiRows() {
		if strings.ContainsRune(row.signs, r) {
			return row.ascii
		}
	}
	return '?'
}

// asciiRow is one sign of ASCII and the signs that it stands for.
type asciiRow struct {
	ascii rune
	signs string
}

// asciiRows is the table of replacements, most used first. The row of '.' makes N·m N.m, the
// product sign of ISO 80000-1; ± becomes '~' since a '+' would say something else. A sign of the
// bench that means something by itself has a replacement that nothing else beside it has. The
// kinds of events have those of the timeline that is printed without the bench.
func asciiRows() [37]asciiRow {
	return [...]asciiRow{
		{'.', "·▁░▎▍"},
		{'-', "−–—‐‑▃▬↔○"}, // ○ lies ahead
		{'#', "█▇▌▋▊▉▐▀"},
		{'~', "…±≈∼∿"},
		{'d', "°Δ"},
		{'>', "→≥▸►▷›⏵"},
		{'<', "←≤◂◄◁⇐‹⏴↵⏎"},
		{'}', "▶"},  // goes on
		{'{', "◀"},  // lies behind
		{'&', "⇒"},  // comes next
		{'@', "◉◎"}, // here and now
		{'^', "↑▲△▴"},
		{'v', "↓▼▽▾√"},
		{':', "▂▒"},
		{'=', "▄▮▯≡"},
		{'+', "▅✓✔"},
		{'*', "▆●◆★∗"}, // ● is past
		{'!', "•¡"},    // truth
		{'W', "⚠"},     // warns of an alarm
		{'%', "▓‰"},
		{'x', "✗✘×"},
		{'o', "◇◦□◯ºΩ"},
		{'T', "◷"}, // a time runs
		{'/', "≠÷⁄∕"},
		{'"', "“”„«»″"},
		{'\'', "‘’‚′"},
		{'2', "²"},
		{'3', "³"},
		{'1', "¹"},
		{'?', "§"},
		{'|', "▏■◼¦∣"},
		{' ', "\u3000"},
		{'u', "µμùúûü"},
		{'a', "αàáâãäå"},
		{'e', "εèéêë"},
		{'t', "τ"},
		{'w', "ω"},
	}
}

// asciiLine stands for the signs of lines and boxes. Marks on a scale differ from its lines.
func asciiLine(r rune) rune {
	for _, row := range [...]asciiRow{
		{'=', "━═╸╺╼╾"}, // the part that is played, or passed over
		{'@', "┃"},      // here and now
		{'I', "╎"},
		{';', "┊"},
		{'-', "─┄┅┈┉╌╍╴╶"},
		{'|', "│┆┇┋╏║╵╷╹╻╽╿"},
		{'/', "╱"},
		{'\\', "╲╰"},
		{'x', "╳"},
	} {
		if strings.ContainsRune(row.signs, r) {
			return row.ascii
		}
	}
	return '+'
}

// asciiDots stands for a cell of braille dots: where they are, as far as ASCII can say it.
func asciiDots(r rune) rune {
	const upper, lower = 0x01 | 0x02 | 0x08 | 0x10, 0x04 | 0x20 | 0x40 | 0x80
	switch dots := r - 0x2800; {
	case dots == 0:
		return ' '
	case dots&lower == 0:
		return '\''
	case dots&upper == 0:
		return '.'
	}
	return ':'
}
