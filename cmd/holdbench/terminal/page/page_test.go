package page_test

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/cmd/holdbench/terminal/page"
)

// drawn returns a page as text; an underscore stands for every blank, so that blanks can be counted.
func drawn(p *page.Page) string { return strings.ReplaceAll(p.Text(), " ", "_") }

func TestTextIsClippedToItsArea(t *testing.T) {
	t.Parallel()
	cases := map[string]struct {
		x, y int
		s    string
		want string
		next int
	}{
		"Inside":            {1, 0, "ab", "_ab", 3},
		"RightEdge":         {3, 0, "abc", "___ab", 5},
		"LeftEdge":          {-2, 0, "abcd", "cd", 2},
		"FarLeft":           {-9, 0, "ab", "", -7},
		"FarRight":          {9, 0, "ab", "", 9},
		"Above":             {0, -1, "ab", "", 2},
		"Below":             {0, 1, "ab", "", 2},
		"Newline":           {0, 0, "ab\ncd", "ab", 2},
		"Wide":              {0, 0, "世界", "世界", 4},
		"WideCutRight":      {2, 0, "世界a", "__世", 5},
		"WideCutLeft":       {-1, 0, "世a", "_a", 2},
		"Escape":            {0, 0, "\x1b[1m", "␛[1m", 4},
		"Control":           {0, 0, "\t\r\x00\x7f\u0085", "␉␍␀␡�", 5},
		"BrokenUTF8":        {0, 0, "a\xffb", "a�b", 3},
		"Mark":              {0, 0, "e\u0301a", "ea", 2},
		"DirectionOverride": {0, 0, "a\u202eb", "ab", 2},
		"NoBreakSpace":      {0, 0, "1\u00a0A", "1_A", 3},
		"HalfOfAFlag":       {0, 0, "\U0001F1E9x", "�x", 2},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			p := page.New(5, 1, false)
			next := p.Area().Text(c.x, c.y, page.Plain, c.s)
			assert.Equal(t, c.want, drawn(p))
			assert.Equal(t, c.next, next)
		})
	}
}

func TestSmallAndImpossibleSizes(t *testing.T) {
	t.Parallel()
	for _, size := range [][2]int{{0, 0}, {-3, -1}, {0, 4}, {4, 0}, {1, 1}, {1 << 40, 1}} {
		p := page.New(size[0], size[1], false)
		a := p.Area()
		a.Rule(0, "title")
		a.Wrap(0, 0, page.Plain, "a few words")
		a.Right(0, page.Plain, "right")
		top, below := a.SplitTop(-7)
		assert.Equal(t, a.H(), top.H()+below.H())
		assert.Equal(t, a.H(), strings.Count(p.ANSI(nil), "\n")+min(a.H(), 1), "lines of %v", size)
		assert.LessOrEqual(t, a.W(), 2000)
	}
}

func TestZeroAreaDrawsNothing(t *testing.T) {
	t.Parallel()
	var a page.Area
	a.Fill('x', page.Plain)
	a.Set(0, 0, 'x', page.Plain)
	a.Rule(0, "x")
	a.VLine(0, 0, 3, page.Plain)
	assert.Equal(t, 4, a.Text(4, 0, page.Plain, "x"))
	assert.Zero(t, a.Wrap(0, 0, page.Plain, "x"))
	assert.Zero(t, a.Sub(-1, -1, 9, 9).W())
}

func TestSubIsClipped(t *testing.T) {
	t.Parallel()
	a := page.New(10, 4, false).Area().Sub(2, 1, 6, 2)
	for _, c := range []struct{ x, y, w, h, wantW, wantH int }{
		{0, 0, 6, 2, 6, 2},
		{-2, -1, 4, 2, 2, 1},
		{4, 1, 9, 9, 2, 1},
		{1, 1, -3, 1, 0, 1},
		{-5, 0, -5, 1, 0, 1},
		{7, 3, 1, 1, 0, 0},
		{1 << 62, 1, 1 << 62, 1, 0, 1},
		{-1 << 63, 0, 1<<63 - 1, 1, 0, 1},
	} {
		sub := a.Sub(c.x, c.y, c.w, c.h)
		assert.Equal(t, [2]int{c.wantW, c.wantH}, [2]int{sub.W(), sub.H()}, "%+v", c)
	}
}

func TestRightAndRule(t *testing.T) {
	t.Parallel()
	p := page.New(12, 3, false)
	p.Area().Rule(0, "Torque")
	p.Area().Right(1, page.Plain, "47.3 N·m")
	p.Area().Right(2, page.Plain, "too long a text")
	assert.Equal(t, "── Torque ──\n    47.3 N·m\ntoo long a t", p.Text())
}

