package page

import (
	"math"
	"strings"
	"testing"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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

// Every hue can be read on a black and on a white terminal, as the background is not known.
func TestHuesReadOnBlackAndWhite(t *testing.T) {
	t.Parallel()
	for role := range Role(roleCount) {
		h := lookOf(role).hue
		if h == noHue {
			continue
		}
		terminal := tonesOf(h).terminal
		for _, c := range []termenv.Color{
			termenv.TrueColor.Color(terminal.TrueColor),
			termenv.ANSI256.Color(terminal.ANSI256),
			termenv.ANSI.Color(terminal.ANSI),
		} {
			require.NotNil(t, c)
			assert.GreaterOrEqual(t, contrast(c, black), 3.0, "role %d, %v on black", role, c)
			assert.GreaterOrEqual(t, contrast(c, white), 3.0, "role %d, %v on white", role, c)
		}
	}
}

// Pictures know their background: text 4.5:1, hues 3:1 on white and 4.5:1 on black.
func TestPicturesAreReadable(t *testing.T) {
	t.Parallel()
	for _, dark := range []bool{false, true} {
		s := schemeOf(dark)
		for role := range Role(roleCount) {
			least := 4.5
			if lookOf(role).hue != noHue && !dark {
				least = 3
			}
			paper := termenv.RGBColor(s.paper)
			if lookOf(role).reverse {
				paper = termenv.RGBColor(s.text)
			}
			assert.GreaterOrEqual(t, contrast(termenv.RGBColor(s.ink(role)), paper), least, "role %d, dark %v", role, dark)
		}
	}
}

func TestOnlyPaletteColours(t *testing.T) {
	t.Parallel()
	okabeIto := []string{"#000000", "#E69F00", "#56B4E9", "#009E73", "#F0E442", "#0072B2", "#D55E00", "#CC79A7"}
	for role := range Role(roleCount) {
		if h := lookOf(role).hue; h != noHue {
			for _, c := range []string{tonesOf(h).terminal.TrueColor, tonesOf(h).light, tonesOf(h).dark} {
				assert.Contains(t, okabeIto, c)
			}
		}
	}
}

// What must not be mixed up has escapes of its own in every depth of colour.
func TestRolesThatMustDiffer(t *testing.T) {
	t.Parallel()
	pairs := [][2]Role{{Good, Bad}, {Motor, Brake}, {Motor, Truth}, {Brake, Truth}, {Brake, Fault}, {Truth, Fault}, {Motor, Setpoint}, {Motor, Earlier}}
	for _, profile := range []termenv.Profile{termenv.ANSI, termenv.ANSI256, termenv.TrueColor} {
		paint := NewPaint(profile)
		for _, p := range pairs {
			assert.NotEqual(t, paint.styles[p[0]].prefix, paint.styles[p[1]].prefix, "roles %v, %v", p, profile)
		}
	}
}

func TestEscapes(t *testing.T) {
	t.Parallel()
	cases := []struct {
		name    string
		profile termenv.Profile
		role    Role
		want    string
	}{
		{"NoColour", termenv.Ascii, Motor, "x"},
		{"NoColourKeepsBold", termenv.Ascii, Bad, "\x1b[1mx\x1b[0m"},
		{"NoColourKeepsReverse", termenv.Ascii, Chosen, "\x1b[7mx\x1b[0m"},
		{"NoColourKeepsFaint", termenv.Ascii, Faint, "\x1b[2mx\x1b[0m"},
		{"Colours16", termenv.ANSI, Fault, "\x1b[91mx\x1b[0m"},
		{"Colours256", termenv.ANSI256, Bad, "\x1b[1;38;5;166mx\x1b[0m"},
		{"TrueColour", termenv.TrueColor, Fault, "\x1b[38;2;213;94;0mx\x1b[0m"},
		{"PlainHasNone", termenv.TrueColor, Plain, "x"},
		{"UnknownIsPlain", termenv.TrueColor, Role(200), "x"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := New(1, 1, false)
			p.Area().Set(0, 0, 'x', c.role)
			assert.Equal(t, c.want, p.ANSI(NewPaint(c.profile)))
		})
	}
}

// A run of one look is one pair of escapes, blanks between its words and looks without escapes
// included; a reversed blank is seen, so it begins and ends where it stands.
func TestRunsShareEscapes(t *testing.T) {
	t.Parallel()
	paint := NewPaint(termenv.Ascii)
	line := func(draw func(Area)) string {
		p := New(8, 1, false)
		draw(p.Area())
		return p.ANSI(paint)
	}
	assert.Equal(t, "\x1b[1ma b c   \x1b[0m", line(func(a Area) {
		a.Set(0, 0, 'a', Strong)
		a.Set(2, 0, 'b', Heading)
		a.Set(4, 0, 'c', Strong)
	}))
	assert.Equal(t, " \x1b[7m a \x1b[0m    ", line(func(a Area) { a.Text(1, 0, Chosen, " a ") }))
	assert.Equal(t, "a\x1b[1mb\x1b[0mc     ", line(func(a Area) { a.Text(a.Text(a.Text(0, 0, Plain, "a"), 0, Strong, "b"), 0, Plain, "c") }))
	assert.NotContains(t, line(func(a Area) { a.Fill(' ', Bad) }), "\x1b")
}

func TestNilAndZeroPaintWriteNoEscapes(t *testing.T) {
	t.Parallel()
	p := New(6, 2, false)
	p.Area().Fill('x', Chosen)
	for _, paint := range []*Paint{nil, {}} {
		assert.Equal(t, strings.Repeat("x", 6)+"\n"+strings.Repeat("x", 6), p.ANSI(paint))
	}
}
