package export

import (
	"bytes"
	"context"
	"fmt"
	"html"
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"github.com/goccy/go-graphviz"

	"holdbench/sequence"
	"holdbench/sequence/export/drawcache"
)

func init() { drawcache.Over() } //nolint:gochecknoinits // as soon as the library is initialised

// drawing is held while the library lays out a graph: it has one memory for all graphs of a process.
//
//nolint:gochecknoglobals // as the library's memory is one
var drawing sync.Mutex

// SVG draws the graph of [DOT].
func SVG(ctx context.Context, p *sequence.Program, h Heading, group string) ([]byte, error) {
	d, err := diagramOf(p, group)
	if err != nil {
		return nil, err
	}
	return d.svg(ctx, p, h)
}

// Overview draws a group with the numbers of its transitions alone, so that 45 states can be read on a sheet
// beside the table of transitions.
func Overview(ctx context.Context, p *sequence.Program, h Heading, group string) ([]byte, error) {
	d, err := diagramOf(p, group)
	if err != nil {
		return nil, err
	}
	d.numbersOnly()
	return d.svg(ctx, p, h)
}

func (d *diagram) svg(ctx context.Context, p *sequence.Program, h Heading) ([]byte, error) {
	text := d.dot(h)
	drawing.Lock()
	defer drawing.Unlock()
	g, err := graphviz.New(ctx)
	if err != nil {
		return nil, err
	}
	defer g.Close() //nolint:errcheck // it only gives memory back
	graph, err := graphviz.ParseBytes([]byte(text))
	if err != nil {
		return nil, fmt.Errorf("the graph cannot be laid out: %w", err)
	}
	defer graph.Close() //nolint:errcheck // likewise
	var b bytes.Buffer
	if err := g.Render(ctx, graph, graphviz.SVG, &b); err != nil {
		return nil, fmt.Errorf("the graph cannot be laid out: %w", err)
	}
	return described(b.Bytes(), h.lines(shown(p.About().Name+": "+p.About().Note))), nil
}

// Sheets of paper A4 and A3 in points, less a margin of 10 mm, and the least scale at which letters of 9 points
// can be read: they come out at 5.6.
const (
	sheetShort, sheetLong = 538.0, 785.0
	sheetLarger           = math.Sqrt2
	leastScale            = 0.62
)

// OnSheet gives a drawing the size at which it fits on a sheet of paper: A4 where it can be read on it, else A3.
func OnSheet(svg []byte) []byte {
	size := regexp.MustCompile(`<svg width="([0-9.]+)pt" height="([0-9.]+)pt"`)
	found := size.FindSubmatch(svg)
	if found == nil {
		return svg
	}
	wide, errWide := strconv.ParseFloat(string(found[1]), 64)
	tall, errTall := strconv.ParseFloat(string(found[2]), 64)
	if errWide != nil || errTall != nil || wide <= 0 || tall <= 0 {
		return svg
	}
	scale := max(min(sheetShort/wide, sheetLong/tall), min(sheetLong/wide, sheetShort/tall))
	if scale < leastScale {
		scale *= sheetLarger
	}
	scale = min(scale, 1)
	return size.ReplaceAll(svg, fmt.Appendf(nil, `<svg width="%.0fpt" height="%.0fpt"`, wide*scale, tall*scale))
}

// described adds to a drawing what it is, for those who read its text or have it read to them.
func described(svg []byte, lines []string) []byte {
	head, rest, found := bytes.Cut(svg, []byte("<svg"))
	_, body, ends := bytes.Cut(rest, []byte(">"))
	if !found || !ends {
		return svg
	}
	tag := rest[:len(rest)-len(body)]
	text := html.EscapeString(strings.TrimSpace(strings.Join(lines[1:], "\n")))
	return bytes.Join([][]byte{head, []byte("<svg"), tag, []byte("\n<title>" + html.EscapeString(lines[0]) + "</title>\n<desc>" + text + "</desc>"), body}, nil)
}
