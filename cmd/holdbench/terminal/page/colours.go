package page

import (
	"strconv"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// Colours is what is known of the colours of a terminal.
type Colours struct {
	Number int // of different ones: 0, 8, 16, 256, or more for all
	Theme  Theme
}

// Theme is the background of a terminal.
type Theme uint8

// The backgrounds.
const (
	Either Theme = iota // not known, so that the tones can be read on both
	Dark
	Light
)

// ThemeOf is the theme of what a terminal says of itself in COLORFGBG, a list of colours of which the last
// one is the background. A terminal is not asked: not every one answers.
func ThemeOf(colorfgbg string) Theme {
	at := strings.LastIndexByte(colorfgbg, ';')
	background, err := strconv.Atoi(colorfgbg[at+1:])
	const lightGrey, grey, white = 7, 8, 15
	switch {
	case err != nil || at < 0 || background < 0 || background > white:
		return Either
	case background < lightGrey || background == grey:
		return Dark
	}
	return Light
}

// profile is the same for the library that writes escapes. That of NO_COLOR keeps bold, faint and reverse,
// which are no colours.
func (c Colours) profile() termenv.Profile {
	const eight, palette = 8, 256
	switch {
	case c.Number <= 0:
		return termenv.Ascii
	case c.Number > palette:
		return termenv.TrueColor
	case c.Number == palette:
		return termenv.ANSI256
	}
	return termenv.ANSI
}

// tone is one hue on one background, for each number of colours.
type tone struct{ full, of256, of16, of8 string }

// on is the tone for a terminal.
func (t tone) on(c Colours) lipgloss.Color {
	const sixteen = 16
	switch c.profile() {
	case termenv.TrueColor:
		return lipgloss.Color(t.full)
	case termenv.ANSI256:
		return lipgloss.Color(t.of256)
	}
	if c.Number < sixteen {
		return lipgloss.Color(t.of8)
	}
	return lipgloss.Color(t.of16)
}

// toneOf is a hue of the palette of M. Okabe and K. Ito, Color Universal Design, 2008, lightened or darkened
// until text in it has a contrast of 4.5:1 to the background (WCAG 2.2, 1.4.3): Dark on #000000, #1e1e1e and
// #002b36, Light on #ffffff and #fdf6e3. No tone has that on all five, and Either has 3:1 there, as marks must
// have (1.4.11). The tones of 256 colours are the nearest that keep the same; those of 8 and 16
// are those of the terminal, which sets them itself.
func toneOf(h hue, t Theme) tone {
	switch h {
	case blue:
		return [...]tone{{"#0083CC", "32", "6", "6"}, {"#12AAFF", "39", "14", "6"}, {"#0068A2", "25", "4", "4"}}[t]
	case vermillion:
		return [...]tone{{"#CE5B00", "166", "9", "1"}, {"#FF7D16", "208", "9", "1"}, {"#A44800", "124", "1", "1"}}[t]
	case amber:
		return [...]tone{{"#A77300", "136", "9", "1"}, {"#D79500", "172", "11", "3"}, {"#845B00", "94", "1", "1"}}[t]
	case green:
		return [...]tone{{"#008F68", "29", "2", "2"}, {"#00B886", "36", "10", "2"}, {"#007152", "22", "2", "2"}}[t]
	case purple:
		return [...]tone{{"#C05992", "132", "13", "5"}, {"#D38CB4", "175", "13", "5"}, {"#A33E76", "125", "5", "5"}}[t]
	default:
		return [...]tone{{}, {full: "#FFFFFF"}, {full: "#000000"}}[t]
	}
}

// aside is the grey of what is faint. Of 8 and 16 colours there is none that is sure to be seen, and the terminal's
// own faint is used.
func aside(t Theme) tone {
	return [...]tone{{"#808080", "244", "", ""}, {"#A0A0A0", "247", "", ""}, {"#5F5F5F", "241", "", ""}}[t]
}

// asideOn is the same for a terminal, empty where it has none. With all colours it is that of 256 as well: what is faint
// is on every second word, and the escape of a free colour is twice as long.
func asideOn(c Colours) lipgloss.Color {
	const palette = 256
	if c.Number < palette {
		return ""
	}
	return lipgloss.Color(aside(c.Theme).of256)
}
