package chart

// dash is how many dots of a line are set, and how many are left out after them.
type dash struct{ set, free int }

func dashOf(nth int) dash {
	dashes := [...]dash{{1, 0}, {4, 3}, {1, 2}, {7, 2}}
	return dashes[nth%len(dashes)]
}

func (d dash) sets(dot int) bool { return dot%(d.set+d.free) < d.set }

// dot is the sign of a point.
func (l lettering) dot(nth int) rune {
	if l == onlyASCII {
		return rune("ox*@&%"[nth%6])
	}
	return [...]rune{'●', '■', '▲', '○', '□', '△'}[nth%6]
}

// lineSign is what a line is made of where there are no dots.
func lineSign(nth int) rune { return rune(".-~="[nth%4]) }

// sample is a piece of a series for the legend.
func (l lettering) sample(nth int, line bool) string {
	switch {
	case !line:
		return string(l.dot(nth))
	case l == onlyASCII:
		sign := lineSign(nth)
		return string([]rune{sign, sign, sign, sign})
	}
	const wide = 4 // cells, of two dots each
	var signs []rune
	for i := range wide {
		sign := rune(0x2800)
		if dashOf(nth).sets(2 * i) {
			sign |= 0x04
		}
		if dashOf(nth).sets(2*i + 1) {
			sign |= 0x20
		}
		signs = append(signs, sign)
	}
	return string(signs)
}

func (l lettering) markSign() rune {
	if l == onlyASCII {
		return ':'
	}
	return '┊'
}

func (l lettering) barSign() rune {
	if l == onlyASCII {
		return '|'
	}
	return '│'
}

// frame are the signs of the axes: upright, its ticks, the corner, level, its ticks.
func (l lettering) frame() (upright, tick, corner, level, levelTick string) {
	if l == onlyASCII {
		return "|", "+", "+", "-", "+"
	}
	return "│", "┤", "└", "─", "┬"
}
