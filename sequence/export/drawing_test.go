package export_test

import (
	"context"
	"encoding/xml"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sequence/export"
)

// box is a part of a drawing in points.
type box struct{ left, top, right, bottom float64 }

func (b box) overlaps(o box) bool {
	return b.left < o.right && o.left < b.right && b.top < o.bottom && o.top < b.bottom
}

func (b box) holds(x, y float64) bool { return x > b.left && x < b.right && y > b.top && y < b.bottom }

// drawn is a drawing as a test reads it: boxes and arrows by title.
type drawing struct {
	Graph struct {
		Groups []struct {
			Class    string `xml:"class,attr"`
			Title    string `xml:"title"`
			Polygons []struct {
				Points string `xml:"points,attr"`
			} `xml:"polygon"`
			Texts []struct {
				X      float64 `xml:"x,attr"`
				Y      float64 `xml:"y,attr"`
				Anchor string  `xml:"text-anchor,attr"`
				Size   float64 `xml:"font-size,attr"`
				Text   string  `xml:",chardata"`
			} `xml:"text"`
			Paths []struct {
				D string `xml:"d,attr"`
			} `xml:"path"`
		} `xml:"g"`
	} `xml:"g"`
}

// numbers are all numbers of a text.
func numbers(text string) []float64 {
	var list []float64
	for _, word := range regexp.MustCompile(`-?[0-9.]+`).FindAllString(text, -1) {
		v, _ := strconv.ParseFloat(word, 64)
		list = append(list, v)
	}
	return list
}

func around(points []float64) box {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for i := 0; i+1 < len(points); i += 2 {
		b = box{min(b.left, points[i]), min(b.top, points[i+1]), max(b.right, points[i]), max(b.bottom, points[i+1])}
	}
	return b
}

// along are points of a curve of cubic Bézier segments.
func along(p []float64) [][2]float64 {
	var list [][2]float64
	for i := 0; i+7 < len(p); i += 6 {
		for step := range 21 {
			t := float64(step) / 20
			u := 1 - t
			at := func(k int) float64 {
				return u*u*u*p[i+k] + 3*u*u*t*p[i+2+k] + 3*u*t*t*p[i+4+k] + t*t*t*p[i+6+k]
			}
			list = append(list, [2]float64{at(0), at(1)})
		}
	}
	return list
}

// On a printed diagram every word can be read: no box lies on another, no arrow runs through one, columns follow
// each other from the left, and no text
// is wider than its box, at 0.45 of its size a letter, the mean of English text in Helvetica (from memory).
func TestNothingOverlaps(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"reference", "down-only", "two-brakes"} {
		logic, _, err := scenarios.LoadLogic(name, scenarios.Below)
		require.NoError(t, err)
		for _, group := range append(export.Groups(), "") {
			t.Run(name+" "+group, func(t *testing.T) {
				svg, err := export.SVG(context.Background(), logic.(*sequence.Program), heading(), group)
				require.NoError(t, err)
				var d drawing
				require.NoError(t, xml.Unmarshal(svg, &d))
				apart(t, &d)
			})
		}
	}
}

func apart(t *testing.T, d *drawing) {
	t.Helper()
	boxes, column := map[string]box{}, math.Inf(-1)
	for _, g := range d.Graph.Groups {
		if g.Class == "cluster" && strings.Count(g.Title, "_") == 2 {
			left := around(numbers(g.Polygons[0].Points)).left
			assert.Greater(t, left, column, g.Title)
			column = left
		}
		if g.Class != "node" {
			continue
		}
		var points []float64
		for _, p := range g.Polygons {
			points = append(points, numbers(p.Points)...)
		}
		for _, w := range g.Texts {
			left, wide := w.X, float64(len([]rune(w.Text)))*w.Size*0.45
			if w.Anchor == "middle" {
				left -= wide / 2
			}
			if len(g.Polygons) > 0 {
				b := around(points)
				assert.True(t, left >= b.left && left+wide <= b.right, "%q is not within the box of %s", w.Text, g.Title)
				continue
			}
			points = append(points, left, w.Y-w.Size*0.8, left+wide, w.Y)
		}
		b := around(points)
		for other, o := range boxes {
			assert.False(t, b.overlaps(o), "%s lies on %s", g.Title, other)
		}
		boxes[g.Title] = b
	}
	assert.Greater(t, len(boxes), 3)
	for _, g := range d.Graph.Groups {
		if g.Class != "edge" {
			continue
		}
		from, to, _ := strings.Cut(g.Title, "->")
		for _, p := range g.Paths {
			for _, at := range along(numbers(p.D)) {
				for name, b := range boxes {
					if name != from && name != to {
						assert.False(t, b.holds(at[0], at[1]), "the arrow %s runs through %s", g.Title, name)
					}
				}
			}
		}
	}
}

