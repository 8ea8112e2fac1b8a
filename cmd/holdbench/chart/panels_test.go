package chart

import (
	"bytes"
	"image/png"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func threePanels() *Panels {
	p := &Panels{
		Title: "worn lining", X: "time, s", Band: "state", Notes: []string{"rig a, seed 1"},
		Stretch: []Stretch{{0, 4, "travel"}, {4, 4.01, "press_against_the_brake"}, {4.01, 10, "passed"}},
		Flags:   []Flag{{4, "asked", false}, {4.01, "failed: moved", true}, {4.01, "drop", true}},
		Charts: []Panel{
			{Y: "position, mm", Levels: []Level{{5, "limit 5 mm"}}, Windows: []Window{{4, 4.01, -1, 1}}},
			{Y: "torque, N·m"},
		},
	}
	for i := range p.Charts {
		s := Series{Name: "true", Line: true}
		for n := range 5000 {
			s.Points = append(s.Points, Point{X: float64(n) / 500, Y: math.Sin(float64(n) / 50)})
		}
		p.Charts[i].Series = []Series{s}
	}
	return p
}

// missing is what a picture does not show: the picture itself is too long for a message.
func missing(picture string, wanted ...string) []string {
	return slices.DeleteFunc(wanted, func(w string) bool { return strings.Contains(picture, w) })
}

// The names of stretches, flags, axes and limits are all there, and the same values give the same bytes.
func TestPanels(t *testing.T) {
	t.Parallel()
	var one, two, image bytes.Buffer
	require.NoError(t, threePanels().SVG(&one))
	require.NoError(t, threePanels().SVG(&two))
	assert.True(t, bytes.Equal(one.Bytes(), two.Bytes()), "the same bytes")
	assert.Empty(t, missing(one.String(), "worn lining", "rig a, seed 1", ">travel<", ">press_against_the_brake<", ">passed<", "failed: moved", "limit 5 mm", "position, mm", "torque, N·m", "time, s", ">state<"))
	assert.Len(t, missing(one.String(), "NaN", "Inf"), 2)
	require.NoError(t, threePanels().PNG(&image))
	drawn, err := png.Decode(&image)
	require.NoError(t, err)
	assert.InDelta(t, 170/25.4*200, drawn.Bounds().Dx(), 2, "the text width of A4 at 200 dots an inch")
}

// What is no number, or nothing at all, breaks no picture.
func TestPanelsOfNothing(t *testing.T) {
	t.Parallel()
	odd := threePanels()
	odd.Stretch = append(odd.Stretch, Stretch{math.NaN(), 3, "a"}, Stretch{3, 3, ""})
	odd.Flags = append(odd.Flags, Flag{math.Inf(1), "never", false}, Flag{-5, "ahead", true})
	odd.Charts[0].Series[0].Points[7].Y = math.NaN()
	odd.Charts[1] = Panel{Levels: []Level{{math.Inf(1), "none"}}, Windows: []Window{{0, math.NaN(), 0, 1}}}
	for _, p := range []*Panels{{}, {Charts: []Panel{{}}}, {Stretch: []Stretch{{0, 0, "still"}}, Charts: make([]Panel, 2)}, odd} {
		var out bytes.Buffer
		require.NoError(t, p.SVG(&out))
		assert.Len(t, missing(out.String(), "NaN", "Inf"), 2)
	}
}

// More stretches than names fit: the longest keep theirs.
func TestNamesOfManyStretches(t *testing.T) {
	t.Parallel()
	p := &Panels{}
	for i := range 200 {
		p.Stretch = append(p.Stretch, Stretch{float64(i), float64(i) + 0.5 + float64(i)/400, "state_of_the_run"})
	}
	names := panelsPicture{p}.bandNames(panelsPicture{p}.axes(0))
	require.Len(t, names, 200)
	written := 0
	for _, n := range names {
		if n.words != "" {
			written++
		}
	}
	assert.Equal(t, int((panelsPicture{p}.axes(0).to-panelsPicture{p}.axes(0).from)/nameApart), written)
	assert.Empty(t, names[0].words)
	assert.NotEmpty(t, names[199].words)
}

// Places that are moved apart keep their order, their distance and the range, and stay where they are
// if nothing is near.
func TestSpread(t *testing.T) {
	t.Parallel()
	assert.Equal(t, []float64{1, 5, 9}, spread([]float64{1, 5, 9}, 2, extent{0, 10}))
	assert.InDeltaSlice(t, []float64{4, 6}, spread([]float64{5, 5}, 2, extent{0, 10}), 1e-9)
	assert.InDeltaSlice(t, []float64{0, 2, 4}, spread([]float64{0, 0, 1}, 2, extent{0, 10}), 1e-9)
	rapid.Check(t, func(t *rapid.T) {
		places := rapid.SliceOfN(rapid.Float64Range(0, 100), 0, 30).Draw(t, "places")
		slices.Sort(places)
		moved := spread(places, 3, extent{0, 100})
		require.Len(t, moved, len(places))
		for i, x := range moved {
			require.GreaterOrEqual(t, x, -1e-9)
			require.LessOrEqual(t, x, 100+1e-9)
			if i > 0 {
				require.GreaterOrEqual(t, x-moved[i-1], 3-1e-6)
			}
		}
	})
}

// A thinned line has the extremes of the whole, its ends, and far fewer points.
func TestThinned(t *testing.T) {
	t.Parallel()
	points := threePanels().Charts[0].Series[0].Points
	points[3333].Y, points[4444].Y = 7, -7
	thin := thinned(points, extent{0, 10}, 100)
	assert.LessOrEqual(t, len(thin), 404)
	assert.Contains(t, thin, points[3333])
	assert.Contains(t, thin, points[4444])
	assert.Equal(t, points[0], thin[0])
	assert.Equal(t, points[4999], thin[len(thin)-1])
	assert.True(t, slices.IsSortedFunc(thin, func(a, b Point) int { return int(math.Copysign(1, a.X-b.X)) }))
}

// A picture leaves of long lines what it shows, with their gaps, and is the same picture of what it left.
func TestPanelsAreThinned(t *testing.T) {
	t.Parallel()
	p := threePanels()
	line := &p.Charts[1].Series[0]
	line.Points = nil
	for n := range 50_000 {
		y := math.Sin(float64(n) / 50)
		if n/1000 == 20 {
			y = math.NaN()
		}
		line.Points = append(line.Points, Point{X: float64(n) / 5000, Y: y})
	}
	var first, again bytes.Buffer
	require.NoError(t, p.SVG(&first))
	assert.Less(t, len(line.Points), 4*(columnsDrawn+3))
	assert.Len(t, line.runs(), 2)
	require.NoError(t, p.SVG(&again))
	assert.Equal(t, first.String(), again.String())
}
