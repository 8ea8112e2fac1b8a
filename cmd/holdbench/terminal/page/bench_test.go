package page_test

import (
	"testing"

	"holdbench/cmd/holdbench/terminal/page"
)

// bench is a page as full as a screen of the bench: text, a chart and a list.
func bench(width, height int) *page.Page {
	p := page.New(width, height, false)
	left := width * 2 / 3
	chart, list := p.Area().Sub(0, 0, left, height), p.Area().Sub(left, 0, width-left, height)
	for y := range height {
		for x := range chart.W() {
			chart.Set(x, y, rune(0x2800+(x*7+y*13)%256), page.Role((x/9+y)%16))
		}
		list.Text(1, y, page.Plain, "0.482 s  press  ")
		list.Text(17, y, page.Motor, "torque 47.3 N·m")
	}
	return p
}

func BenchmarkANSI(b *testing.B) {
	p, paint := bench(200, 60), page.NewPaint(page.Colours{Number: 1 << 24})
	b.ReportAllocs()
	for b.Loop() {
		p.ANSI(paint)
	}
}

func BenchmarkText(b *testing.B) {
	p := bench(200, 60)
	b.ReportAllocs()
	for b.Loop() {
		_ = p.Text()
	}
}

func BenchmarkDraw(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		bench(200, 60)
	}
}