// What is looked up in the table of transitions is found in the diagrams, and there is nothing else.
func TestTransitionsHaveTheirNumbers(t *testing.T) {
	t.Parallel()
	p := compiled(t, string(sequence.Reference()))
	number := regexp.MustCompile(`\bT\d+\.\d+\b`)
	want := map[string]int{}
	for _, row := range export.Tables(p, nil)[0].Rows {
		want[row[0]] = 1
	}
	require.Contains(t, want, "T0.1")
	require.Contains(t, want, "T2.10", "the number is a text for a spreadsheet, not 2.1")
	got, inMermaid := map[string]int{}, map[string]int{}
	for _, group := range export.Groups() {
		svg, err := export.SVG(context.Background(), p, heading(), group)
		require.NoError(t, err)
		for _, n := range number.FindAllString(strings.Join(textsOf(t, svg), " "), -1) {
			got[n]++
		}
		mermaid, err := export.Mermaid(p, heading(), group)
		require.NoError(t, err)
		for _, n := range number.FindAllString(mermaid, -1) {
			inMermaid[n]++
		}
	}
	for k := range p.Any() { // stands on each of the diagrams
		want["T0."+strconv.Itoa(k+1)] = len(export.Groups())
	}
	assert.Equal(t, want, got)
	assert.Equal(t, want, inMermaid)
}

// A drawing has the size of a sheet: A4 where letters of 9 points come out at 5.6 at least, else A3.
func TestDrawingsFitOnASheet(t *testing.T) {
	t.Parallel()
	for want, have := range map[string]string{
		`<svg width="500pt" height="700pt" x>`:  `<svg width="500pt" height="700pt" x>`,   // as it is
		`<svg width="538pt" height="672pt" x>`:  `<svg width="800pt" height="1000pt" x>`,  // A4 upright
		`<svg width="785pt" height="392pt" x>`:  `<svg width="1100pt" height="550pt" x>`,  // A4 across
		`<svg width="1110pt" height="634pt" x>`: `<svg width="1400pt" height="800pt" x>`,  // A3 across
		`<svg width="761pt" height="1065pt" x>`: `<svg width="1500pt" height="2100pt" x>`, // A3 upright
		`<svg width="wide" height="8pt" x>`:     `<svg width="wide" height="8pt" x>`,
	} {
		assert.Equal(t, want, string(export.OnSheet([]byte(have))))
	}
	p := compiled(t, string(sequence.Reference()))
	for _, group := range export.Groups() {
		svg, err := export.SVG(context.Background(), p, heading(), group)
		require.NoError(t, err)
		size := regexp.MustCompile(`<svg width="([0-9.]+)pt" height="([0-9.]+)pt"`)
		before, after := numbers(size.FindString(string(svg))), numbers(size.FindString(string(export.OnSheet(svg))))
		assert.Greater(t, 9*after[0]/before[0], 5.2, "letters of the group %s on A3, in points", group)
	}
}

// Who asks what an input can do finds the states that it leads to and what these command; the reference
// switches the drive off on a fault of it, and never opens a brake then.
func TestEffectsOfInputs(t *testing.T) {
	t.Parallel()
	p := compiled(t, string(sequence.Reference()))
	cell := func(table export.Table, row, column string) string {
		for _, r := range table.Rows {
			for i, c := range table.Columns {
				if r[0] == row && c == column {
					return r[i]
				}
			}
		}
		t.Errorf("no %s or %s", row, column)
		return ""
	}
	effects, matrix := export.Tables(p, nil)[6], export.Matrix(p)
	require.Equal(t, "effects", effects.Name)
	for _, want := range []struct{ input, column, value string }{
		{"drive_fault", "leads to", "35"}, {"drive_fault", "drive", "off"}, {"drive_fault", "brake", "closed"},
		{"trigger", "operation", "inhibited"}, {"trigger", "torque_limit_nm", "set"}, {"trigger", "brake", ""},
	} {
		assert.Equal(t, want.value, cell(effects, want.input, want.column), "%s, %s", want.input, want.column)
	}
	assert.Equal(t, "T0.3", strings.Fields(cell(matrix, "drive_fault", "on_brake_alone"))[0])
	assert.Equal(t, "press_limit_nm", cell(matrix, "trigger", "torque_limit_nm"))
	assert.Equal(t, "T1.1 T17.1 T38.8 T40.1", cell(matrix, "trigger", "permissives"))
	assert.Empty(t, cell(matrix, "trigger", "passed"))
	assert.Len(t, matrix.Columns, 1+len(p.About().Outputs)+len(p.States()))
}
