package sim

import (
	"cmp"
	"math"
	"slices"
)

// applyFaults begins and ends the faults that are due: first those of the operator, as
// power that returns can make others due. Each in the order of the schedule.
func (b *Bench) applyFaults() {
	due, known := b.dueFaults()
	for _, operates := range [...]bool{true, false} {
		for _, f := range due {
			switch {
			case f.over || f.due < 0 || f.operates != operates:
			case !f.active && b.tick >= f.due:
				b.beginFault(f)
			case f.active && f.duration > 0 && b.tick >= f.due+f.duration:
				b.endFault(f)
			}
		}
	}
	b.noteEffects()
	if known {
		b.keepPending(due)
	} else {
		b.orderPending()
	}
	b.nextFault = math.MaxInt64
	if len(b.pending) > 0 {
		b.nextFault = b.pending[len(b.pending)-1].next()
	}
}

// dueFaults takes those that are due from the list of those that are pending. Where it is not known which
// are, it is the whole schedule: after a change of it, and where power returns.
func (b *Bench) dueFaults() (due []*scheduledFault, known bool) {
	if b.nextFault == 0 {
		return b.schedule, false
	}
	n := len(b.pending)
	for n > 0 && b.pending[n-1].next() <= b.tick {
		n--
	}
	due = slices.Clone(b.pending[n:])
	if slices.ContainsFunc(due, (*scheduledFault).switchesPower) {
		return b.schedule, false
	}
	b.pending = b.pending[:n]
	slices.SortFunc(due, func(f, g *scheduledFault) int { return cmp.Compare(f.place, g.place) })
	return due, true
}

// orderPending lists the faults that are to begin or to end, the next one last: what comes soon is taken and put
// back there, and nothing else is moved.
func (b *Bench) orderPending() {
	b.pending = make([]*scheduledFault, 0, len(b.schedule))
	for i, f := range b.schedule {
		if f.place = i; f.next() != math.MaxInt64 {
			b.pending = append(b.pending, f)
		}
	}
	slices.SortFunc(b.pending, byNext)
}

// keepPending puts those of some faults that are to end into the list.
func (b *Bench) keepPending(list []*scheduledFault) {
	for _, f := range list {
		if f.next() != math.MaxInt64 {
			at, _ := slices.BinarySearchFunc(b.pending, f, byNext)
			b.pending = slices.Insert(b.pending, at, f)
		}
	}
}

func byNext(f, g *scheduledFault) int { return cmp.Compare(g.next(), f.next()) }

// next is the tick in which the fault begins or ends next, as far as that is known.
func (f *scheduledFault) next() int64 {
	switch {
	case f.over || f.due < 0 || f.active && f.duration == 0:
		return math.MaxInt64
	case f.active:
		return f.due + f.duration
	}
	return f.due
}

// switchesPower is whether the fault takes the power, or gives it back.
func (f *scheduledFault) switchesPower() bool {
	return slices.ContainsFunc(f.settings, func(s setting) bool { return s.target.Name == operatorPrefix+buttonPowerLoss })
}
