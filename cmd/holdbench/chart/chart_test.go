package chart

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "write golden files instead of comparing with them")

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, got, 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), string(got), "see -update")
}

// curve has signs with bars, two lines, one of them with a gap, and two marks.
func curve() *Chart {
	tried := Series{Name: "share of 40 runs, interval of 95 %"}
	fit := Series{Name: "fitted curve", Line: true}
	other := Series{Name: "with encoder noise", Line: true}
	chance := func(x, median, spread float64) float64 { return 0.5 + 0.5*math.Erf((x-median)/spread) }
	for i := range 81 {
		x := 0.4 + 0.005*float64(i)
		fit.Points = append(fit.Points, Point{X: x, Y: chance(x, 0.6, 0.05)})
		y := chance(x, 0.65, 0.1)
		if i == 50 {
			y = math.NaN()
		}
		other.Points = append(other.Points, Point{X: x, Y: y})
		if i%10 == 0 {
			y := chance(x, 0.605, 0.05)
			tried.Points = append(tried.Points, Point{x, y, max(0, y-0.1), min(1, y+0.1)})
		}
	}
	tried.Points = append(tried.Points, Point{X: math.NaN(), Y: 1}, Point{X: 0.5, Y: math.Inf(1)})
	return &Chart{
		Title: "Chance of a proof by the condition of the brake",
		X:     "condition, share of the torque when new", Y: "chance of a proof", HighY: 1,
		Series: []Series{tried, fit, other},
		Marks:  []Mark{{0.62, "test torque, 24 N·m"}, {0.7, "load"}},
	}
}

func rates() *Heat {
	return &Heat{
		Title: "Missed brakes by window and dwell", X: "window, mm", Y: "dwell, s", Unit: "% of 200 runs",
		Columns: []string{"0.1", "0.2", "0.5", "1"}, Rows: []string{"0.5", "1", "2"},
		Cells: [][]float64{{12.345, 9, 4, 2}, {3, 2, math.NaN(), 0}, {0, 0, 0.5}},
	}
}

// product is a table larger than a screen.
func product(rows, columns int) *Heat {
	h := &Heat{Title: "Slip", X: "window, mm", Y: "current, A", Unit: "deg"}
	for row := range rows {
		h.Rows = append(h.Rows, strconv.Itoa(row))
		var line []float64
		for column := range columns {
			line = append(line, float64(row*column))
		}
		h.Cells = append(h.Cells, line)
	}
	for column := range columns {
		h.Columns = append(h.Columns, fmt.Sprintf("%.1f", float64(column)/10))
	}
	return h
}

type drawing interface {
	SVG(w io.Writer) error
	PNG(w io.Writer) error
	Text(width, height int, ascii bool) []string
}

func drawings() map[string]drawing {
	return map[string]drawing{"curve": curve(), "rates": rates(), "product": product(30, 30), "wide": product(3, 50)}
}

func TestDrawingsAsText(t *testing.T) {
	for name, d := range drawings() {
		var b strings.Builder
		for _, size := range [][2]int{{80, 24}, {80, 14}, {40, 12}, {20, 5}} {
			for _, ascii := range []bool{false, true} {
				fmt.Fprintf(&b, "%dx%d\n%s\n\n", size[0], size[1], strings.Join(d.Text(size[0], size[1], ascii), "\n"))
			}
		}
		golden(t, name+".txt", []byte(b.String()))
	}
}

func TestDrawingsAsPictures(t *testing.T) {
	for name, d := range drawings() {
		var first, second, image, again bytes.Buffer
		require.NoError(t, d.SVG(&first))
		require.NoError(t, d.SVG(&second))
		assert.Equal(t, first.String(), second.String(), name)
		wellFormed(t, first.Bytes())
		if name != "product" { // large, and nothing that the others do not show
			golden(t, name+".svg", first.Bytes())
		}
		if testing.Short() && (name == "product" || name == "wide") {
			continue // a large PNG takes a quarter of a second, and there is one of each kind
		}
		require.NoError(t, d.PNG(&image))
		require.NoError(t, d.PNG(&again))
		assert.True(t, bytes.Equal(image.Bytes(), again.Bytes()), name)
		_, err := png.Decode(&image)
		require.NoError(t, err)
	}
}

