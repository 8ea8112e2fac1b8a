package sim

import (
	"maps"
	"slices"
)

// activeFaults knows the faults that are active, the newest last, and what their targets
// are without them.
type activeFaults struct {
	base map[string]string // by name of the target
	list []*scheduledFault
}

// clone copies the list; its faults are still those of the original.
func (a *activeFaults) clone() activeFaults {
	return activeFaults{base: maps.Clone(a.base), list: slices.Clone(a.list)}
}

// applyFaults begins and ends the faults that are due: first those of the operator, as
// power that returns can make others due.
func (b *Bench) applyFaults() {
	b.applyDue(true)
	b.applyDue(false)
}

func (b *Bench) applyDue(operates bool) {
	for _, f := range b.schedule {
		switch {
		case f.over || f.due < 0 || f.operates != operates:
		case !f.active && b.tick >= f.due:
			b.beginFault(f)
		case f.active && f.duration > 0 && b.tick >= f.due+f.duration:
			b.endFault(f)
		}
	}
}

// beginFault applies a fault on top of those that are active.
func (b *Bench) beginFault(f *scheduledFault) {
	f.active = true
	if b.active.base == nil {
		b.active.base = map[string]string{}
	}
	for _, s := range f.settings {
		was := s.target.get(b)
		if _, known := b.active.base[s.target.Name]; !known {
			b.active.base[s.target.Name] = was
		}
		s.target.set(b, s.text)
		if !b.ended && !s.target.Operator && s.target.get(b) != was {
			b.disturbed = true
		}
	}
	b.active.list = append(b.active.list, f)
	b.recordFault(f, EventFaultBegan, f.text())
}

// endFault gives the targets the values that they have without the fault: those of the
// newest fault that is still active, or those without faults.
func (b *Bench) endFault(f *scheduledFault) {
	f.active, f.over = false, true
	b.active.list = slices.DeleteFunc(b.active.list, func(other *scheduledFault) bool { return other == f })
	for _, s := range f.settings {
		text := b.active.base[s.target.Name]
		for _, other := range b.active.list {
			for _, same := range other.settings {
				if same.target.Name == s.target.Name {
					text = same.text
				}
			}
		}
		s.target.set(b, text)
	}
	b.recordFault(f, EventFaultEnded, "over: "+f.text())
}

// recordFault records a fault of the machine; what the operator does has an event of its own.
func (b *Bench) recordFault(f *scheduledFault, t EventType, what string) {
	if !f.operates {
		b.record(t, what)
	}
}

// faultsThatNeverCame lists the faults whose moment never came.
func (b *Bench) faultsThatNeverCame() []string {
	var list []string
	for _, f := range b.schedule {
		if !f.active && !f.over {
			list = append(list, f.text())
		}
	}
	return list
}
