package page

// Area is a rectangle of a page with coordinates of its own: 0, 0 is its upper left cell.
// What falls outside is not drawn. The zero Area has no cells and draws nothing.
type Area struct {
	page       *Page
	x, y, w, h int // cells of the page
}

// W is the width in cells.
func (a Area) W() int { return a.w }

// H is the height in cells.
func (a Area) H() int { return a.h }

// Sub returns the part of a rectangle that lies inside the area. The part has its own origin:
// when the rectangle begins left of or above the area, the part begins at the area's edge.
func (a Area) Sub(x, y, w, h int) Area {
	x, w = span(x, w, a.w)
	y, h = span(y, h, a.h)
	return Area{page: a.page, x: a.x + x, y: a.y + y, w: w, h: h}
}

// span cuts n cells from at to those between 0 and limit. It never adds two numbers that
// could overflow.
func span(at, n, limit int) (start, size int) {
	if at < 0 && n > 0 {
		at, n = 0, n+at
	}
	at = within(at, limit)
	return at, within(n, limit-at)
}

// SplitTop cuts so many rows off the top; what is too much or too little is clamped.
func (a Area) SplitTop(h int) (top, rest Area) {
	h = within(h, a.h)
	return a.Sub(0, 0, a.w, h), a.Sub(0, h, a.w, a.h-h)
}

// Set draws one rune. A rune without a width of its own is not drawn, nor is a wide one of
// which a half would lie outside.
func (a Area) Set(x, y int, r rune, role Role) {
	if a.page == nil {
		return
	}
	sign, width := signOf(r, a.page.ascii)
	a.put(x, y, sign, width, role)
}

// put draws a sign of 1 or 2 cells; signOf has chosen it.
func (a Area) put(x, y int, sign rune, width int, role Role) {
	if x < 0 || y < 0 || y >= a.h || x >= a.w || width > a.w-x || width == 0 {
		return
	}
	if int(role) >= roleCount {
		role = Plain
	}
	i := (a.y+y)*a.page.width + a.x + x
	switch {
	case width == 1:
		a.page.cells[i] = cell{sign, role, single}
	case a.page.ascii: // both halves get the same sign, so that the width stays
		a.page.cells[i] = cell{sign, role, single}
		a.page.cells[i+1] = cell{sign, role, single}
	default:
		a.page.cells[i] = cell{sign, role, lead}
		a.page.cells[i+1] = cell{' ', role, tail}
	}
}

// Fill draws one rune in every cell; a wide one in every second.
func (a Area) Fill(r rune, role Role) {
	if a.page == nil {
		return
	}
	sign, width := signOf(r, a.page.ascii)
	for y := range a.h {
		for x := 0; x < a.w; x += max(width, 1) {
			a.put(x, y, sign, width, role)
		}
	}
}

// HLine draws a line of n cells to the right.
func (a Area) HLine(x, y, n int, role Role) { a.Sub(x, y, n, 1).Fill('─', role) }

// VLine draws a line of n cells downwards.
func (a Area) VLine(x, y, n int, role Role) { a.Sub(x, y, 1, n).Fill('│', role) }

// Rule draws a line across the area with a title near its left end. Rules part panes.
func (a Area) Rule(y int, title string) {
	a.HLine(0, y, a.w, Faint)
	if title == "" {
		return
	}
	x := a.Text(2, y, Plain, " ")
	x = a.Text(x, y, Heading, title)
	a.Text(x, y, Plain, " ")
}