func wellFormed(t require.TestingT, picture []byte) {
	decoder := xml.NewDecoder(bytes.NewReader(picture))
	for {
		_, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		require.NoError(t, err)
	}
}

// Text has the size asked for, whatever that is, and needs no more than ASCII if told so.
func TestTextFitsAnySize(t *testing.T) {
	for name, d := range drawings() {
		for _, width := range []int{-1, 0, 1, 2, 3, 5, 19, 20, 21, 22, 23, 30, 41, 60, 79, 80, 81, 120, 200} {
			for height := -1; height < 30; height++ {
				for _, ascii := range []bool{false, true} {
					fits(t, name, d.Text(width, height, ascii), width, height, ascii)
				}
			}
		}
	}
}

func fits(t require.TestingT, name string, lines []string, width, height int, ascii bool) {
	if len(lines) > max(height, 0) {
		assert.Fail(t, "too high", "%s at %dx%d: %d lines", name, width, height, len(lines))
	}
	for _, line := range lines {
		if cells(line) > width || strings.TrimRight(line, " ") != line {
			assert.Fail(t, "too wide, or blanks at the end", "%s at %dx%d: %q", name, width, height, line)
		}
		if ascii && strings.ContainsFunc(line, func(r rune) bool { return r < ' ' || r > '~' }) {
			assert.Fail(t, "more than ASCII", "%s at %dx%d: %q", name, width, height, line)
		}
	}
}

// A chart fills its room.
func TestChartIsAsHighAsAsked(t *testing.T) {
	for height := leastHigh; height < 40; height++ {
		assert.Len(t, curve().Text(80, height, false), height)
	}
}

// A value is drawn where the axes say: the ends of a straight line in the corners, its middle
// in the middle.
func TestValuesAreWhereTheAxesSay(t *testing.T) {
	c := &Chart{HighY: 10, Series: []Series{{Points: []Point{{X: 0, Y: 0}, {X: 50, Y: 5}, {X: 100, Y: 10}}}}}
	lines := c.Text(45, 11, true)
	for y, x := range map[int]int{0: 0, 5: 50, 10: 100} {
		row := 8 - int(math.Round(float64(y)*8/10))
		plot := lines[row][strings.IndexAny(lines[row], "|+")+1:]
		assert.InDelta(t, x, 100*float64(strings.Index(plot, "o"))/40, 3, "%s", lines[row])
	}
	assert.Equal(t, []string{"10", "5", "0"}, strings.Fields(strings.Join([]string{lines[0][:2], lines[4][:2], lines[8][:2]}, " ")))
	assert.Equal(t, []string{"0", "50", "100"}, strings.Fields(lines[10]))
}

func TestTicksAreRoundAndFew(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		most      int
		want      string
	}{
		{0, 1, 8, "0.0 0.2 0.4 0.6 0.8 1.0"},
		{0, 1, 3, "0.0 0.5 1.0"},
		{-0.3, 0.3, 8, "-0.3 -0.2 -0.1 0.0 0.1 0.2 0.3"},
		{12, 87, 5, "20 40 60 80"},
		{1000, 1001, 3, "1000.0 1000.5 1001.0"},
		{0.27, 0.33, 3, "0.28 0.30 0.32"},
		{0, 3e9, 4, "0 1e+09 2e+09 3e+09"},
	} {
		var labels []string
		for _, tick := range ticks(c.most).Ticks(c.low, c.high) {
			labels = append(labels, tick.Label)
		}
		assert.Equal(t, c.want, strings.Join(labels, " "))
	}
}

func TestTicksOfAnyRange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := nothing()
		e.take(rapid.Float64Range(-largest, largest).Draw(t, "one"), rapid.Float64Range(-largest, largest).Draw(t, "other"))
		e = e.wide()
		most := rapid.IntRange(2, 30).Draw(t, "most")
		list := ticks(most).Ticks(e.low, e.high)
		assert.LessOrEqual(t, len(list), max(most, 5))
		assert.GreaterOrEqual(t, len(list), 2)
		for i, tick := range list {
			assert.True(t, e.low <= tick.Value && tick.Value <= e.high, "%g in %v", tick.Value, e)
			assert.True(t, i == 0 || list[i-1].Value < tick.Value)
		}
	})
}

