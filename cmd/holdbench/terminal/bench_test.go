package terminal

import (
	"fmt"
	"testing"
	"time"

	"holdbench/cmd/holdbench/terminal/screens"
)

var benchSizes = [][2]int{{120, 40}, {200, 60}}

// BenchmarkUpdate is one frame at 1×: the frame, its job, what came of it, and the drawing.
// At 30 Hz it has 33 ms. The run is gone over again and again.
func BenchmarkUpdate(b *testing.B) {
	for _, size := range benchSizes {
		b.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(b *testing.B) {
			s := opened(b, "healthy-down-and-up", size[0], size[1])
			now := time.Unix(0, 0)
			s.press(" ")
			s.send(screens.Frame(now))
			for b.Loop() {
				asked := s.frames
				now = now.Add(time.Second / 30)
				s.send(screens.Frame(now))
				if s.frames == asked { // the run is over
					b.StopTimer()
					s.press("r", " ")
					s.send(screens.Frame(now))
					b.StartTimer()
				}
			}
		})
	}
}

// BenchmarkView is the drawing alone, near the end of a run, where there is most to draw.
func BenchmarkView(b *testing.B) {
	for _, size := range benchSizes {
		b.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(b *testing.B) {
			s := opened(b, "healthy-down-and-up", size[0], size[1])
			s.press("end", "[")
			b.ReportAllocs()
			for b.Loop() {
				s.draw()
			}
		})
	}
}
