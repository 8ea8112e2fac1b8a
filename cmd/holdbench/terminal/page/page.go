// Package page is the surface that every screen of the terminal bench is drawn on: a grid
// of cells, each with one rune and one role. From one grid come the text for a terminal, the
// plain text for files, and an SVG picture, so that all three show the same.
package page

import (
	"strings"
	"unicode/utf8"
)

// Role is what a cell means. Paint and SVG turn it into a look; since a look may be missing,
// a role is never the only sign of its meaning.
type Role uint8

// The roles of a cell.
const (
	Plain    Role = iota
	Faint         // aside: units, rules, what is not in use
	Strong        // what to read first
	Heading       // the title of a pane
	Motor         // torque produced
	Setpoint      // setpoint, limit
	Brake         // brake and its torque
	Truth         // what the sequence cannot know
	Good          // as it should be
	Bad           // not as it should be
	Fault         // a fault and its time
	Earlier       // an earlier run
	Nominal       // the nominal run
	Chosen        // the selected row
	Key           // a key in a hint
	Caution       // safety words
	Banner        // what must not be overlooked
)

const roleCount = int(Banner) + 1

// maxSide is the most cells a page has in each direction. A terminal may report any size,
// and a wrong one must not take the memory of the machine.
const maxSide = 2000

// part tells the two cells of a wide rune apart. A half whose other half was overwritten
// shows as a blank, so that drawing over a wide rune never touches a cell elsewhere.
type part uint8

const (
	single part = iota
	lead
	tail
)

type cell struct {
	sign rune
	role Role
	part part
}

// Page is a grid of cells. Draw through its Area.
type Page struct {
	width, height int
	ascii         bool
	cells         []cell // row by row
}

// New returns an empty page of so many cells, from 0 to 2000 in each direction; sizes outside
// are brought to the nearest. With ascii, every sign is drawn as one of ASCII of the same width.
func New(width, height int, ascii bool) *Page {
	p := &Page{width: within(width, maxSide), height: within(height, maxSide), ascii: ascii}
	p.cells = make([]cell, p.width*p.height)
	for i := range p.cells {
		p.cells[i].sign = ' '
	}
	return p
}

func within(n, most int) int { return min(max(n, 0), most) }

// Area returns the whole page.
func (p *Page) Area() Area { return Area{page: p, w: p.width, h: p.height} }

func (p *Page) row(y int) []cell { return p.cells[y*p.width : (y+1)*p.width] }

// shown returns what stands at one place of a row, and false for the second cell of a wide rune.
func shown(row []cell, x int) (cell, bool) {
	c := row[x]
	switch {
	case c.part == lead && (x+1 == len(row) || row[x+1].part != tail),
		c.part == tail && (x == 0 || row[x-1].part != lead):
		return cell{sign: ' ', role: c.role}, true
	}
	return c, c.part != tail
}

// Text returns the page as plain text: lines joined with \n, without the blanks at their ends.
func (p *Page) Text() string {
	var text strings.Builder
	text.Grow(len(p.cells) + p.height)
	for y := range p.height {
		if y > 0 {
			text.WriteByte('\n')
		}
		writeLine(&text, p.row(y))
	}
	return text.String()
}

func writeLine(text *strings.Builder, row []cell) {
	blanks := 0
	for x := range row {
		c, ok := shown(row, x)
		switch {
		case !ok:
		case c.sign == ' ':
			blanks++
		default:
			for ; blanks > 0; blanks-- {
				text.WriteByte(' ')
			}
			writeSign(text, c.sign)
		}
	}
}

func writeSign(text *strings.Builder, sign rune) {
	if sign < utf8.RuneSelf {
		text.WriteByte(byte(sign))
		return
	}
	text.WriteRune(sign)
}
