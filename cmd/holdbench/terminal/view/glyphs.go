package view

import (
	"strings"
	"unicode"

	"holdbench/cmd/holdbench/terminal/page"
)

// The size of a block letter in pixels, of which two stand above each other in a cell, and with the gap behind it.
const (
	glyphWidth, glyphHeight = 5, 7
	pitchX, pitchY          = glyphWidth + 1, glyphHeight + 1
)

// glyph is a block letter: seven rows of five pixels, parted by /. Small letters look like capitals, but for units; what is not known
// is a question mark.
func glyph(r rune) string {
	r = unicode.ToUpper(r)
	switch {
	case r >= 'A' && r <= 'Z':
		return letterGlyph(int(r - 'A'))
	case r >= '0' && r <= '9':
		return digitGlyph(int(r - '0'))
	}
	return signGlyph(r)
}

// unitGlyph is a block letter of a unit: small letters stay small, as s and S, or m and M, are different units.
func unitGlyph(r rune) string {
	switch r {
	case 'm':
		return "     /     /## # /# # #/# # #/# # #/# # #"
	case 's':
		return "     /     / ####/#    / ### /    #/#### "
	case 'h':
		return "#    /#    /# ## /##  #/#   #/#   #/#   #"
	}
	return glyph(r)
}

// inUnits tells of each letter whether it belongs to a unit: a word behind a number.
func inUnits(letters []rune) []bool {
	units := make([]bool, len(letters))
	for i := 2; i < len(letters); i++ {
		begins := letters[i-1] == ' ' && unicode.IsDigit(letters[i-2])
		units[i] = letters[i] != ' ' && (begins || units[i-1])
	}
	return units
}

func letterGlyph(i int) string {
	return [...]string{
		" ### /#   #/#   #/#####/#   #/#   #/#   #",
		"#### /#   #/#   #/#### /#   #/#   #/#### ",
		" ### /#   #/#    /#    /#    /#   #/ ### ",
		"#### /#   #/#   #/#   #/#   #/#   #/#### ",
		"#####/#    /#    /#### /#    /#    /#####",
		"#####/#    /#    /#### /#    /#    /#    ",
		" ### /#   #/#    /#  ##/#   #/#   #/ ####",
		"#   #/#   #/#   #/#####/#   #/#   #/#   #",
		" ### /  #  /  #  /  #  /  #  /  #  / ### ",
		"  ###/   # /   # /   # /   # /#  # / ##  ",
		"#   #/#  # /# #  /##   /# #  /#  # /#   #",
		"#    /#    /#    /#    /#    /#    /#####",
		"#   #/## ##/# # #/# # #/#   #/#   #/#   #",
		"#   #/##  #/# # #/#  ##/#   #/#   #/#   #",
		" ### /#   #/#   #/#   #/#   #/#   #/ ### ",
		"#### /#   #/#   #/#### /#    /#    /#    ",
		" ### /#   #/#   #/#   #/# # #/#  # / ## #",
		"#### /#   #/#   #/#### /# #  /#  # /#   #",
		" ####/#    /#    / ### /    #/    #/#### ",
		"#####/  #  /  #  /  #  /  #  /  #  /  #  ",
		"#   #/#   #/#   #/#   #/#   #/#   #/ ### ",
		"#   #/#   #/#   #/#   #/#   #/ # # /  #  ",
		"#   #/#   #/#   #/# # #/# # #/## ##/#   #",
		"#   #/#   #/ # # /  #  / # # /#   #/#   #",
		"#   #/#   #/ # # /  #  /  #  /  #  /  #  ",
		"#####/    #/   # /  #  / #   /#    /#####",
	}[i]
}

func digitGlyph(i int) string {
	return [...]string{
		" ### /#   #/#  ##/# # #/##  #/#   #/ ### ",
		"  #  / ##  /  #  /  #  /  #  /  #  / ### ",
		" ### /#   #/    #/  ## / #   /#    /#####",
		" ### /#   #/    #/  ## /    #/#   #/ ### ",
		"   # /  ## / # # /#  # /#####/   # /   # ",
		"#####/#    /#### /    #/    #/#   #/ ### ",
		"  ## / #   /#    /#### /#   #/#   #/ ### ",
		"#####/    #/   # /  #  / #   / #   / #   ",
		" ### /#   #/#   #/ ### /#   #/#   #/ ### ",
		" ### /#   #/#   #/ ####/    #/   # / ##  ",
	}[i]
}

