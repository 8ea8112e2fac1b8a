package probe

import (
	"sync/atomic"

	"holdbench/sim"
)

// meter counts the ticks of a probe, to say what it costs that a controller cannot be copied. A nil
// one counts nothing.
type meter struct{ ticks, again, scans atomic.Int64 }

// keeps counts a scan whose inputs are kept; false once there are too many.
func (m *meter) keeps() bool { return m == nil || m.scans.Add(1) <= mostScans }

// copied counts what it took to make a copy.
func (m *meter) copied(b *sim.Bench) *sim.Bench {
	if m != nil {
		m.again.Add(b.RunAgain())
	}
	return b
}

// ran counts the ticks of a run from one of its moments on.
func (m *meter) ran(b *sim.Bench, from int64) {
	if m != nil {
		m.ticks.Add(b.Ticks() - from)
	}
}

// times is how many times the ticks were run that would be enough with copies; 0 where none was run
// again.
func (m *meter) times() float64 {
	ticks, again := m.ticks.Load(), m.again.Load()
	if again == 0 || ticks == 0 {
		return 0
	}
	return float64(ticks+again) / float64(ticks)
}