// Names and values of any kind give a picture, and text that fits.
func TestAnythingIsDrawn(t *testing.T) {
	value := rapid.OneOf(rapid.Float64(), rapid.Float64Range(-9, 9), rapid.SampledFrom([]float64{0, 1, math.NaN(), math.Inf(1), math.Inf(-1)}))
	point := rapid.Custom(func(t *rapid.T) Point {
		return Point{value.Draw(t, "x"), value.Draw(t, "y"), value.Draw(t, "low"), value.Draw(t, "high")}
	})
	series := rapid.Custom(func(t *rapid.T) Series {
		return Series{rapid.String().Draw(t, "name"), rapid.SliceOfN(point, 0, 6).Draw(t, "points"), rapid.Bool().Draw(t, "line")}
	})
	mark := rapid.Custom(func(t *rapid.T) Mark { return Mark{value.Draw(t, "x"), rapid.String().Draw(t, "name")} })
	rapid.Check(t, func(t *rapid.T) {
		c := &Chart{
			rapid.String().Draw(t, "title"), rapid.String().Draw(t, "x"), rapid.String().Draw(t, "y"),
			rapid.SliceOfN(series, 0, 4).Draw(t, "series"), rapid.SliceOfN(mark, 0, 3).Draw(t, "marks"),
			value.Draw(t, "low"), value.Draw(t, "high"),
		}
		h := &Heat{
			c.Title, c.X, c.Y, rapid.String().Draw(t, "unit"),
			rapid.SliceOfN(rapid.String(), 0, 5).Draw(t, "columns"), rapid.SliceOfN(rapid.String(), 0, 5).Draw(t, "rows"),
			rapid.SliceOfN(rapid.SliceOfN(value, 0, 5), 0, 5).Draw(t, "cells"),
		}
		width, height := rapid.IntRange(0, 100).Draw(t, "width"), rapid.IntRange(0, 30).Draw(t, "height")
		for _, d := range []drawing{c, h} {
			ascii := rapid.Bool().Draw(t, "ascii")
			fits(t, "any", d.Text(width, height, ascii), width, height, ascii)
			var b bytes.Buffer
			require.NoError(t, d.SVG(&b))
			wellFormed(t, b.Bytes())
		}
	})
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestErrorsOfTheWriterComeBack(t *testing.T) {
	for _, d := range []drawing{curve(), rates()} {
		require.ErrorContains(t, d.SVG(full{}), "disk full")
		require.ErrorContains(t, d.PNG(full{}), "disk full")
	}
}

// Marks too close to be told apart have their letters below each other.
func TestMarksInOneColumn(t *testing.T) {
	c := &Chart{Marks: []Mark{{0, "low"}, {5, "middle"}, {5.01, "beside it"}, {10, "high"}}}
	lines := c.Text(41, 12, true)
	assert.Regexp(t, `^1 \+a +b +d$`, lines[0])
	assert.Equal(t, strings.Index(lines[0], "b"), strings.Index(lines[1], "c"))
}

// One value has a scale too: its figure stands in the middle of the axis.
func TestOneValueAndNone(t *testing.T) {
	one := &Chart{Title: "one", X: "load, kg", Y: "slip, deg", Series: []Series{{Name: "run", Points: []Point{{X: 210, Y: 0.3}}}}}
	none := &Chart{Title: "none", X: "load, kg", Y: "slip, deg"}
	lines := one.Text(60, 12, true)
	assert.Regexp(t, `^0\.30 \+ {20,}o$`, lines[4])
	golden(t, "one.txt", []byte(strings.Join(append(lines, none.Text(60, 12, true)...), "\n")+"\n"))
	for _, c := range []*Chart{one, none} {
		require.NoError(t, c.SVG(io.Discard))
	}
	assert.Equal(t, extent{-1, 1}, extent{0, 0}.wide())
	assert.Equal(t, extent{-1, 1}, extent{0, 5e-324}.wide())
	assert.Equal(t, extent{4.5, 5.5}, extent{5, 5}.wide())
	assert.InDelta(t, 1, extent{5, 5 + 1e-9}.wide().high-5, 0.6, "figures on the axis would be the same")
	assert.Equal(t, extent{0, 1}, nothing().wide())
}
