package life

import (
	"testing"
)

func BenchmarkEmergencyStop(b *testing.B) {
	rig := simple()
	for b.Loop() {
		outage(*rig, initial(rig), true)
	}
}

// A month of three shifts with stops and tests that cost nothing.
func BenchmarkMonth(b *testing.B) {
	rig := simple()
	p := Default(8 * hour)
	p.Span = 4 * week
	w := &model{plan: &p, rig: rig, stop: NewStopCache(rig).Stop, drops: NewDropLimits(rig), test: finds(rig, 1), windows: true}
	for n := 0; b.Loop(); n++ {
		if _, err := w.simulate(b.Context(), n); err != nil {
			b.Fatal(err)
		}
	}
}
