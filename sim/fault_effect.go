package sim

import "strings"

// A fault that begins need not act: its value may be the present one, another fault may set the same at
// the same moment, or it may be over before a scan reads it. Whether it acts is looked at whenever a
// fault begins or ends; each of these moments changes what the others do.

// effect is what a fault does to what it sets.
type effect struct {
	on    []targetEffect // in the order of its settings
	order int            // in which the faults began, the first one 1
	acted bool           // a value was another than without the fault, and something read it
}

// targetEffect is what a fault does to a target.
type targetEffect struct {
	was, now string   // the values as the fault began, before and after
	since    int64    // tick since which the value is another, and a scan has not been looked for; -1 if it is not
	without  noEffect // why the fault has not acted so far by this target
}

// noEffect is why a fault does not act.
type noEffect uint8

const (
	sameValue noEffect = iota // what it sets is so already
	covered                   // another fault sets the same target at the same moment
	taken                     // what it sets is so already, and later others set the target
	unread                    // no scan has read it
	replaced                  // another fault set the target before a scan read it
)

// noteEffects looks at the faults that are active, once those that are due have begun or ended.
func (b *Bench) noteEffects() {
	uppermost := map[*Target]*scheduledFault{}
	for _, f := range b.active.list {
		for _, s := range f.settings {
			uppermost[s.target] = f
		}
	}
	below := map[*Target]string{} // the value without the faults from here on
	for _, f := range b.active.list {
		if f.effect.acted = b.acted(f); !f.effect.acted {
			b.noteEffect(f, below, uppermost)
		}
		for i, s := range f.settings {
			below[s.target] = f.effect.on[i].now
		}
	}
	b.noteShared()
}

// noteEffect looks at what a fault does from now on. Without it the values would be those below it, and a value is its
// own where it is the uppermost fault.
func (b *Bench) noteEffect(f *scheduledFault, below map[*Target]string, uppermost map[*Target]*scheduledFault) {
	for i, s := range f.settings {
		on := &f.effect.on[i]
		switch {
		case on.now == b.without(f, i, below):
			on.since = -1
		case uppermost[s.target] != f:
			on.since, on.without = -1, on.under(f.began == b.tick)
		case on.since < 0:
			on.since, on.without = b.tick, unread
			f.effect.acted = f.effect.acted || !readInScans(s.target)
		}
	}
}

// under is why a fault does not act by a target that another fault sets as well, now that it does.
func (e *targetEffect) under(begins bool) noEffect {
	switch {
	case e.without == sameValue && begins:
		return covered
	case e.without == sameValue:
		return taken
	case e.without == unread:
		return replaced
	}
	return e.without
}

// without is the value that a target would have without a fault. As it begins, that is what it was.
func (b *Bench) without(f *scheduledFault, i int, below map[*Target]string) string {
	if f.began == b.tick {
		return f.effect.on[i].was
	}
	if text, ok := below[f.settings[i].target]; ok {
		return text
	}
	return b.active.base[f.settings[i].target.Name]
}

// acted is whether a fault has acted so far.
func (b *Bench) acted(f *scheduledFault) bool {
	if f.effect.acted || !f.active {
		return f.effect.acted
	}
	for i, s := range f.settings {
		if since := f.effect.on[i].since; since >= 0 && b.readSince(since, s.target) {
			return true
		}
	}
	return false
}

// readInScans is whether nothing but a scan reads a target. Power is lost at once, and a scan that is left out is
// the next one, however short the fault is.
func readInScans(t *Target) bool {
	return strings.HasPrefix(t.Name, linkPrefix) || t.Name == lateScan || t.Operator && t.Name != operatorPrefix+buttonPowerLoss
}

// readSince is whether a scan that reads a target came since a tick, ahead of the present one.
func (b *Bench) readSince(since int64, t *Target) bool {
	safety, functional := b.nextSafety-b.safetyEvery, b.nextFunctional-b.functionalEvery
	switch {
	case !readInScans(t):
		return true
	case strings.HasPrefix(t.Name, linkPrefix):
		return safety >= since
	case t.Name == lateScan && b.nextFunctional < b.tick: // it is held back
		return true
	}
	return functional >= since || t.Name != lateScan && (safety >= since || b.scans.late > 0)
}
