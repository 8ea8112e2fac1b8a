package screencast

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html"
	"image"
	"image/draw"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/terminal/page"
)

// stills is a film that keeps each frame as a picture that does not move.
type stills struct {
	dark     bool
	pictures [][]byte
}

func (s *stills) add(p *page.Page, _ float64) {
	s.pictures = append(s.pictures, p.SVG("frame", s.dark))
}
func (s *stills) size() int          { return 0 }
func (s *stills) end(float64) []byte { return nil }

// seen is what a browser shows of an animated picture at a moment.
type seen struct {
	Text    string   // letters from the top left to the bottom right
	Outside []string // what lies outside the view box
}

// A browser, which the variable HOLDBENCH_CHROMIUM names, shows at each moment of an animated picture the frame of
// that moment and no other, dot by dot, with the text that a terminal shows of the cast, all of it within the view
// box; it fetches nothing and reports no error. .ci/run sets the variable.
func TestOthersPlayThePicture(t *testing.T) {
	browser := os.Getenv("HOLDBENCH_CHROMIUM")
	if browser == "" {
		t.Skip("HOLDBENCH_CHROMIUM is not set")
	}
	large := options()
	large.Large, large.View, large.Dark = true, "judge", false
	for name, o := range map[string]*Options{"Small": options(), "Large": large} {
		t.Run(name, func(t *testing.T) { isPlayed(t, browser, o) })
	}
}

func isPlayed(t *testing.T, browser string, o *Options) {
	t.Helper()
	c := load(t, o.Reference)
	moving, err := SVG(t.Context(), c, o)
	require.NoError(t, err)
	cast, err := Cast(t.Context(), c, o)
	require.NoError(t, err)
	film := &stills{dark: o.Dark}
	_, err = record(t.Context(), c, o, film, bounds())
	require.NoError(t, err)

	frames := []int{0, 6, 16, len(film.pictures) - 1, 1}
	moments := make([]float64, len(frames)) // in the middle of each frame
	var sides strings.Builder
	for i, frame := range frames {
		moments[i] = (float64(frame) + 0.5) / float64(o.FPS)
		fmt.Fprintf(&sides, "<div>%s%s</div>\n", moving.Text, film.pictures[frame])
	}
	moments[len(moments)-1] += moving.LengthS // it plays again and again
	shown, shot := watched(t, browser, sides.String(), moments)
	require.Len(t, shown, len(frames))
	for i, at := range moments {
		assert.Equal(t, letters(castAt(t, cast, o, math.Mod(at, moving.LengthS))), letters(shown[i].Text), "at %g s", at)
		assert.Empty(t, shown[i].Outside, "at %g s", at)
	}
	isSameBeside(t, shot, len(frames))
}

// letters are those of a text that are not drawn as shapes (lines, blocks and dots), without blanks.
func letters(text string) string {
	return strings.Map(func(r rune) rune {
		if r == ' ' || r == '\n' || r >= 0x2500 && r < 0x25a0 || r >= 0x2800 && r < 0x2900 {
			return -1
		}
		return r
	}, text)
}

// castAt is the screen of a terminal that has played a cast up to a time in s.
func castAt(t *testing.T, made *Recording, o *Options, atS float64) string {
	t.Helper()
	_, events := read(t, made.Text)
	var played strings.Builder
	for _, e := range events {
		if e.atS <= atS {
			played.WriteString(e.text)
		}
	}
	return screen(t, o.Width, o.Height, played.String())
}

