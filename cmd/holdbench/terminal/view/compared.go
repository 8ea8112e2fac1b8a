package view

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
)

// Compared is run B beside the run on the bench, which is A. What must not be seen is not in it.
type Compared struct {
	Name    string  // of B
	Aligned string  // at what
	BS      float64 // s, of B at the cursor
	Outside bool    // B has no such moment
	Values  []ComparedValue
	Pending bool    // the run is not compared as far as it was played: there may be differences that were not found yet
	First   string  // the first difference; empty while none was found
	FirstS  float64 // s of A, NaN while none was found
	Parted  bool    // the paths of states parted
	Common  int     // states that both entered before that
	PathB   []string
	After   string // the last state that both entered
	Offset  int    // values that are scrolled over
}

// ComparedValue is a signal of both runs at the cursor.
type ComparedValue struct {
	Name, A, B, Apart string // Apart is B − A
	Differs, Truth    bool
}

// drawCompared draws both runs at the cursor: what differs first, where the paths part, and all values as far as
// there are rows, those that differ first.
func (g *stage) drawCompared(a page.Area) {
	c := g.Compared
	if c == nil {
		return
	}
	y := 0
	line := func(role page.Role, text string) {
		a.Text(0, y, role, page.Cut(text, a.W()))
		y++
	}
	line(page.Strong, "B "+c.Name+", "+c.Aligned+", at "+strings.TrimLeft(g.seconds(c.BS), " "))
	switch {
	case c.First != "":
		y += max(1, a.Wrap(0, y, page.Setpoint, "≠ "+c.First))
	case c.Pending:
		line(page.Faint, g.notCompared())
	default:
		line(page.Faint, "no difference so far")
	}
	const narrow = 10 // rows, with which the path has none for B
	if c.Parted && a.H() <= narrow {
		line(page.Earlier, g.otherPath())
	}
	if c.Outside {
		line(page.Plain, "B has no such moment")
		return
	}
	g.drawValues(a.Sub(0, y, a.W(), a.H()-y))
}

// The widths of the columns of values.
const (
	valueName   = 21
	valueFigure = 12
)

func (g *stage) drawValues(a page.Area) {
	name, figure := valueName, valueFigure
	if free := a.W() - name - 3; free < 3*figure {
		figure = max(free/3, 6)
	}
	for i, text := range []string{"A", "B", "B − A"} {
		a.Text(2+name+i*figure, 0, page.Faint, left(text, figure))
	}
	list := g.Compared.inOrder()
	offset := max(0, min(g.Compared.Offset, len(list)-(a.H()-1)))
	for i := range min(len(list)-offset, a.H()-1) {
		v := &list[offset+i]
		role, title := page.Plain, v.Name
		if v.Truth {
			role, title = page.Truth, v.Name+truthSign
		}
		if v.Differs {
			a.Text(0, 1+i, page.Setpoint, "≠")
		}
		x := a.Text(2, 1+i, role, pad(page.Cut(title, name), name))
		cells, width := []string{v.A, v.B, v.Apart}, figure
		if v.Apart == "" { // words need more room
			cells, width = cells[:2], 3*figure/2
		}
		for _, text := range cells {
			x = a.Text(x, 1+i, role, left(page.Cut(text, width-1), width))
		}
	}
	if hidden := len(list) - offset - (a.H() - 1); hidden > 0 {
		a.Text(0, 0, page.Faint, "> "+strconv.Itoa(hidden)+" more")
	}
}

// inOrder are the values, those that differ first.
func (c *Compared) inOrder() []ComparedValue {
	list := slices.Clone(c.Values)
	slices.SortStableFunc(list, func(v, w ComparedValue) int {
		switch {
		case v.Differs == w.Differs:
			return 0
		case v.Differs:
			return -1
		}
		return 1
	})
	return list
}

// drawOtherPath says on the last rows of the path how B goes on, and returns the rows above.
func (g *stage) drawOtherPath(a page.Area) page.Area {
	c := g.Compared
	if c == nil || a.H() < 6 {
		return a
	}
	rows := 1
	if a.H() >= 14 {
		rows = 2
	}
	if a.H() >= 24 {
		rows = 4
	}
	top, rest := a.SplitTop(a.H() - rows)
	text := g.otherPath()
	if rows == 1 {
		rest.Text(0, 0, page.Earlier, page.Cut(text, rest.W()))
	} else {
		rest.Wrap(0, 0, page.Earlier, text)
	}
	return top
}

// otherPath is how B goes on behind the states of both.
func (g *stage) otherPath() string {
	switch c := g.Compared; {
	case !c.Parted && c.Pending:
		return "B: " + g.notCompared()
	case !c.Parted:
		return "B: the same states so far"
	case len(c.PathB) == 0:
		return "≠ B ends after " + c.After
	default:
		return "≠ B after " + c.After + ": " + strings.Join(c.PathB, " → ")
	}
}

// notCompared says that nothing is known yet, and what is to be done about it.
func (g *stage) notCompared() string {
	if g.Playing || g.Busy {
		return "not compared yet: pause the run"
	}
	return "not compared yet"
}

// firstMark is the moment of the first difference, false if there is none.
func (g *stage) firstMark() (atS float64, ok bool) {
	if g.Compared == nil || math.IsNaN(g.Compared.FirstS) {
		return 0, false
	}
	return g.Compared.FirstS, true
}
