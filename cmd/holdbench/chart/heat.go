package chart

import (
	"math"
)

// Heat is a table whose cells are shaded by their values: Cells[row][column] in Unit, NaN where
// there is no value. X and Y say what columns and rows are.
type Heat struct {
	Title, X, Y, Unit string
	Columns, Rows     []string
	Cells             [][]float64
}

// value is NaN where there is none.
func (h *Heat) value(row, column int) float64 {
	if row >= len(h.Cells) || column >= len(h.Cells[row]) || !drawable(h.Cells[row][column]) {
		return math.NaN()
	}
	return h.Cells[row][column]
}

// values is the range of all cells.
func (h *Heat) values() extent {
	e := nothing()
	for row := range h.Rows {
		for column := range h.Columns {
			if v := h.value(row, column); drawable(v) {
				e.take(v)
			}
		}
	}
	return e
}

// share is where a value lies in a range, 0 to 1, and half way where the range is one value.
func (e extent) share(v float64) float64 {
	if !(e.high > e.low) {
		return 0.5
	}
	return (v - e.low) / (e.high - e.low)
}

// cellText is the figure in a cell, three digits that count.
func (h *Heat) cellText(row, column int) string {
	v := h.value(row, column)
	if math.IsNaN(v) {
		return "-"
	}
	return threeDigits(v)
}

// unitLine says what the figures are in.
func (h *Heat) unitLine() string {
	if tidy(h.Unit) == "" {
		return ""
	}
	return "figures in " + tidy(h.Unit)
}
