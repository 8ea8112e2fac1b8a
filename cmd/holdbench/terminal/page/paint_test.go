package page

import (
	"math"
	"strings"
	"testing"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
)

// contrast is the ratio of WCAG 2.2 between two colours given as #RRGGBB or as a number of a
// terminal's palette:
//
//	(L1 + 0.05) / (L2 + 0.05), L1 the lighter
//	L = 0.2126 R + 0.7152 G + 0.0722 B
//
// with R, G, B linear: c/12.92 up to 0.04045, else ((c + 0.055)/1.055)^2.4. A terminal's own
// 16 colours may differ; the numbers here are those of termenv's table.
func contrast(one, other termenv.Color) float64 {
	light, dark := luminance(one), luminance(other)
	if light < dark {
		light, dark = dark, light
	}
	return (light + 0.05) / (dark + 0.05)
}

func luminance(c termenv.Color) float64 {
	linear := func(v float64) float64 {
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	rgb := termenv.ConvertToRGB(c)
	return 0.2126*linear(rgb.R) + 0.7152*linear(rgb.G) + 0.0722*linear(rgb.B)
}

const (
	black = termenv.RGBColor("#000000")
	white = termenv.RGBColor("#FFFFFF")
)

// The formula itself against figures known beforehand: 21:1 is the greatest ratio (WCAG 2.2,
// definition of contrast ratio), and #777777 on white is just under 4.5:1 (by hand: L = 0.1845).
func TestContrastFormula(t *testing.T) {
	t.Parallel()
	assert.InDelta(t, 21, contrast(black, white), 1e-9)
	assert.InDelta(t, 1, contrast(white, white), 1e-9)
	assert.InDelta(t, 1.05/(0.1845+0.05), contrast(termenv.RGBColor("#777777"), white), 0.002)
}

// grounds are the backgrounds that a theme is for: black and white, a dark grey that editors use, and the two
// of the Solarized palette.
func grounds(t Theme) []termenv.Color {
	dark := []termenv.Color{black, termenv.RGBColor("#1e1e1e"), termenv.RGBColor("#002b36")}
	light := []termenv.Color{white, termenv.RGBColor("#fdf6e3")}
	switch t {
	case Dark:
		return dark
	case Light:
		return light
	}
	return append(dark, light...)
}

// Every hue and grey can be read on the backgrounds of its theme, and seen on all of them if the theme is not
// known. The 16 colours are those of termenv's table here, on black or white.
func TestTonesCanBeRead(t *testing.T) {
	t.Parallel()
	for _, theme := range []Theme{Either, Dark, Light} {
		least := 4.5
		if theme == Either {
			least = 3
		}
		for role := range Role(roleCount) {
			l := lookOf(role)
			tone := toneOf(l.hue, theme)
			switch {
			case l.faint:
				tone = aside(theme)
			case l.hue == noHue:
				continue
			}
			for _, on := range grounds(theme) {
				assert.GreaterOrEqual(t, contrast(termenv.TrueColor.Color(tone.full), on), least, "role %d, theme %d, %s on %v", role, theme, tone.full, on)
				assert.GreaterOrEqual(t, contrast(termenv.ANSI256.Color(tone.of256), on), least, "role %d, theme %d, %s on %v", role, theme, tone.of256, on)
				if plain := on == black || on == white; plain && tone.of16 != "" {
					assert.GreaterOrEqual(t, contrast(termenv.ANSI.Color(tone.of16), on), 3.0, "role %d, theme %d, %s of 16 on %v", role, theme, tone.of16, on)
				}
			}
		}
	}
}

// A terminal of 8 colours gets no code of 16, and one of 16 none of 256.
func TestCodesOfFewColours(t *testing.T) {
	t.Parallel()
	codes := func(number int, theme Theme) string {
		var list []string
		for _, s := range NewPaint(Colours{number, theme}).styles {
			list = append(list, s.prefix)
		}
		return strings.Join(list, "")
	}
	for _, theme := range []Theme{Either, Dark, Light} {
		assert.NotRegexp(t, `[;\[](9[0-7]|10[0-7]|[34]8)[;m]`, codes(8, theme))
		assert.Regexp(t, `[;\[]3[1-6]m`, codes(8, theme))
		assert.NotRegexp(t, `[;\[][34]8[;m]`, codes(16, theme))
		assert.NotRegexp(t, `[;\[][34]8;2;`, codes(256, theme))
		assert.Regexp(t, `[;\[]38;2;`, codes(1<<24, theme))
		assert.NotRegexp(t, `[;\[](3[0-8]|9[0-7])[;m]`, codes(0, theme))
	}
}

func TestThemeOf(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]Theme{
		"15;0": Dark, "0;15": Light, "0;7": Light, "15;8": Dark, "0;default;15": Light, "7;default;0": Dark,
		"": Either, "15": Either, "15;default": Either, "0;99": Either, "0;-1": Either, "a;b": Either,
	} {
		assert.Equal(t, want, ThemeOf(text), text)
	}
}

// Pictures have their own background.
func TestPicturesAreReadable(t *testing.T) {
	t.Parallel()
	for _, dark := range []bool{false, true} {
		s := schemeOf(dark)
		for role := range Role(roleCount) {
			paper := termenv.RGBColor(s.paper)
			if lookOf(role).reverse {
				paper = termenv.RGBColor(toneOf(lookOf(role).hue, s.theme).full)
			}
			assert.GreaterOrEqual(t, contrast(termenv.RGBColor(s.ink(role)), paper), 4.5, "role %d, dark %v", role, dark)
		}
	}
}