func TestWrap(t *testing.T) {
	t.Parallel()
	cases := map[string]struct {
		width int
		s     string
		want  []string
	}{
		"Words":       {9, "nobody is under a raised load", []string{"nobody_is", "under_a", "raised", "load"}},
		"LongWord":    {4, "a counterbalance b", []string{"a", "coun", "terb", "alan", "ce_b"}},
		"Paragraphs":  {9, "a\n\nb  c", []string{"a", "", "b_c"}},
		"NoBreak":     {6, "a 12\u00a0mm", []string{"a", "12_mm"}},
		"WideInOne":   {1, "世a", []string{"�", "a"}},
		"Hyphens":     {12, "EN ISO 13849-1 and -2", []string{"EN_ISO", "13849-1_and", "-2"}},
		"Marks":       {3, "e\u0301a bc", []string{"ea", "bc"}},
		"Escape":      {4, "a \x1b[31mb", []string{"a", "␛[31", "mb"}},
		"OnlyBlanks":  {3, "   ", []string{""}},
		"ExactlyFull": {4, "ab c", []string{"ab_c"}},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			p := page.New(c.width+2, len(c.want)+1, false)
			lines := p.Area().Wrap(2, 0, page.Plain, c.s)
			require.Equal(t, len(c.want), lines)
			for i, line := range strings.Split(drawn(p), "\n")[:lines] {
				assert.Equal(t, c.want[i], strings.TrimPrefix(line, "__"))
			}
		})
	}
	t.Run("CountsLinesBelow", func(t *testing.T) {
		p := page.New(3, 1, false)
		assert.Equal(t, 3, p.Area().Wrap(0, 0, page.Plain, "one two six"))
		assert.Equal(t, "one", p.Text())
	})
}

func TestCut(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		s     string
		width int
		want  string
	}{
		{"travel", 6, "travel"},
		{"travel", 5, "trav…"},
		{"travel", 0, ""},
		{"travel", -1, ""},
		{"世界a", 5, "世界a"},
		{"世界a", 4, "世…"},
		{"\x1b[1mred", 5, "␛[1m…"},
		{"first\nsecond", 20, "first"},
	} {
		assert.Equal(t, c.want, page.Cut(c.s, c.width), "%q in %d", c.s, c.width)
	}
}

// Half a wide rune has no shape: it becomes a blank, and its neighbours stay where they were.
func TestDrawingOverHalfAWideRune(t *testing.T) {
	t.Parallel()
	for x, want := range []string{"x_界a", "_x界a", "世x_a", "世_xa"} {
		p := page.New(5, 1, false)
		p.Area().Text(0, 0, page.Plain, "世界a")
		p.Area().Set(x, 0, 'x', page.Plain)
		assert.Equal(t, want, drawn(p))
	}
}

// What has no whole place inside the area is not drawn, and what has no width never.
func TestSetAndFillKeepWideRunesInside(t *testing.T) {
	t.Parallel()
	p := page.New(6, 1, false)
	p.Area().Fill('@', page.Plain)
	a := p.Area().Sub(0, 0, 3, 1)
	a.Set(2, 0, '世', page.Plain)
	a.Set(0, 0, '\u0301', page.Plain)
	assert.Equal(t, "@@@@@@", p.Text())
	a.Fill('世', page.Plain)
	assert.Equal(t, "世@@@@", p.Text())
}

// A rune is drawn in ASCII with the width that it has on a terminal of Unicode, so that both
// have one layout.
func TestASCII(t *testing.T) {
	t.Parallel()
	for signs, want := range map[string]string{
		"47 N·m":     "47 N.m",
		"90° −√2 m²": "90d -v2 m2",
		"a → b …":    "a > b ~",
		"✓ ✗ ≤ ≥ ≠":  "+ x < > /",
		"┌─┬┐│╳":     "+-++|x",
		"▁▂▃▄▅▆▇█":   ".:-=+*##",
		"▌░▒▓":       "#.:%",
		"⠀⠁⠤⣿":       " '.:",
		"世界":         "????",
		"\x1b\u2028": "??",
		"ij":         "ij",
	} {
		p := page.New(12, 1, true)
		end := p.Area().Text(0, 0, page.Plain, signs)
		assert.Equal(t, strings.TrimRight(want, " "), p.Text())
		assert.Equal(t, len(want), end)
		assert.Equal(t, end, page.New(12, 1, false).Area().Text(0, 0, page.Plain, signs), "same layout")
	}
}

// The kinds of events are those of the printed timeline, so that one legend explains both. No
// two signs with a meaning of their own look the same.
func TestASCIIKeepsMeaningsApart(t *testing.T) {
	t.Parallel()
	for signs, want := range map[string]string{
		"▸◇▲§▮~•✗■⚠": ">o^?=~!x|W", // state, operator, fault, judge, brake, drive, truth, obligation, end, alarm
		"●◉○":        "*@-",        // passed, active, ahead
		"▶◀⇒◷┃":      "}{&T@",      // goes on, behind, next, a time runs, now
		"█≠━─":       "#/=-",       // filled, differs, played, to come
		"╎┊│":        "I;|",        // ceiling, requirement, zero
	} {
		p := page.New(20, 1, true)
		p.Area().Text(0, 0, page.Plain, signs)
		assert.Equal(t, want, p.Text(), signs)
	}
}

