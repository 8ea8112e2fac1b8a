package main

import (
	"math"
	"strings"
)

// glyphs are the signs of a screen. Every sign is one cell wide.
type glyphs struct {
	arrow    string
	rule     string
	good     string
	bad      string
	unlike   string // belief and truth differ
	cells    string // from empty to full, for bars and strips
	pending  string // an empty cell of a bar
	kindMark map[string]string
}

func (s *screen) glyphs() glyphs {
	if s.ascii {
		return glyphs{
			arrow: "->", rule: "-", good: "+", bad: "x", unlike: "#", cells: " .:-=+*#", pending: ".",
			kindMark: map[string]string{
				"state": ">", "operator": "o", "fault": "^", "judge": "?", "brake": "=",
				"drive": "~", "truth": "!", "obligation": "x", "end": "|",
			},
		}
	}
	return glyphs{
		arrow: "→", rule: "─", good: "✓", bad: "✗", unlike: "≠", cells: " ▁▂▃▄▅▆▇█", pending: "·",
		kindMark: map[string]string{
			"state": "▸", "operator": "◇", "fault": "▲", "judge": "§", "brake": "▮",
			"drive": "~", "truth": "•", "obligation": "✗", "end": "■",
		},
	}
}

// plain replaces what a screen without our signs cannot show.
func (s *screen) plain(text string) string {
	if !s.ascii {
		return text
	}
	return strings.NewReplacer("→", "->", "N·m", "Nm", "·", "*", "°", "deg ", "−", "-", "²", "2", "≠", "#", "√", "sqrt", "…", "..").Replace(text)
}

// ruled is the name of a part on a rule.
func (s *screen) ruled(name string) string {
	return s.style.strong.Render(name) + " " + s.style.faint.Render(strings.Repeat(s.glyphs().rule, max(0, s.width-cells(name)-1)))
}

// bar draws a share of a whole, left to right; more than the whole is full. Blocks
// go in eighths, ASCII in whole cells.
func (s *screen) bar(share float64, width int) string {
	g := s.glyphs()
	share = min(max(share, 0), 1)
	if math.IsNaN(share) {
		share = 0
	}
	if s.ascii {
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

// strip draws columns between two values, in so many rows from top to bottom. A
// column without a figure stays empty, one at the lower value shows the lowest sign.
func (s *screen) strip(columns []column, low, high float64, rows int) []string {
	signs := []rune(s.glyphs().cells)
	steps := len(signs) - 1 // in a row
	lines := make([]string, rows)
	for _, c := range columns {
		level := 0
		if c.filled {
			level = 1
			if high > low {
				level += int(math.Round(min(max((c.value-low)/(high-low), 0), 1) * float64(steps*rows-1)))
			}
		}
		for i := range lines {
			below := steps * (rows - 1 - i)
			lines[i] += string(signs[min(max(level-below, 0), steps)])
		}
	}
	return lines
}
