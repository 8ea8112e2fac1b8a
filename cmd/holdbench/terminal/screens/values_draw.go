package screens

import "holdbench/cmd/holdbench/terminal/page"

// valueDetails is the room below the list.
const valueDetails = 7

func (v *valuesScreen) listRows(h int) int { return listRows(h, v.detailRows(h)) }

// detailRows is the room below the list. On a low screen what the list lacks is not left empty there.
func (v *valuesScreen) detailRows(h int) int {
	if h >= listTop+2*valueDetails {
		return valueDetails
	}
	return min(valueDetails, v.drawDetails(page.New(v.room().W, 0, false).Area()))
}

// Draw draws the list, and below it the value that is chosen.
func (v *valuesScreen) Draw(a page.Area) {
	in := v.frame(a, "Values")
	drawSearch(in, &v.list, v.edit == nil)
	in.Right(1, page.Faint, "= set by the scenario   ≠ changed")
	rows := v.listRows(in.H())
	v.list.draw(in.Sub(0, listTop, in.W(), rows))
	below := in.Sub(0, listTop+rows, in.W(), valueDetails+1)
	below.HLine(0, 0, below.W(), page.Faint)
	_ = v.drawDetails(below.Sub(0, 1, below.W(), valueDetails))
}

// drawDetails draws what a value is, and the field in which it is written, and returns the rows that it takes.
func (v *valuesScreen) drawDetails(a page.Area) int {
	y := 0
	if v.edit != nil {
		x := a.Text(0, 0, page.Strong, v.edit.key+" ")
		v.edit.field.draw(a.Sub(x, 0, a.W()-x-page.Width(v.edit.unit)-1, 1), true)
		a.Right(0, page.Faint, v.edit.unit)
		a.Fit(0, 1, page.Strong, v.edit.change())
		y += 2
	}
	switch {
	case v.wrong != "":
		y += drawPassages(a, y, []passage{{page.Bad, 0, "✗ " + v.wrong}})
	case v.warning != "":
		y += drawPassages(a, y, []passage{{page.Caution, 0, "warning: " + v.warning}})
	}
	if c, ok := v.list.now(); ok && c.kind == settingRow {
		y += drawPassages(a, y, v.rows[c.place].about(v))
	}
	return y
}
