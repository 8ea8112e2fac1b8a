package st

import (
	"slices"
	"strings"
)

// timerWatch is what was seen of a timer while a state was not left.
type timerWatch struct{ scans, on, off, anew, out int }

func (w *timerWatch) see(f *timerFrame) {
	w.scans++
	w.on += int(f[timerIn])
	w.off += int(1 - f[timerIn])
	w.out += int(f[timerQ])
	if f[timerIn] != 0 && f[timerET] == 0 && f[timerPT] > 0 {
		w.anew++
	}
}

// stalled says of the timers that are asked in a state which of them do not run out in it, and why.
func (e *explorer) stalled(p *statePlace) []string {
	const scans = 64
	seen := make([]timerWatch, len(e.timers))
	for range scans {
		if !e.scan(VetScan) {
			return nil
		}
		for i := range e.timers {
			seen[i].see((*timerFrame)(e.machine.run.mem[e.timers[i].offset:]))
		}
	}
	var list []string
	for i := range e.timers {
		t := &e.timers[i]
		name, own := strings.CutPrefix(t.path, p.subject.prefix)
		if why := t.stalls(&seen[i]); why != "" && own && p.asks(name) {
			list = append(list, "the timer "+name+" "+why)
		}
	}
	return list
}

// asks is whether a variable of the block, or a part of one, decides a state and is asked in it.
func (p *statePlace) asks(name string) bool {
	s := p.subject
	return s.relevant[s.owner.byName[upper(pathRoot(name))]] &&
		slices.ContainsFunc(p.waiter.asks, func(a string) bool { return partOf(upper(name), a) })
}

// stalls is why a timer does not run out; empty if it may, or waits for its input.
func (t *timerPlace) stalls(w *timerWatch) string {
	switch {
	case t.idle != "" || t.kind != "TON":
		return t.idle
	case w.anew == w.scans:
		return "begins anew in every scan"
	case w.out == 0 && w.on > 0 && w.off > 0:
		return "is switched off again and again before it runs out"
	}
	return ""
}
