package view

import (
	"math"
	"slices"

	"holdbench/cmd/holdbench/terminal/page"
)

// tag is the letter at the end of a curve, which identifies it without colour, and its names
// in the legend, the longest first.
type tag struct {
	letter             rune
	name, brief, least string
	role               page.Role
	truth              bool
}

// The letters of the curves.
const (
	tagMotor    = 'm'
	tagBrake    = 'b'
	tagBrake2   = '2'
	tagCapacity = 'c'
	tagPosition = 'p'
	tagLoad     = 'l'
	tagDemand   = 'd'
	tagEarlier  = 'e'
	tagOther    = 'B' // run B, in place of the earlier one
	tagNominal  = 'n'
)

// tags are all letters in the order of the legend, the most important first.
func (g *stage) tags() []tag {
	earlier := tag{tagEarlier, "earlier", "earl", "ear", page.Earlier, false}
	if g.Compared != nil {
		earlier = tag{tagOther, "run B", "run", "run", page.Earlier, false}
	}
	return []tag{
		{tagMotor, "motor", "motor", "mot", page.Motor, g.Truth},
		{tagBrake, "brake", "brake", "brk", page.Brake, true},
		{tagBrake2, "brake 2", "brake 2", "br2", page.Brake, true},
		{tagCapacity, "capacity", "cap", "cap", page.Truth, true},
		{tagPosition, "position", "pos", "pos", page.Plain, false},
		{tagLoad, "load", "load", "load", page.Truth, true},
		{tagDemand, "demand", "dem", "dem", page.Setpoint, false},
		earlier,
		{tagNominal, "nominal", "nom", "nom", page.Nominal, false},
	}
}

// earlierTag is the letter of the curves behind those of the run.
func (g *stage) earlierTag() rune {
	if g.Compared != nil {
		return tagOther
	}
	return tagEarlier
}

// tagged are the tags of letters that were drawn.
func (g *stage) tagged(drawn []rune) []tag {
	return slices.DeleteFunc(g.tags(), func(t tag) bool { return !slices.Contains(drawn, t.letter) })
}

// shortest is the highest level of shortening of a legend.
const shortest = 2

// legendWords names the curves, the shorter the higher the level.
func legendWords(tags []tag, level int) []word {
	var parts []word
	for _, t := range tags {
		sign := ""
		if t.truth {
			sign = truthSign
		}
		name := []string{t.name, t.brief, t.least}[min(max(level, 0), shortest)]
		parts = append(parts, word{t.role, string(t.letter) + " " + name + sign + " "})
	}
	return parts
}

// letters finds a place for each letter on its curve.
type letters struct {
	a     page.Area
	taken map[[2]int]bool
	drawn []rune
}

func newLetters(a page.Area) *letters { return &letters{a: a, taken: map[[2]int]bool{}} }

// put writes a letter on the last column of a curve that lies inside of the scale. Where another
// letter stands already, it goes back along the curve.
func (l *letters) put(d *data, q int, low, high float64, letter rune, role page.Role) {
	p := newPlot(l.a.W(), l.a.H(), 0, 1, low, high)
	last := d.lanes[q].last
	for x := len(last) - 1; x >= 0; x-- {
		v := float64(last[x])
		if math.IsNaN(v) || v < low || v > high {
			continue
		}
		at := [2]int{x / 2, min(max(p.row(v), 0), p.h-1) / 4}
		if l.taken[at] {
			continue
		}
		l.taken[at] = true
		l.a.Set(at[0], at[1], letter, role)
		if !slices.Contains(l.drawn, letter) {
			l.drawn = append(l.drawn, letter)
		}
		return
	}
}
