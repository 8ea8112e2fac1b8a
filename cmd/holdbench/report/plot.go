package report

import (
	"cmp"
	"html"
	"html/template"
	"math"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
)

// A figure is drawn in tenths of a pixel, so that whole numbers are enough: a page of some hundred
// runs is a third of the size that decimals would make it.
const (
	plotWidth  = 7200
	plotLeft   = 560
	plotRight  = 7130
	bandTop    = 30
	bandBottom = 210
	legendRow  = 140 // of the legend above a panel
	panelTall  = 720
	axisTall   = 320 // for the ticks of time
)

// series is one curve of a panel.
type series struct {
	name   string
	look   string // class of its line
	points []point
}

// level is a limit that is drawn across a panel.
type level struct {
	name string
	y    float64
}

// panel is one pair of axes.
type panel struct {
	name   string // with its unit
	tall   int    // 0: panelTall
	series []series
	levels []level
}

// stretch is the stay in one state.
type stretch struct {
	from, to float64 // s
	number   int
	name     string
}

// plot is a figure: panels over one axis.
type plot struct {
	label     string // for those who have it read to them
	axis      string // name and unit of the axis below
	panels    []panel
	stretches []stretch
	from, to  float64
}

// drawing writes the elements of a figure.
type drawing struct {
	strings.Builder
	plot *plot
	top  int // of the present panel
	tall int
	low  float64
	high float64
}

// svg draws the figure. All colours are classes of the page.
func (p *plot) svg() template.HTML {
	if p.to <= p.from {
		p.to = p.from + 1
	}
	d := &drawing{plot: p}
	head := bandBottom
	if len(p.stretches) == 0 {
		head = 0
	}
	tall := head
	tops := make([]int, len(p.panels))
	for i := range p.panels {
		tops[i] = tall + p.panels[i].head()
		tall = tops[i] + p.panels[i].height()
	}
	bottom := tall
	tall += axisTall
	d.put(`<svg class="plot" role="img" viewBox="0 0 `, strconv.Itoa(plotWidth), " ", strconv.Itoa(tall), `" aria-label="`, html.EscapeString(page.CleanLine(p.label)), `">`)
	d.band(bottom)
	for i := range p.panels {
		d.top, d.tall = tops[i], p.panels[i].height()
		d.panel(&p.panels[i])
	}
	d.timeAxis(bottom)
	d.put("</svg>")
	return template.HTML(d.String()) //nolint:gosec // every text in it was escaped
}

func (d *drawing) put(parts ...string) {
	for _, s := range parts {
		d.WriteString(s)
	}
}

// x and y are places in the drawing.
func (d *drawing) x(t float64) int {
	share := (t - d.plot.from) / (d.plot.to - d.plot.from)
	return plotLeft + int(math.Round(share*(plotRight-plotLeft)))
}

func (d *drawing) y(v float64) int {
	return d.top + int(math.Round((d.high-v)/(d.high-d.low)*float64(d.tall)))
}

// band draws the states, each with its number where there is room, and a line at each change.
func (d *drawing) band(bottom int) {
	for i, s := range d.plot.stretches {
		from, to := d.x(s.from), d.x(s.to)
		d.put(`<rect class="s`, strconv.Itoa(i%2), `" x="`, strconv.Itoa(from), `" y="`, strconv.Itoa(bandTop), `" width="`, strconv.Itoa(max(to-from, 4)), `" height="`, strconv.Itoa(bandBottom-bandTop), `"><title>`, html.EscapeString(page.CleanLine(s.name)), `</title></rect>`)
		number := strconv.Itoa(s.number)
		if to-from > 70*len(number)+20 {
			d.text("m", (from+to)/2, bandBottom-50, number)
		}
		if i > 0 {
			d.put(`<path class="v" d="M`, strconv.Itoa(from), " ", strconv.Itoa(bandBottom), "V", strconv.Itoa(bottom), `"/>`)
		}
	}
	if len(d.plot.stretches) > 0 {
		d.text("e", plotLeft-60, bandBottom-50, "state")
	}
}

// text writes a word; its class says how it is aligned.
func (d *drawing) text(class string, x, y int, words string) {
	d.put(`<text class="`, class, `" x="`, strconv.Itoa(x), `" y="`, strconv.Itoa(y), `">`, html.EscapeString(page.CleanLine(words)), `</text>`)
}

// panel draws a pair of axes with its legend.
func (d *drawing) panel(p *panel) {
	d.low, d.high = p.extent()
	step := tickStep(d.high-d.low, 4)
	d.low, d.high = step*math.Floor(d.low/step), step*math.Ceil(d.high/step)
	for i := 0; ; i++ {
		v := d.low + float64(i)*step
		if v > d.high+step/2 {
			break
		}
		d.put(`<path class="g" d="M`, strconv.Itoa(plotLeft), " ", strconv.Itoa(d.y(v)), "H", strconv.Itoa(plotRight), `"/>`)
		d.text("e", plotLeft-60, d.y(v)+35, tickText(v, step))
	}
	d.legend(p)
	for i := range p.levels {
		d.put(`<path class="lim`, strconv.Itoa(i), `" d="M`, strconv.Itoa(plotLeft), " ", strconv.Itoa(d.y(p.levels[i].y)), "H", strconv.Itoa(plotRight), `"/>`)
	}
	for _, s := range p.series {
		if path := d.path(s.points); path != "" {
			d.put(`<path class="`, s.look, `" d="`, path, `"/>`)
		}
	}
}

// entry is a line of the legend, with its place in it.
type entry struct {
	class, name string
	x, row      int
}