// What must not be mixed up has escapes of its own in every depth of colour.
func TestRolesThatMustDiffer(t *testing.T) {
	t.Parallel()
	pairs := [][2]Role{{Good, Bad}, {Motor, Brake}, {Motor, Truth}, {Brake, Truth}, {Brake, Fault}, {Truth, Fault}, {Motor, Setpoint}, {Motor, Earlier}}
	for _, number := range []int{8, 16, 256, 1 << 24} {
		for _, theme := range []Theme{Either, Dark, Light} {
			paint := NewPaint(Colours{number, theme})
			for _, p := range pairs {
				assert.NotEqual(t, paint.styles[p[0]].prefix, paint.styles[p[1]].prefix, "roles %v, %d colours, theme %d", p, number, theme)
			}
		}
	}
}

func TestEscapes(t *testing.T) {
	t.Parallel()
	cases := []struct {
		name    string
		colours Colours
		role    Role
		want    string
	}{
		{"NoColour", Colours{}, Motor, "x"},
		{"NoColourKeepsBold", Colours{}, Bad, "\x1b[1mx\x1b[m"},
		{"NoColourKeepsReverse", Colours{}, Chosen, "\x1b[7mx\x1b[m"},
		{"NoColourKeepsFaint", Colours{}, Faint, "\x1b[2mx\x1b[m"},
		{"Colours8", Colours{Number: 8}, Fault, "\x1b[31mx\x1b[m"},
		{"Colours16", Colours{Number: 16}, Fault, "\x1b[91mx\x1b[m"},
		{"Colours256", Colours{Number: 256}, Bad, "\x1b[1;38;5;166mx\x1b[m"},
		{"TrueColour", Colours{Number: 1 << 24, Theme: Light}, Motor, "\x1b[38;2;0;104;162mx\x1b[m"},
		{"AsideOfTrueColour", Colours{Number: 1 << 24, Theme: Dark}, Faint, "\x1b[38;5;247mx\x1b[m"},
		{"AsideOfFew", Colours{Number: 16, Theme: Dark}, Faint, "\x1b[2mx\x1b[m"},
		{"PlainHasNone", Colours{Number: 1 << 24}, Plain, "x"},
		{"UnknownIsPlain", Colours{Number: 1 << 24}, Role(200), "x"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := New(1, 1, false)
			p.Area().Set(0, 0, 'x', c.role)
			assert.Equal(t, c.want, p.ANSI(NewPaint(c.colours)))
		})
	}
}

// A run of one look is one pair of escapes, blanks between its words and looks without escapes
// included; a reversed blank is seen, so it begins and ends where it stands.
func TestRunsShareEscapes(t *testing.T) {
	t.Parallel()
	paint := NewPaint(Colours{})
	line := func(draw func(Area)) string {
		p := New(8, 1, false)
		draw(p.Area())
		return p.ANSI(paint)
	}
	assert.Equal(t, "\x1b[1ma b c\x1b[m   ", line(func(a Area) {
		a.Set(0, 0, 'a', Strong)
		a.Set(2, 0, 'b', Heading)
		a.Set(4, 0, 'c', Strong)
	}))
	assert.Equal(t, " \x1b[7m a \x1b[m    ", line(func(a Area) { a.Text(1, 0, Chosen, " a ") }))
	assert.Equal(t, "a\x1b[1mb\x1b[mc     ", line(func(a Area) { a.Text(a.Text(a.Text(0, 0, Plain, "a"), 0, Strong, "b"), 0, Plain, "c") }))
	assert.NotContains(t, line(func(a Area) { a.Fill(' ', Bad) }), "\x1b")
	assert.Equal(t, "\x1b[1ma\x1b[0;7mb\x1b[m      ", line(func(a Area) { a.Text(a.Text(0, 0, Strong, "a"), 0, Chosen, "b") }))
	paint = NewPaint(Colours{Number: 256})
	assert.Equal(t, "\x1b[38;5;244ma\x1b[1;38;5;32mb\x1b[0;38;5;166mc\x1b[38;5;29md\x1b[0;1me\x1b[m   ", line(func(a Area) {
		for x, role := range []Role{Faint, Good, Fault, Brake, Strong} {
			a.Set(x, 0, rune('a'+x), role)
		}
	}))
}

func TestNilAndZeroPaintWriteNoEscapes(t *testing.T) {
	t.Parallel()
	p := New(6, 2, false)
	p.Area().Fill('x', Chosen)
	for _, paint := range []*Paint{nil, {}} {
		assert.Equal(t, strings.Repeat("x", 6)+"\n"+strings.Repeat("x", 6), p.ANSI(paint))
	}
}

// A terminal that is sent the trimmed lines, and erases behind each, shows the same as with the blanks; what is
// reversed is kept to its end.
func TestTrimmed(t *testing.T) {
	t.Parallel()
	p := New(8, 3, false)
	p.Area().Text(0, 0, Strong, "ab")
	p.Area().Text(0, 1, Chosen, "ab  ")
	assert.Equal(t, "\x1b[1mab\x1b[m\n\x1b[7mab  \x1b[m\n", Trimmed(p.ANSI(NewPaint(Colours{}))))
}
