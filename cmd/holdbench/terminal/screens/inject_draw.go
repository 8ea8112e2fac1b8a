package screens

import (
	"slices"

	"holdbench/cmd/holdbench/terminal/page"
)

// tops are the first row of the fields and the first row under what is said about one.
func (f *faultForm) tops(w int) (fields, list int) {
	fields = rowsOf(w, f.about)
	if fields > 0 {
		fields++
	}
	return fields, fields + f.count() + 1 + rowsOf(w, f.advice())
}

// advice describes the row that has the keys.
func (f *faultForm) advice() []passage {
	if f.wrong != "" {
		return []passage{{page.Bad, 0, "✗ " + f.wrong}}
	}
	if row := f.value(); row != nil {
		return append(slices.Clone(row.about), passage{page.Strong, 0, row.change()})
	}
	switch f.part() {
	case rowAfter:
		return []passage{{page.Faint, 0, "delay after that, such as 200ms or 1.5s; empty for none"}, {page.Strong, 0, readTime(f.after.text(), "no delay")}}
	case rowFor:
		reading := "then " + readTime(f.lasts.text(), permanent)
		if f.usualFor > 0 {
			reading = "usually " + readTime(f.usualFor.String(), permanent) + ", " + reading
		}
		return []passage{{page.Faint, 0, "duration, such as 40ms or 1.5s; empty for permanent"}, {page.Strong, 0, reading}}
	}
	return []passage{{page.Faint, 0, "now, or when a state is first entered; type to search"}}
}

// readTime is what is understood of a time that is typed; none is what an empty one means.
func readTime(text, none string) string {
	switch d, err := parseTime("", text); {
	case err != nil:
		return "no time yet"
	case d == 0:
		return none
	default:
		return page.FourDigits(d.Seconds()) + " s"
	}
}

// draw draws what it is, the rows, and what can be chosen for the one with the keys.
func (f *faultForm) draw(a page.Area) {
	drawPassages(a, 0, f.about)
	top, list := f.tops(a.W())
	label := f.labelWidth()
	for i := range f.values {
		row := &f.values[i]
		f.drawLabel(a, top+i, row.key)
		a.Fit(label+valueWidth+1, top+i, page.Faint, row.unit)
		row.field.draw(a.Sub(label, top+i, valueWidth, 1), f.at == i)
	}
	for i, part := range f.below() {
		f.drawBelow(a, top+len(f.values)+i, label, part)
	}
	drawPassages(a, top+f.count()+1, f.advice())
	f.drawList(a.Sub(0, list, a.W(), a.H()-list))
}

const valueWidth = 16

func (f *faultForm) labelWidth() int {
	width := len("after") + 3
	for i := range f.values {
		width = max(width, page.Width(f.values[i].key)+3)
	}
	return width
}

// drawLabel draws the name of the row that ends on y, with a sign if it has the keys.
func (f *faultForm) drawLabel(a page.Area, y int, name string) {
	top, _ := f.tops(a.W())
	role := page.Plain
	if y-top == f.at {
		a.Text(0, y, page.Key, "›")
		role = page.Strong
	}
	a.Text(2, y, role, name)
}

func (f *faultForm) drawBelow(a page.Area, y, label, part int) {
	top, _ := f.tops(a.W())
	active := y-top == f.at
	switch part {
	case rowWhen:
		f.drawLabel(a, y, "when")
		drawChosen(a, label, y, &f.when, active)
	case rowAfter:
		f.drawLabel(a, y, "after")
		f.after.draw(rowAt(a, label, y), active)
	default:
		f.drawLabel(a, y, "for")
		f.lasts.draw(rowAt(a, label, y), active)
	}
}

// drawChosen draws what is chosen in a list, or what is typed to search it.
func drawChosen(a page.Area, x, y int, p *picker, active bool) {
	c, _ := p.now()
	if active {
		filter := p.filter
		filter.empty = c.name
		filter.draw(rowAt(a, x, y), true)
		return
	}
	a.Fit(x, y, page.Plain, c.name)
}

// rowAt is the rest of a row.
func rowAt(a page.Area, x, y int) page.Area { return a.Sub(x, y, a.W()-x, 1) }

func (f *faultForm) drawList(a page.Area) {
	switch row := f.value(); {
	case row != nil && len(row.words.found) > 0:
		row.words.draw(a)
	case row == nil && f.part() == rowWhen:
		f.when.draw(a)
	}
}
