package st

// Slots of a timer: IN, PT, Q, ET, then the two hidden ones.
const (
	timerIn = iota
	timerPT
	timerQ
	timerET
	timerWas   // IN in the call before
	timerStart // when the time began, ns
	timerSlots
)

// timerFrame is the memory of a timer.
type timerFrame [timerSlots]uint64

type timerScan func(*run, *timerFrame)

// timers are TON, TOF and TP, after the timing diagrams of the standard (IEC 61131-3, standard
// timers, from memory). They take the time at the beginning of the scan. PT counts as it is in
// each call, also while the time runs.
func (c *checker) timers() []*Block {
	in := []nativeVariable{{"IN", Bool}, {"PT", Time}}
	out := []nativeVariable{{"Q", Bool}, {"ET", Time}}
	timer := func(name string, scan timerScan) *Block {
		return c.native(name, in, out, nativeBlock{
			hidden: timerSlots - timerWas, timer: scan,
			scan: func(r *run, f []uint64) { scan(r, (*timerFrame)(f)) },
		})
	}
	return []*Block{timer("TON", onDelay), timer("TOF", offDelay), timer("TP", pulse)}
}

// onDelay switches Q on when IN has been TRUE for PT.
func onDelay(r *run, f *timerFrame) {
	if f[timerIn] == 0 {
		f[timerQ], f[timerET], f[timerWas] = 0, 0, 0
		return
	}
	if f[timerWas] == 0 {
		f[timerWas], f[timerStart] = 1, uint64(r.now)
	}
	f[timerQ] = bit(elapsed(r, f))
}

// offDelay switches Q off when IN has been FALSE for PT.
func offDelay(r *run, f *timerFrame) {
	if f[timerIn] != 0 {
		f[timerQ], f[timerET], f[timerWas] = 1, 0, 1
		return
	}
	if f[timerWas] != 0 {
		f[timerWas], f[timerStart] = 0, uint64(r.now)
	}
	if f[timerQ] != 0 {
		f[timerQ] = bit(!elapsed(r, f))
	}
}

// pulse switches Q on for PT when IN rises, whatever IN does meanwhile. An edge in the scan in which
// a pulse ends starts none.
func pulse(r *run, f *timerFrame) {
	if f[timerQ] == 0 && f[timerIn] != 0 && f[timerWas] == 0 {
		f[timerQ], f[timerStart] = 1, uint64(r.now)
	}
	f[timerWas] = f[timerIn]
	if f[timerQ] != 0 {
		f[timerQ] = bit(!elapsed(r, f))
	}
	if f[timerQ] == 0 && f[timerIn] == 0 {
		f[timerET] = 0
	}
}

// elapsed brings ET up to date and says whether it has reached PT, at which it stands.
func elapsed(r *run, f *timerFrame) bool {
	passed, limit := r.now-int64(f[timerStart]), max(int64(f[timerPT]), 0)
	f[timerET] = uint64(min(passed, limit))
	return passed >= limit
}
