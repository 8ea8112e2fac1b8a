package page

import (
	"io"
	"strings"
	"testing"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
)

func TestBar(t *testing.T) {
	s, a := plainScreen(80, false), plainScreen(80, true)
	for _, c := range []struct {
		share       float64
		want, ascii string
	}{
		{0, "········", "........"},
		{0.5, "████····", "####...."},
		{0.52, "████▏···", "####...."},
		{1, "████████", "########"},
		{7, "████████", "########"},
		{-1, "········", "........"},
	} {
		assert.Equal(t, c.want, s.Bar(c.share, 8), "%g", c.share)
		assert.Equal(t, c.ascii, a.Bar(c.share, 8), "%g", c.share)
	}
}

func TestStrip(t *testing.T) {
	columns := []Column{{0, true}, {}, {5, true}, {10, true}}
	assert.Equal(t, []string{"▁ ▅█"}, plainScreen(80, false).Strip(columns, 0, 10, 1))
	assert.Equal(t, []string{"  ▁█", "▁ ██"}, plainScreen(80, false).Strip(columns, 0, 10, 2))
	flat := plainScreen(80, false).Strip([]Column{{3, true}}, 3, 3, 1)
	assert.Equal(t, []string{"▁"}, flat, "nothing to compare with")
}

// What could steer a terminal comes out as an escape.
func TestClean(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"brake", "brake"},
		{"a\nb", "a\nb"},
		{"a\x1b[31mb", `a\u001b[31mb`},
		{"a\u202eb", `a\u202eb`},
		{"a\xffb", `a\xffb`},
		{"a\u009bb", `a\u009bb`},
		{"a\rb", `a\u000db`},
		{"µ N·m ✓", "µ N·m ✓"},
	} {
		assert.Equal(t, c.want, Clean(c.in))
	}
	assert.Equal(t, `a\nb`, CleanLine("a\nb"))
}

func TestWrap(t *testing.T) {
	assert.Equal(t, []string{"no-fight is", "kept"}, Wrap("no-fight is kept", 11))
	assert.Equal(t, []string{"abcde", "fgh"}, Wrap("abcdefgh", 5))
	assert.Equal(t, []string{""}, Wrap("", 5))
	assert.NotPanics(t, func() { Wrap("日本", 1) })
}

func TestFitNumber(t *testing.T) {
	assert.Equal(t, " +1.50", FitNumber(1.5, 6, 2, true))
	assert.Equal(t, "  0.00", FitNumber(-0.001, 6, 2, true))
	assert.Equal(t, "-1234.5", FitNumber(-1234.54, 7, 2, true))
	assert.Equal(t, "123457", FitNumber(123456.7, 6, 2, false))
	assert.Equal(t, "1e+08", FitNumber(123456789, 5, 2, false))
}

func plainScreen(width int, ascii bool) *Screen {
	return &Screen{Width: width, ASCII: ascii, Style: NewStyles(io.Discard, termenv.Ascii)}
}

// The title of a name that is longer than others need be stands below it, and the others stay aligned.
func TestTableOfNames(t *testing.T) {
	long := strings.Repeat("long-", 9)
	names := Table{Rows: [][]string{{"short", "its title"}, {long, "another title"}}}
	got := names.Text(&Screen{Width: 80}, "  ")
	assert.Equal(t, "  short"+strings.Repeat(" ", 33)+"its title\n  "+long+"\n"+strings.Repeat(" ", 40)+"another title\n", got)
}