// anyText leans to what is awkward: wide runes, marks, parts of clusters, escapes, our signs.
func anyText() *rapid.Generator[string] {
	awkward := []rune("世界한ᄒ\u1161\u0301\u200d\u202e🇩🇪👩🏽🏿⚠\ufe0fक\u094dष\u0d4e\u0600\u00ad\x1b[m\n\t°·√→│█⣿ ax")
	return rapid.StringOf(rapid.OneOf(rapid.SampledFrom(awkward), rapid.Rune()))
}

func size(t *rapid.T, name string) int { return rapid.IntRange(-2, 24).Draw(t, name) }

// scrawl draws anything anywhere inside an area.
func scrawl(t *rapid.T, a page.Area) {
	at := func(name string) int { return rapid.IntRange(-12, 30).Draw(t, name) }
	for range rapid.IntRange(0, 8).Draw(t, "strokes") {
		role := page.Role(rapid.IntRange(0, 20).Draw(t, "role"))
		text := anyText().Draw(t, "text")
		sub := a.Sub(at("x"), at("y"), size(t, "w"), size(t, "h"))
		switch rapid.IntRange(0, 6).Draw(t, "stroke") {
		case 0:
			sub.Text(at("x"), at("y"), role, text)
		case 1:
			sub.Wrap(at("x"), at("y"), role, text)
		case 2:
			sub.Right(at("y"), role, text)
		case 3:
			sub.Rule(at("y"), text)
		case 4:
			sub.Fill(rapid.Rune().Draw(t, "rune"), role)
		case 5:
			sub.VLine(at("x"), at("y"), at("n"), role)
		case 6:
			top, below := sub.SplitTop(at("h"))
			for _, part := range []page.Area{top, below} {
				part.Text(0, 0, role, text)
			}
		}
	}
}

// Drawing in an area changes nothing around it, and the area keeps its size.
func TestNothingIsDrawnOutsideAnArea(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		const side, x, y, w, h = 16, 4, 5, 6, 3
		p := page.New(side, side, rapid.Bool().Draw(t, "ascii"))
		p.Area().Fill('@', page.Plain)
		scrawl(t, p.Area().Sub(x, y, w, h))
		for row, line := range strings.Split(p.ANSI(nil), "\n") {
			if row < y || row >= y+h {
				assert.Equal(t, strings.Repeat("@", side), line)
				continue
			}
			left, right := strings.Repeat("@", x), strings.Repeat("@", side-x-w)
			require.True(t, strings.HasPrefix(line, left) && strings.HasSuffix(line, right), line)
			assert.Equal(t, w, ansi.StringWidth(line[x:len(line)-len(right)]))
		}
	})
}

// What the terminal shows is the plain text, padded to the width of the page.
func TestANSIIsTheTextInFullWidth(t *testing.T) {
	t.Parallel()
	paints := []*page.Paint{nil, {}, page.NewPaint(page.Colours{}), page.NewPaint(page.Colours{Number: 8}), page.NewPaint(page.Colours{Number: 16}), page.NewPaint(page.Colours{Number: 256}), page.NewPaint(page.Colours{Number: 1 << 24})}
	rapid.Check(t, func(t *rapid.T) {
		p := page.New(size(t, "width"), size(t, "height"), rapid.Bool().Draw(t, "ascii"))
		scrawl(t, p.Area())
		painted := p.ANSI(rapid.SampledFrom(paints).Draw(t, "paint"))
		require.True(t, utf8.ValidString(painted))
		lines := strings.Split(painted, "\n")
		for i, want := range strings.Split(p.Text(), "\n") {
			got := ansi.Strip(lines[i])
			if p.Area().H() > 0 {
				require.Equal(t, p.Area().W(), ansi.StringWidth(lines[i]), "%q", lines[i])
			}
			require.Equal(t, want, strings.TrimRight(got, " "))
		}
	})
}

func TestASCIIIsASCII(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := page.New(20, 10, true)
		scrawl(t, p.Area())
		for _, r := range p.Text() {
			require.True(t, r == '\n' || r >= ' ' && r < 0x7f, "%q", r)
		}
	})
}

// A number has four digits, all that it has before its point, and no power of ten where people write
// none.
func TestDigits(t *testing.T) {
	t.Parallel()
	for x, want := range map[float64]string{
		0: "0", 0.05: "0.05", 0.00001356: "0.00001356", -0.0000524149: "-0.00005241", 0.000001: "0.000001", 0.99996: "1",
		3.64591: "3.646", 999.96: "1000", 28800.00125: "28800", 1234567: "1234567", 2e-7: "2e-07", 3e15: "3e+15",
		math.Inf(1): "+Inf",
	} {
		assert.Equal(t, want, page.FourDigits(x))
	}
	assert.Equal(t, "NaN", page.FourDigits(math.NaN()))
	assert.Equal(t, "0.00136", page.Digits(0.001356, 3))
}
