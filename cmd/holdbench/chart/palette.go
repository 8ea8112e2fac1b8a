package chart

import (
	"image/color"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// ink is a colour of Okabe and Ito's set for all kinds of colour vision, Color Universal Design,
// 2002 (from memory), blue and orange first.
func ink(series int) color.Color {
	inks := [...]color.NRGBA{
		{0x00, 0x72, 0xB2, 0xFF}, {0xD5, 0x5E, 0x00, 0xFF}, {0x40, 0x40, 0x40, 0xFF},
		{0x56, 0xB4, 0xE9, 0xFF}, {0xE6, 0x9F, 0x00, 0xFF}, {0xCC, 0x79, 0xA7, 0xFF},
	}
	return inks[series%len(inks)]
}

// glyph tells points apart without colour, dashes do it with lines.
func glyph(nth int) draw.GlyphDrawer {
	glyphs := [...]draw.GlyphDrawer{
		draw.CircleGlyph{}, draw.BoxGlyph{}, draw.PyramidGlyph{},
		draw.RingGlyph{}, draw.SquareGlyph{}, draw.TriangleGlyph{},
	}
	return glyphs[nth%len(glyphs)]
}

func dashes(nth int) []vg.Length {
	all := [...][]vg.Length{nil, {6, 3}, {2, 2}, {8, 3, 2, 3}, {12, 3}, {4, 6}}
	return all[nth%len(all)]
}

// shade goes from nearly white to a dark blue as a share goes from 0 to 1: lightness alone tells
// them apart, on grey paper too.
func shade(share float64) color.NRGBA {
	light, dark := [3]float64{0xF2, 0xF6, 0xFA}, [3]float64{0x00, 0x45, 0x7A}
	mix := func(i int) uint8 { return uint8(light[i] + float64(share*(dark[i]-light[i])) + 0.5) }
	return color.NRGBA{mix(0), mix(1), mix(2), 0xFF}
}

func black() color.Color { return color.Gray{0x00} }
func white() color.Color { return color.Gray{0xFF} }
func faint() color.Color { return color.Gray{0xD8} }
func plain() color.Color { return color.Gray{0x60} }