func signGlyph(r rune) string {
	switch r {
	case ' ':
		return "     /     /     /     /     /     /     "
	case '.', '·':
		return "     /     /     /     /     / ##  / ##  "
	case ',':
		return "     /     /     /     / ##  /  #  / #   "
	case ':':
		return "     / ##  / ##  /     / ##  / ##  /     "
	case '-', '−':
		return "     /     /     /#####/     /     /     "
	case '+':
		return "     /  #  /  #  /#####/  #  /  #  /     "
	case '_':
		return "     /     /     /     /     /     /#####"
	case '/':
		return "    #/    #/   # /  #  / #   /#    /#    "
	case '%':
		return "##   /##  #/   # /  #  / #   /#  ##/   ##"
	case '°':
		return " ##  /#  # /#  # / ##  /     /     /     "
	case '✓':
		return "     /    #/    #/   # /#  # / ##  / #   "
	case '✗':
		return "     /#   #/ # # /  #  / # # /#   #/     "
	case '—':
		return "     /     /     /#####/     /     /     "
	}
	return " ### /#   #/    #/   # /  #  /     /  #  "
}

// enlarged is how many pixels wide and high each pixel of block letters is.
type enlarged struct{ x, y int }

// fitting is the largest size in which so many letters fit into so many cells, at least once; letters get at most twice
// as high as they are wide, and the other way round not at all.
func fitting(letters, w, h int) enlarged {
	e := enlarged{max(1, (w+1)/(pitchX*max(letters, 1))), max(1, 2*h/pitchY)}
	e.y = min(e.y, 2*e.x)
	e.x = min(e.x, e.y)
	return e
}

// rows is how many rows of cells letters take.
func (e enlarged) rows() int { return (pitchY*e.y + 1) / 2 }

// drawLarge draws block letters from the left as large as they fit, and returns how many rows they took. A name that is
// too long for the smallest ones goes on in the next line, if there are rows for it.
func drawLarge(a page.Area, role page.Role, text string) int {
	letters, used := []rune(text), 0
	units := inUnits(letters)
	for a.H()-used >= 2*letterRows {
		n := lineEnd(letters, a.W())
		if n == len(letters) {
			break
		}
		used += drawLetters(a.Sub(0, used, a.W(), letterRows), role, letters[:n], units)
		letters, units = letters[n:], units[n:]
	}
	rows := a.H() - used
	if used > 0 {
		rows = min(rows, letterRows) // as large as the line above
	}
	return used + drawLetters(a.Sub(0, used, a.W(), rows), role, letters, units)
}

// rowsOf is how many rows a name takes in the smallest letters in so many cells.
func rowsOf(name string, w int) int {
	rows := letterRows
	for letters := []rune(name); ; rows += letterRows {
		n := lineEnd(letters, w)
		if n == len(letters) {
			return rows
		}
		letters = letters[n:]
	}
}

// lineEnd is how many of the letters stand in a line of so many cells: all, or up to a space or an underscore.
func lineEnd(letters []rune, w int) int {
	most := (w + 1) / pitchX
	if len(letters) <= most {
		return len(letters)
	}
	for n := most; n > 0; n-- {
		if last := letters[n-1]; last == ' ' || last == '_' {
			return n
		}
	}
	return len(letters)
}

// drawLetters draws a line of block letters, of which some are those of a unit. What does not fit is cut off, whole
// letters at a time.
func drawLetters(a page.Area, role page.Role, letters []rune, units []bool) int {
	e := fitting(len(letters), a.W(), a.H())
	letters = letters[:min(len(letters), max((a.W()+1)/(pitchX*e.x), 0))]
	p := newPixels(a.W(), a.H())
	for i, r := range letters {
		shape := glyph(r)
		if units[i] {
			shape = unitGlyph(r)
		}
		for y, row := range strings.Split(shape, "/") {
			for x, dot := range row {
				if dot == '#' {
					p.fill(i*pitchX*e.x+x*e.x, y*e.y, e.x, e.y)
				}
			}
		}
	}
	p.draw(a, role)
	return min(e.rows(), a.H())
}

// pixels are dots of half a cell's height.
type pixels struct {
	w, h int
	on   []bool
}

// newPixels are those of an area of so many cells.
func newPixels(w, h int) *pixels {
	w, h = max(w, 0), max(2*h, 0)
	return &pixels{w, h, make([]bool, w*h)}
}

// fill sets a rectangle as far as it lies inside.
func (p *pixels) fill(x, y, w, h int) {
	for row := max(y, 0); row < min(y+h, p.h); row++ {
		for column := max(x, 0); column < min(x+w, p.w); column++ {
			p.on[row*p.w+column] = true
		}
	}
}

// draw sets the cells that have a dot; the others stay.
func (p *pixels) draw(a page.Area, role page.Role) {
	for y := 0; y+1 < p.h; y += 2 {
		for x := range p.w {
			switch upper, lower := p.on[y*p.w+x], p.on[(y+1)*p.w+x]; {
			case upper && lower:
				a.Set(x, y/2, '█', role)
			case upper:
				a.Set(x, y/2, '▀', role)
			case lower:
				a.Set(x, y/2, '▄', role)
			}
		}
	}
}
