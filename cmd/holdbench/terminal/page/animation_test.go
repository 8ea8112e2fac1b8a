package page_test

import (
	"encoding/xml"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/cmd/holdbench/terminal/page"
)

// shownAt is what a viewer shows of an animated picture at a time: its texts, and the data of its paths cell by cell.
func shownAt(t require.TestingT, picture []byte, atS float64) (parts []string) {
	type element struct {
		XMLName xml.Name
		Attrs   []xml.Attr `xml:",any,attr"`
		Text    string     `xml:",chardata"`
		Inside  []element  `xml:",any"`
	}
	attribute := func(e *element, name string) string {
		i := slices.IndexFunc(e.Attrs, func(a xml.Attr) bool { return a.Name.Local == name })
		if i < 0 {
			return ""
		}
		return e.Attrs[i].Value
	}
	var root element
	require.NoError(t, xml.Unmarshal(picture, &root))
	var walk func(e *element)
	walk = func(e *element) {
		for i := range e.Inside {
			animate := &e.Inside[i]
			if animate.XMLName.Local != "animate" {
				continue
			}
			length, err := strconv.ParseFloat(strings.TrimSuffix(attribute(animate, "dur"), "s"), 64)
			require.NoError(t, err)
			value := ""
			for k, text := range strings.Split(attribute(animate, "keyTimes"), ";") {
				at, err := strconv.ParseFloat(text, 64)
				require.NoError(t, err)
				require.Equal(t, k == 0, at == 0, "the first time is 0, as the format asks")
				if at*length <= atS {
					value = strings.Split(attribute(animate, "values"), ";")[k]
				}
			}
			if value == "hidden" {
				return
			}
		}
		switch e.XMLName.Local {
		case "text":
			parts = append(parts, attribute(e, "x")+" "+attribute(e, "y")+" "+attribute(e, "fill")+" "+e.Text)
		case "path":
			for _, box := range strings.Split(strings.TrimSuffix(attribute(e, "d"), "z"), "z") {
				parts = append(parts, attribute(e, "fill")+box)
			}
		case "rect":
			parts = append(parts, attribute(e, "x")+" "+attribute(e, "y")+" "+attribute(e, "width")+" "+attribute(e, "fill"))
		}
		for i := range e.Inside {
			walk(&e.Inside[i])
		}
	}
	walk(&root)
	slices.Sort(parts)
	return parts
}

// At any time an animated picture shows what a picture of the frame of that time shows.
func TestAnimationShowsItsFrames(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		dark := rapid.Bool().Draw(t, "dark")
		a := page.NewAnimation("frames", dark)
		var frames []*page.Page
		n := rapid.IntRange(1, 6).Draw(t, "frames")
		for i := range n {
			p := page.New(12, 3, false)
			for y := range 3 {
				role := page.Role(rapid.IntRange(0, int(page.Banner)).Draw(t, "role"))
				p.Area().Text(rapid.IntRange(0, 4).Draw(t, "x"), y, role, rapid.SampledFrom([]string{"", "held 1", "held 2", "▁▂█⣿", "a ─ <b>"}).Draw(t, "text"))
			}
			frames = append(frames, p)
			a.Add(p, float64(i)/4)
		}
		picture := a.SVG(float64(n)/4 + 1)
		for i, p := range frames {
			assert.Equal(t, shownAt(t, p.SVG("frame", dark), 0), shownAt(t, picture, float64(i)/4+0.1), "frame %d", i)
		}
	})
}

// What stays is drawn once, and frames in which nothing changes take no room.
func TestAnimationDrawsWhatStaysOnce(t *testing.T) {
	t.Parallel()
	a := page.NewAnimation("clock", true)
	frame := func(seconds string) *page.Page {
		p := page.New(40, 2, false)
		p.Area().Text(0, 0, page.Strong, "what stays")
		p.Area().Text(0, 1, page.Plain, seconds)
		return p
	}
	a.Add(frame("1 s"), 0)
	before := a.Size()
	for i := range 50 {
		a.Add(frame("1 s"), float64(i))
	}
	assert.Equal(t, before, a.Size())
	a.Add(frame("2 s"), 60)
	a.Add(frame("1 s"), 61)
	text := string(a.SVG(62))
	assert.Equal(t, 1, strings.Count(text, "what stays"))
	assert.Equal(t, 1, strings.Count(text, "1 s<"), "one that comes again is shown again")
	above, _, _ := strings.Cut(text, "what stays")
	assert.NotContains(t, above[strings.LastIndex(above, "<g"):], "<animate", "nor is it animated")
}
