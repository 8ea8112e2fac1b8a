package page

import (
	"math"
	"strings"
)

// Signs are the signs of a screen. Every sign is one cell wide.
type Signs struct {
	Rule    string
	Good    string
	Bad     string
	Unlike  string // belief and truth differ
	cells   string // from empty to full, for bars and strips
	pending string // an empty cell of a bar
}

// Signs are those that the screen has.
func (s *Screen) Signs() Signs {
	if s.ASCII {
		return Signs{Rule: "-", Good: "+", Bad: "x", Unlike: "#", cells: " .:-=+*#", pending: "."}
	}
	return Signs{Rule: "─", Good: "✓", Bad: "✗", Unlike: "≠", cells: " ▁▂▃▄▅▆▇█", pending: "·"}
}

// Plain replaces what a screen without our signs cannot show.
func (s *Screen) Plain(text string) string {
	if !s.ASCII {
		return text
	}
	return strings.NewReplacer("→", "->", "N·m", "Nm", "·", "*", "°", "deg ", "−", "-", "²", "2", "≠", "#", "√", "sqrt", "≥", ">=", "≤", "<=", "π", "pi", "…", "..", "±", "+/-").Replace(text)
}

// Ruled is the name of a part on a rule.
func (s *Screen) Ruled(name string) string {
	return s.Style.Strong.Render(name) + " " + s.Style.Faint.Render(strings.Repeat(s.Signs().Rule, max(0, s.Width-Cells(name)-1)))
}

// Bar draws a share of a whole, left to right; more than the whole is full. Blocks
// go in eighths, ASCII in whole cells.
func (s *Screen) Bar(share float64, width int) string {
	g := s.Signs()
	share = min(max(share, 0), 1)
	if math.IsNaN(share) {
		share = 0
	}
	if s.ASCII {
		n := int(math.Round(share * float64(width)))
		return strings.Repeat("#", n) + strings.Repeat(g.pending, width-n)
	}
	eighths := int(math.Round(share * float64(width) * 8))
	text := strings.Repeat("█", eighths/8)
	if rest := eighths % 8; rest > 0 {
		text += []string{"", "▏", "▎", "▍", "▌", "▋", "▊", "▉"}[rest]
	}
	cells := (eighths + 7) / 8
	return text + strings.Repeat(g.pending, width-cells)
}

// Strip draws columns between two values, in so many rows from top to bottom. A
// column without a figure stays empty, one at the lower value shows the lowest sign.
func (s *Screen) Strip(columns []Column, low, high float64, rows int) []string {
	signs := []rune(s.Signs().cells)
	steps := len(signs) - 1 // in a row
	lines := make([]string, rows)
	for _, c := range columns {
		level := 0
		if c.Filled {
			level = 1
			if high > low {
				level += int(math.Round(min(max((c.Value-low)/(high-low), 0), 1) * float64(steps*rows-1)))
			}
		}
		for i := range lines {
			below := steps * (rows - 1 - i)
			lines[i] += string(signs[min(max(level-below, 0), steps)])
		}
	}
	return lines
}

// Column is one character of a strip.
type Column struct {
	Value  float64
	Filled bool
}
