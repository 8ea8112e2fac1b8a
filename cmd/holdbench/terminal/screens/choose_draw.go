package screens

import "holdbench/cmd/holdbench/terminal/page"

// chooseLayout is where the parts are inside the frame.
type chooseLayout struct{ list, preview Rect }

// Widths at which the parts have room.
const (
	twoParts  = 64 // below, there is no preview
	wideParts = 110
	leftPart  = 43 // the longest name with the word lesson
)

func (c *chooseScreen) layout(in Rect) chooseLayout {
	left := in.W
	if in.W >= twoParts {
		left = leftPart
	}
	if in.W >= wideParts {
		left = in.W / 2
	}
	top := chooseFields + 1
	return chooseLayout{
		list:    Rect{0, top, left, max(0, in.H-top-1)},
		preview: Rect{left + 2, 0, max(0, in.W-left-2), in.H},
	}
}

// Draw draws the fields, the list of the one that has the keys, and the preview.
func (c *chooseScreen) Draw(a page.Area) {
	in := c.frame(a, "Choose what to run")
	l := c.layout(Rect{0, 0, in.W(), in.H()})
	c.drawFields(in.Sub(0, 0, l.list.W, chooseFields))
	in.HLine(0, chooseFields, l.list.W, page.Faint)
	list := in.Sub(l.list.X, l.list.Y, l.list.W, l.list.H)
	if c.field == seedField {
		list.Wrap(2, 0, page.Faint, "The seed sets the noise of the sensors: the same seed gives the same run. A whole number from 1; empty for that of the scenario.")
	} else {
		c.lists[c.field].draw(list)
	}
	if c.wrong != "" {
		in.Sub(0, 0, l.list.W, in.H()).Fit(0, in.H()-1, page.Bad, "✗ "+c.wrong)
	}
	if l.preview.W > 0 {
		in.VLine(l.list.W, 0, in.H(), page.Faint)
		c.drawPreview(in.Sub(l.preview.X, l.preview.Y, l.preview.W, l.preview.H))
	}
}

func (c *chooseScreen) drawFields(a page.Area) {
	const column = 11
	for i, label := range []string{"scenario", "rig", "sequence", "seed"} {
		role := page.Plain
		if i == c.field {
			role = page.Strong
			a.Text(0, i, page.Key, "›")
		}
		a.Text(2, i, role, label)
		if i == seedField {
			c.seed.draw(rowAt(a, column, i), i == c.field)
			continue
		}
		drawChosen(a, column, i, &c.lists[i], i == c.field)
	}
}

// drawPreview draws what is chosen as far as it is known.
func (c *chooseScreen) drawPreview(a page.Area) {
	w, err := c.wants()
	p := c.previews[w]
	switch {
	case err != nil:
		a.Wrap(0, 0, page.Bad, "✗ "+err.Error())
		return
	case p == nil:
		a.Text(0, 0, page.Faint, "reading…")
		return
	}
	text := a.Sub(0, 0, a.W()-2, a.H())
	rows := drawPassages(text, -c.offset, p.text)
	drawMore(a, c.offset, rows)
}

// drawMore shows at the right edge that there is text above or below.
func drawMore(a page.Area, offset, rows int) {
	if offset > 0 {
		a.Right(0, page.Key, "↑")
	}
	if rows-offset > a.H() {
		a.Right(a.H()-1, page.Key, "↓")
	}
}

// previewSize is how many rows the preview has, and how many can be seen.
func (c *chooseScreen) previewSize() (rows, window int) {
	in := c.room()
	l := c.layout(in)
	w, err := c.wants()
	p := c.previews[w]
	if err != nil || p == nil || l.preview.W <= 2 {
		return 0, 0
	}
	return rowsOf(l.preview.W-2, p.text), in.H
}