// watch stops the first picture of each row at its moment. With #seen it replaces the page by what is shown.
const watch = `<!doctype html><meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'">
<style>body { margin: 0 } div { display: flex }</style>
%s<script>
const moments = %s, moving = [...document.querySelectorAll("div > svg:first-child")]
moving.forEach((svg, i) => { svg.pauseAnimations(); svg.setCurrentTime(moments[i]) })
const place = e => [Number(e.getAttribute("y")), Number(e.getAttribute("x"))]
const order = (a, b) => place(a)[0] - place(b)[0] || place(a)[1] - place(b)[1]
const seen = svg => {
  const all = svg.getBoundingClientRect(), shown = [...svg.querySelectorAll("text, path, rect")].filter(e => getComputedStyle(e).visibility == "visible")
  const isOutside = b => b.left < all.left || b.top < all.top || b.right > all.right || b.bottom > all.bottom
  return { Text: shown.filter(e => e.tagName == "text").sort(order).map(e => e.textContent).join(""),
    Outside: shown.filter(e => isOutside(e.getBoundingClientRect())).map(e => e.outerHTML) }
}
if (location.hash == "#seen") requestAnimationFrame(() => requestAnimationFrame(() => {
  const fetched = performance.getEntriesByType("resource").map(e => e.name), list = moving.map(seen)
  document.body.textContent = JSON.stringify({ Fetched: fetched, Seen: list })
}))
</script>`

// watched has a browser show rows of two pictures, and gives what it shows of the first ones and a picture of all.
func watched(t *testing.T, browser, rows string, moments []float64) ([]seen, image.Image) {
	t.Helper()
	times, err := json.Marshal(moments)
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "watch.html")
	require.NoError(t, os.WriteFile(file, fmt.Appendf(nil, watch, rows, times), 0o600))
	var width, height int
	_, box, _ := strings.Cut(rows, "viewBox=")
	_, err = fmt.Sscanf(box, "\"0 0 %d %d\"", &width, &height)
	require.NoError(t, err)
	run := func(argument, address string) []byte {
		var complaints bytes.Buffer
		c := exec.CommandContext(t.Context(), browser, "--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--enable-logging=stderr", "--virtual-time-budget=10000",
			fmt.Sprintf("--window-size=%d,%d", 2*width, len(moments)*height), argument, address) //nolint:gosec // the test names it
		c.Stderr = &complaints
		out, err := c.Output()
		require.NoError(t, err, complaints.String())
		assert.NotContains(t, complaints.String(), "CONSOLE")
		return out
	}
	var got struct {
		Fetched []string
		Seen    []seen
	}
	body := regexp.MustCompile(`(?s)<body>(.*)</body>`).FindSubmatch(run("--dump-dom", "file://"+file+"#seen"))
	require.NotNil(t, body)
	require.NoError(t, json.Unmarshal([]byte(html.UnescapeString(string(body[1]))), &got))
	assert.Empty(t, got.Fetched)
	run("--screenshot="+file+".png", file)
	shot, err := os.Open(file + ".png")
	require.NoError(t, err)
	defer func() { assert.NoError(t, shot.Close()) }()
	picture, err := png.Decode(shot)
	require.NoError(t, err)
	return got.Seen, picture
}

// isSameBeside holds that each row of a picture has the same dots in its left and its right half, and no two rows the
// same ones. Where the smoothed edges of two signs meet, the one that is drawn first counts for less: a quarter of the
// range of a colour is far below the difference between ink and paper, and above that of these edges.
func isSameBeside(t *testing.T, shot image.Image, rows int) {
	t.Helper()
	const edge = 255 / 4
	width, height := shot.Bounds().Dx()/2, shot.Bounds().Dy()/rows
	dots := func(x, y int) []byte {
		part := image.NewRGBA(image.Rect(0, 0, width, height))
		draw.Draw(part, part.Bounds(), shot, image.Pt(x, y), draw.Src)
		return part.Pix
	}
	seen := map[string]bool{}
	for row := range rows {
		moving, still := dots(0, row*height), dots(width, row*height)
		differ := 0
		for i := range moving {
			if max(moving[i], still[i])-min(moving[i], still[i]) > edge {
				differ++
			}
		}
		assert.Zero(t, differ, "the moving picture shows at moment %d what the still one shows", row)
		seen[string(moving)] = true
	}
	assert.Len(t, seen, rows, "it moves")
}
