package page

import (
	"math"
	"strconv"
)

// box is a filled rectangle in parts of a cell: 0 0 is the upper left corner, 1 1 the lower right.
type box struct{ x, y, w, h float64 }

// path appends the box of a cell at x, y to the data of an SVG path.
func (b box) path(data []byte, x, y float64) []byte {
	data = append(data, 'M')
	data = appendNumber(data, x+float64(b.x*cellWidth))
	data = append(data, ' ')
	data = appendNumber(data, y+float64(b.y*cellHeight))
	data = append(data, 'h')
	data = appendNumber(data, b.w*cellWidth)
	data = append(data, 'v')
	data = appendNumber(data, b.h*cellHeight)
	data = append(data, 'h')
	data = appendNumber(data, -b.w*cellWidth)
	return append(data, 'z')
}

// appendNumber keeps three decimals, which is exact for the eighths of a cell.
func appendNumber(data []byte, n float64) []byte {
	return strconv.AppendFloat(data, math.Round(n*1000)/1000, 'f', -1, 64)
}

// shapeOf returns what a sign is made of, or nothing when it is a letter of the font.
func shapeOf(sign rune) []box {
	switch {
	case sign < 0x2500:
		return nil
	case sign <= 0x257f:
		return lines(sign)
	case sign <= 0x259f:
		return blocks(sign)
	case sign >= 0x2800 && sign <= 0x28ff:
		return dots(sign)
	}
	return nil
}

// lines are the thin box signs: arms from the centre upwards, to the right, downwards, to the left.
// Heavy, double and dashed ones stay letters.
func lines(sign rune) []box {
	const thickX, thickY = 1 / cellWidth, 1 / cellHeight
	const left, top = (1 - thickX) / 2, 0.5 // whole user units
	arms := armsOf(sign)
	var shape []box
	if arms.left || arms.right {
		from, to := left, left+thickX
		if arms.left {
			from = 0
		}
		if arms.right {
			to = 1
		}
		shape = append(shape, box{from, top, to - from, thickY})
	}
	if arms.up || arms.down {
		from, to := top, top+thickY
		if arms.up {
			from = 0
		}
		if arms.down {
			to = 1
		}
		shape = append(shape, box{left, from, thickX, to - from})
	}
	return shape
}

type arms struct{ up, right, down, left bool }

func armsOf(sign rune) arms {
	switch sign {
	case '─':
		return arms{left: true, right: true}
	case '│':
		return arms{up: true, down: true}
	case '┌', '╭':
		return arms{right: true, down: true}
	case '┐', '╮':
		return arms{down: true, left: true}
	case '└', '╰':
		return arms{up: true, right: true}
	case '┘', '╯':
		return arms{up: true, left: true}
	case '├':
		return arms{up: true, right: true, down: true}
	case '┤':
		return arms{up: true, down: true, left: true}
	case '┬':
		return arms{right: true, down: true, left: true}
	case '┴':
		return arms{up: true, right: true, left: true}
	case '┼':
		return arms{up: true, right: true, down: true, left: true}
	case '╴':
		return arms{left: true}
	case '╵':
		return arms{up: true}
	case '╶':
		return arms{right: true}
	case '╷':
		return arms{down: true}
	}
	return arms{}
}

// blocks are the block signs: parts of a cell in eighths, quarters, and shades.
func blocks(sign rune) []box {
	switch {
	case sign == '▀':
		return []box{{0, 0, 1, 0.5}}
	case sign <= '█': // ▁ is one eighth from below
		part := float64(sign-'▀') / 8
		return []box{{0, 1 - part, 1, part}}
	case sign <= '▏': // ▉ is seven eighths from the left
		return []box{{0, 0, float64('▐'-sign) / 8, 1}}
	case sign == '▐':
		return []box{{0.5, 0, 0.5, 1}}
	case sign <= '▓':
		return shade(float64(sign-'▐') / 4)
	case sign == '▔':
		return []box{{0, 0, 1, 0.125}}
	case sign == '▕':
		return []box{{0.875, 0, 0.125, 1}}
	}
	return quarters(sign)
}

// shade is eight dots that cover so much of the cell, roughly.
func shade(part float64) []box {
	return grid(0xff, 0.3+0.7*part)
}

// quarters are the signs from ▖ to ▟.
func quarters(sign rune) []box {
	const ul, ur, ll, lr = 1, 2, 4, 8
	of := [...]int{ll, lr, ul, ul | ll | lr, ul | lr, ul | ur | ll, ul | ur | lr, ur, ur | ll, ur | ll | lr}
	var shape []box
	for i := range 4 {
		if of[sign-'▖']>>i&1 == 1 {
			shape = append(shape, box{float64(i%2) / 2, float64(i/2) / 2, 0.5, 0.5})
		}
	}
	return shape
}

// dots are the braille signs: the lower eight bits of the code are the dots 1 to 8 (Unicode
// Standard, section 21.1), of which 1 to 3 and 7 stand left, 4 to 6 and 8 right.
func dots(sign rune) []box {
	code := int(sign & 0xff)
	var at int // two columns, rows from above
	for bit, place := range [...]int{0, 2, 4, 1, 3, 5, 6, 7} {
		at |= code >> bit & 1 << place
	}
	return grid(at, 0.6)
}

// grid draws squares in a cell of two columns and four rows; bit 0 is the upper left one, and
// side is a part of the room that a square has.
func grid(at int, side float64) []box {
	var shape []box
	for i := range 8 {
		if at>>i&1 == 1 {
			gap := (1 - side) / 2
			shape = append(shape, box{(float64(i%2) + gap) / 2, (float64(i/2) + gap) / 4, side / 2, side / 4})
		}
	}
	return shape
}
