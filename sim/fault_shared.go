package sim

import (
	"cmp"
	"maps"
	"slices"
)

// Of faults that set the same at the same time, none has an effect by itself, as the others have it too; together they
// have one. As many of them are said to act as bring it about, the first ones where it makes no difference: a run
// without all the others is the same.

// sharedEffect is that of several faults which set a target to the same, and to another value than it has without
// them, at a tick.
type sharedEffect struct {
	target *Target
	from   int   // the first of the faults, in the order in which they began
	tick   int64 // since which they do it, as one of them began or ended
	read   bool  // something read it
}

// by is whether a fault is one of those that bring it about.
func (e *sharedEffect) by(f *scheduledFault) bool {
	lasts := f.active || f.over && f.ended > e.tick
	return lasts && f.began <= e.tick && f.effect.order >= e.from && f.sets(e.target)
}

// sets is whether a fault sets a target.
func (f *scheduledFault) sets(t *Target) bool {
	return slices.ContainsFunc(f.settings, func(s setting) bool { return s.target == t })
}

// noteShared looks at the effects that faults share from now on, once it is noted which act by themselves; those so
// far that nothing read are none.
func (b *Bench) noteShared() {
	b.active.shared = slices.DeleteFunc(b.active.shared, func(e sharedEffect) bool { return !e.read && !b.readSince(e.tick, e.target) })
	for i := range b.active.shared {
		b.active.shared[i].read = true
	}
	b.share(b.uppermost())
}

// uppermost is of each target that a fault sets the group of faults that gives it its value.
func (b *Bench) uppermost() map[*Target]group {
	uppermost := map[*Target]group{}
	below := map[*Target]string{}
	for _, f := range b.active.list {
		for i, s := range f.settings {
			g, known := uppermost[s.target]
			if now := f.effect.on[i].now; !known || now != g.value {
				g = group{value: now, without: b.without(f, i, below), first: f}
			}
			g.faults, g.acted = g.faults+1, g.acted || f.effect.acted
			uppermost[s.target], below[s.target] = g, f.effect.on[i].now
		}
	}
	return uppermost
}

// changes is whether a fault gives a target another value than it has without the group: of faults that set the same,
// the first one does.
func (g *group) changes(f *scheduledFault) bool { return g.first == f && g.value != g.without }

// group are faults that set a target to the same value, one above the other.
type group struct {
	value, without string // of the target, and what it would be without them
	first          *scheduledFault
	faults         int
	acted          bool // one of them has acted by itself
}

// share notes the effects of the uppermost groups of several faults, in the order of the faults.
func (b *Bench) share(uppermost map[*Target]group) {
	for _, f := range b.active.list {
		for _, s := range f.settings {
			if g := uppermost[s.target]; g.changes(f) && g.faults > 1 && !g.acted {
				b.active.shared = append(b.active.shared, sharedEffect{s.target, f.effect.order, b.tick, !readInScans(s.target)})
			}
		}
	}
}

// sharers are the faults that act only together with others: the later ones are left out as long as each effect has
// another fault that brings it about.
func (b *Bench) sharers() map[*scheduledFault]bool {
	if len(b.active.shared) == 0 {
		return nil
	}
	var open [][]*scheduledFault // of each effect, the faults that bring it about
	for i := range b.active.shared {
		e := &b.active.shared[i]
		if !e.read && !b.readSince(e.tick, e.target) {
			continue
		}
		by := slices.DeleteFunc(slices.Clone(b.schedule), func(f *scheduledFault) bool { return !e.by(f) })
		if !slices.ContainsFunc(by, b.acted) {
			open = append(open, by)
		}
	}
	act := map[*scheduledFault]bool{}
	for _, f := range slices.Concat(open...) {
		act[f] = true
	}
	later := slices.SortedFunc(maps.Keys(act), func(f, g *scheduledFault) int { return cmp.Compare(g.effect.order, f.effect.order) })
	for _, f := range later {
		act[f] = slices.ContainsFunc(open, func(by []*scheduledFault) bool { return needed(f, by, act) })
	}
	return act
}

// needed is whether a fault is the only one left of those that bring an effect about.
func needed(f *scheduledFault, by []*scheduledFault, act map[*scheduledFault]bool) bool {
	return slices.Contains(by, f) && !slices.ContainsFunc(by, func(other *scheduledFault) bool { return other != f && act[other] })
}