// entries are the lines of a panel in the rows of its legend.
func (p *panel) entries() []entry {
	var list []entry
	for _, s := range p.series {
		list = append(list, entry{class: s.look, name: s.name})
	}
	for i, l := range p.levels {
		list = append(list, entry{class: "lim" + strconv.Itoa(i), name: l.name})
	}
	begin := plotLeft + letters(p.name) + 170
	x, row := begin, 0
	for i := range list {
		wide := sampleWide + letters(list[i].name)
		if x > begin && x+wide > plotRight {
			x, row = begin, row+1
		}
		list[i].x, list[i].row = x, row
		x += wide + 140
	}
	return list
}

// sampleWide is the room for the sample of a line, ahead of its name.
const sampleWide = 310

func (p *panel) height() int { return cmp.Or(p.tall, panelTall) }

// head is how tall the legend of a panel is.
func (p *panel) head() int {
	rows := 1
	for _, e := range p.entries() {
		rows = e.row + 1
	}
	return rows*legendRow + 60
}

// legend names the panel and each of its lines.
func (d *drawing) legend(p *panel) {
	top := d.top - p.head() + legendRow - 10
	d.text("n", plotLeft, top, p.name)
	for _, e := range p.entries() {
		y := top + e.row*legendRow
		d.put(`<path class="`, e.class, `" d="M`, strconv.Itoa(e.x), " ", strconv.Itoa(y-35), `h250"/>`)
		d.text("b", e.x+sampleWide, y, e.name)
	}
}

// letters is about how wide text is.
func letters(text string) int { return 54 * page.Cells(text) }

// extent is what the values of a panel lie between, with some room where they are all the same.
func (p *panel) extent() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	take := func(v float64) { low, high = math.Min(low, v), math.Max(high, v) }
	for _, s := range p.series {
		for _, q := range s.points {
			if !q.isGap() {
				take(q.y)
			}
		}
	}
	for _, l := range p.levels {
		take(l.y)
	}
	if low > high {
		return 0, 1
	}
	if room := 1e-3 * math.Max(1, math.Abs(high)); high-low < room {
		return low - room, high + room
	}
	return low, high
}

// tickStep is a round step with which about n of them fill a range.
func tickStep(extent float64, n int) float64 {
	raw := extent / float64(n)
	power := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5} {
		if m*power >= raw {
			return m * power
		}
	}
	return 10 * power
}

// tickText is a value of an axis with the decimals of its step.
func tickText(v, step float64) string {
	decimals := max(0, int(-math.Floor(math.Log10(step)+1e-9)))
	if math.Abs(v) < step/2 {
		v = 0
	}
	return strconv.FormatFloat(v, 'f', decimals, 64)
}

// timeAxis draws the ticks below the last panel.
func (d *drawing) timeAxis(y int) {
	step := tickStep(d.plot.to-d.plot.from, 10)
	for i := math.Ceil(d.plot.from / step); i*step <= d.plot.to+step/1e6; i++ {
		d.text("m", d.x(i*step), y+120, tickText(i*step, step))
	}
	d.text("m", (plotLeft+plotRight)/2, y+260, d.plot.axis)
}

// dot is a point in the drawing.
type dot struct{ x, y int }

// path is a curve in relative coordinates, without the points that lie on the line of their neighbours.
func (d *drawing) path(points []point) string {
	var b strings.Builder
	var run []dot
	flush := func() {
		appendPath(&b, simplified(run))
		run = run[:0]
	}
	for _, p := range points {
		if p.isGap() {
			flush()
			continue
		}
		run = append(run, dot{d.x(p.x), d.y(p.y)})
	}
	flush()
	return b.String()
}

func appendPath(b *strings.Builder, run []dot) {
	if len(run) == 0 {
		return
	}
	if len(run) == 1 {
		run = append(run, dot{run[0].x + 5, run[0].y}) // else nothing would be drawn
	}
	b.WriteString("M" + strconv.Itoa(run[0].x) + " " + strconv.Itoa(run[0].y) + "l")
	for i := 1; i < len(run); i++ {
		dx, dy := strconv.Itoa(run[i].x-run[i-1].x), strconv.Itoa(run[i].y-run[i-1].y)
		if i > 1 && dx[0] != '-' {
			b.WriteByte(' ')
		}
		b.WriteString(dx)
		if dy[0] != '-' {
			b.WriteByte(' ')
		}
		b.WriteString(dy)
	}
}

// tolerance is by how much a curve may be moved by leaving a point out, in tenths of a pixel.
const tolerance = 3

// simplified leaves out what does not show (Douglas and Peucker, 1973).
func simplified(run []dot) []dot {
	if len(run) < 3 {
		return run
	}
	a, z := run[0], run[len(run)-1]
	worst, at := 0.0, 0
	for i := 1; i < len(run)-1; i++ {
		if away := distance(run[i], a, z); away > worst {
			worst, at = away, i
		}
	}
	if worst <= tolerance {
		return []dot{a, z}
	}
	left := simplified(run[:at+1])
	return append(left[:len(left):len(left)], simplified(run[at:])[1:]...)
}

// distance is that of a point from the line between two others.
func distance(p, a, z dot) float64 {
	dx, dy := float64(z.x-a.x), float64(z.y-a.y)
	length := math.Hypot(dx, dy)
	if length == 0 {
		return math.Hypot(float64(p.x-a.x), float64(p.y-a.y))
	}
	return math.Abs(dx*float64(a.y-p.y)-dy*float64(a.x-p.x)) / length
}
