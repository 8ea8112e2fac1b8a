package probecmd

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/catalogue"
	"holdbench/sim/probe"
)

// search looks how mild a fault may be and still go wrong, in every state.
func (p *probing) search(ctx context.Context) error {
	bar := p.app.Progress("searching", 0)
	o := p.options
	o.Earlier = nil
	o.Progress = func(done, all int) {
		p.searched, p.toSearch = done, all
		bar.At(done, all)
	}
	var err error
	p.edges, err = probe.Thresholds(ctx, p.ready, o, p.found)
	bar.Done()
	p.sought, p.searchBroke = true, err != nil
	return err
}

// edgeGroup is the edges of one fault, what somebody must look at ahead.
type edgeGroup struct {
	fault string
	scale *catalogue.Scale
	edges []*probe.Threshold
}

func (p *probing) edgeGroups() []*edgeGroup {
	var groups []*edgeGroup
	for i := range p.edges {
		e := &p.edges[i]
		at := slices.IndexFunc(groups, func(g *edgeGroup) bool { return g.fault == e.Fault })
		if at < 0 {
			at = len(groups)
			g := &edgeGroup{fault: e.Fault}
			if f, err := catalogue.Find(e.Fault); err == nil {
				g.scale = f.Scale
			}
			groups = append(groups, g)
		}
		groups[at].edges = append(groups[at].edges, e)
	}
	return groups
}

// mildest is the edge that a group is shown by: of those that somebody must look at, if
// there are any, the one that takes the least.
func (g *edgeGroup) mildest() *probe.Threshold {
	best := g.edges[0]
	for _, e := range g.edges[1:] {
		if e.Dangerous() == best.Dangerous() && e.Share < best.Share {
			best = e
		}
	}
	return best
}

// words say what the numbers are.
func (g *edgeGroup) words() string {
	if g.scale == nil {
		return ""
	}
	return fmt.Sprintf("%s mild to %s severe, %s", page.Figure(g.scale.Mild), page.Figure(g.scale.Severe), g.scale.Unit)
}

// edgeColumns are an edge in words, without its state and outcome.
type edgeColumns struct{ Wrong, Fine, Room, Times string }

func edgeHeads() edgeColumns { return edgeColumns{"wrong at", "fine at", "room", "within"} }

func columnsOf(e *probe.Threshold) edgeColumns {
	c := edgeColumns{Wrong: page.Figure(e.Number), Fine: "none", Room: fmt.Sprintf("%.0f %%", 100*e.Share), Times: "from the start"}
	if e.Safe != nil {
		c.Fine = page.Figure(*e.Safe)
	}
	if e.State != "" {
		c.Times = fmt.Sprintf("%.3f to %s", e.FirstS, page.Seconds(e.LastS))
	}
	return c
}

// edgeNote explains the columns.
const edgeNote = "The mildest of each fault, on its scale, with which something still goes wrong; the nearest number with which nothing does; how far that is on the scale from mild to severe; and from when to when after the state was entered. It is searched around the worst cell of the probe."

// edgeSums count what was found.
func (p *probing) edgeSums() string {
	open := 0
	for i := range p.edges {
		if p.edges[i].Dangerous() {
			open++
		}
	}
	text := fmt.Sprintf("%s in %s, one for each fault with a scale in each state; somebody must look at %d",
		page.Count(len(p.edges), "edge", "edges"), page.Count(p.searched, "search", "searches"), open)
	switch {
	case p.searched < p.toSearch:
		text += "; interrupted, there are " + page.Count(p.toSearch, "search", "searches")
	case p.searchBroke:
		text += "; interrupted"
	}
	return text
}

// worst shows the edges, a table for each fault.
func (v *probePage) worst() {
	if !v.sought {
		return
	}
	v.Section("how mild it may be")
	v.Prose(v.edgeSums())
	if len(v.edges) == 0 {
		return
	}
	v.Prose(edgeNote)
	for _, g := range v.edgeGroups() {
		v.Line()
		v.edgeGroup(g)
	}
}

const roomCells = 6 // of the bar that shows the room left

func (v *probePage) edgeGroup(g *edgeGroup) {
	v.hang(v.Style.Strong.Render(g.fault)+"  ", g.words())
	rows := []edgeColumns{edgeHeads()}
	state := page.Cells("state")
	for _, e := range g.edges {
		rows, state = append(rows, columnsOf(e)), max(state, page.Cells(stateWord(e.State)))
	}
	lines := v.edgeLines(rows, g)
	state = min(state, page.Narrow-page.Cells(lines[0])-edgeMargin)
	head := ""
	if v.Width >= page.Wide {
		head = "class, what is broken"
	}
	faint := v.Style.Faint.Render
	v.edgeLine("  ", faint("state"), state, faint(lines[0]), faint(head))
	for i, e := range g.edges {
		what := ""
		if v.Width >= page.Wide { // on narrow screens the signs must do
			what = strings.Join(append([]string{string(e.Class)}, e.Broken...), ", ")
		}
		v.edgeLine(v.sign(&e.Outcome)+" ", stateWord(e.State), state, lines[i+1], what)
	}
	e := g.mildest()
	v.Put(page.Paragraph(v.Plain(stateWord(e.State)+": "+outcomeWords(&e.Outcome)), "    ", v.Width))
	v.Put(page.BreakCommand(commandParts(v.again, &e.Cell), "    ", v.Width))
}

// edgeMargin is what stands beside the state and the figures: a margin, a sign, gaps.
const edgeMargin = 6

// edgeLines lays the columns out; all lines are equally long.
func (v *probePage) edgeLines(rows []edgeColumns, g *edgeGroup) []string {
	var widths [4]int
	for _, r := range rows {
		for i, text := range []string{r.Wrong, r.Fine, r.Room, r.Times} {
			widths[i] = max(widths[i], page.Cells(text))
		}
	}
	lines := make([]string, len(rows))
	for i, r := range rows {
		bar := strings.Repeat(" ", roomCells)
		if i > 0 {
			bar = v.Bar(g.edges[i-1].Share, roomCells)
		}
		lines[i] = strings.Join([]string{page.Pad(r.Wrong, widths[0]), page.Pad(r.Fine, widths[1]), bar + page.PadLeft(r.Room, widths[2]+1), page.PadLeft(r.Times, widths[3])}, "  ")
	}
	return lines
}

// edgeLine prints a state and its figures; where the name is too long they go below it.
func (v *probePage) edgeLine(sign, name string, state int, figures, what string) {
	head := "  " + sign + page.Pad(name, state) + "  "
	if page.Cells(name) > state {
		v.Line("  ", sign, name)
		head = strings.Repeat(" ", edgeMargin+state)
	}
	if what == "" {
		v.Line(head, figures)
		return
	}
	v.hang(head+figures+"  ", what)
}
