package page

import "strings"

// Run is a part of a line in one role.
type Run struct {
	Role Role   `json:"r"`
	Text string `json:"t"`
}

// Runs are a line of the page as parts, which [Area.Text] draws again one after the other.
func (p *Page) Runs(y int) []Run {
	if y < 0 || y >= p.height {
		return nil
	}
	var list []Run
	var text strings.Builder
	row := p.row(y)
	for x := range row {
		c, ok := shown(row, x)
		if !ok {
			continue
		}
		if n := len(list); n == 0 || list[n-1].Role != c.role {
			list = endRun(list, &text)
			list = append(list, Run{Role: c.role})
		}
		writeSign(&text, c.sign)
	}
	return endRun(list, &text)
}

// endRun gives the last part its text.
func endRun(list []Run, text *strings.Builder) []Run {
	if n := len(list); n > 0 {
		list[n-1].Text = text.String()
	}
	text.Reset()
	return list
}

// W is the width of the page in cells.
func (p *Page) W() int { return p.width }

// H is the height of the page in cells.
func (p *Page) H() int { return p.height }
