package screens

import (
	"github.com/charmbracelet/bubbles/key"

	"holdbench/cmd/holdbench/terminal/page"
)

// DrawHints names keys in a row, whole ones only and as many as fit; the last two always
// have their place.
func DrawHints(a page.Area, keys []key.Binding) {
	keep := max(0, len(keys)-2)
	tail := 0
	for _, k := range keys[keep:] {
		tail += hintWidth(k)
	}
	x := 1
	for i, k := range keys {
		if i < keep && x+hintWidth(k)+tail > a.W() {
			continue
		}
		x = a.Text(x, 0, page.Key, k.Help().Key)
		x = a.Text(x+1, 0, page.Faint, k.Help().Desc) + 2
	}
}

// hintWidth is the width of a hint with its gap.
func hintWidth(k key.Binding) int { return page.Width(k.Help().Key) + page.Width(k.Help().Desc) + 3 }
