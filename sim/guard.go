package sim

import "holdbench/plant"

// guardClosed is whether the guard reads closed and locked. A guard opens only where it is unlocked,
// unless it is forced or its escape release is used; a rig without a guard reads closed.
func (b *Bench) guardClosed() bool {
	s := &b.plant.Rig().Safety
	switch {
	case s.Guard == plant.GuardNone, s.GuardSignal == plant.SignalClosed:
		return true
	case s.GuardSignal == plant.SignalOpen:
		return false
	}
	return !b.guardOpen && !b.safety.Out().GuardUnlocked
}

// moveGuard opens and closes the guard as the operator does.
func (b *Bench) moveGuard() {
	s := &b.plant.Rig().Safety
	if !b.operator.guardOpen || s.Guard == plant.GuardNone {
		b.guardOpen = false
		return
	}
	b.guardOpen = b.guardOpen || b.safety.Out().GuardUnlocked || s.GuardForced
}
