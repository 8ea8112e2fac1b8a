package st

// counters are CTU, CTD and CTUD and those of other integers, after the bodies that the
// standard gives them (IEC 61131-3, standard counters, from memory). CU and CD count on rising
// edges. A counter stops at the limits of its type.
func (c *checker) counters() []*Block {
	var list []*Block
	for _, v := range []struct {
		suffix string
		kind   Kind
	}{{"", Int}, {"_DINT", Dint}, {"_LINT", Lint}, {"_UDINT", Udint}, {"_ULINT", Ulint}} {
		list = append(list, c.countUp(v.suffix, v.kind), c.countDown(v.suffix, v.kind), c.countBoth(v.suffix, v.kind))
	}
	return list
}

func (c *checker) countUp(suffix string, k Kind) *Block {
	const cu, reset, pv, q, cv, was = 0, 1, 2, 3, 4, 5
	return c.native("CTU"+suffix,
		[]nativeVariable{{"CU", Bool}, {"R", Bool}, {"PV", k}}, []nativeVariable{{"Q", Bool}, {"CV", k}},
		nativeBlock{hidden: 1, scan: func(_ *run, f []uint64) {
			if edge := rises(f, cu, was); f[reset] != 0 {
				f[cv] = 0
			} else if edge {
				step(f, cv, 1, k)
			}
			f[q] = bit(ordered(k, int64(f[cv])) >= ordered(k, int64(f[pv])))
		}})
}

func (c *checker) countDown(suffix string, k Kind) *Block {
	const cd, load, pv, q, cv, was = 0, 1, 2, 3, 4, 5
	return c.native("CTD"+suffix,
		[]nativeVariable{{"CD", Bool}, {"LD", Bool}, {"PV", k}}, []nativeVariable{{"Q", Bool}, {"CV", k}},
		nativeBlock{hidden: 1, scan: func(_ *run, f []uint64) {
			if edge := rises(f, cd, was); f[load] != 0 {
				f[cv] = f[pv]
			} else if edge {
				step(f, cv, -1, k)
			}
			f[q] = bit(ordered(k, int64(f[cv])) <= ordered(k, 0))
		}})
}

func (c *checker) countBoth(suffix string, k Kind) *Block {
	const cu, cd, reset, load, pv, qu, qd, cv, wasUp, wasDown = 0, 1, 2, 3, 4, 5, 6, 7, 8, 9
	return c.native("CTUD"+suffix,
		[]nativeVariable{{"CU", Bool}, {"CD", Bool}, {"R", Bool}, {"LD", Bool}, {"PV", k}},
		[]nativeVariable{{"QU", Bool}, {"QD", Bool}, {"CV", k}},
		nativeBlock{hidden: 2, scan: func(_ *run, f []uint64) {
			up, down := rises(f, cu, wasUp), rises(f, cd, wasDown)
			switch {
			case f[reset] != 0:
				f[cv] = 0
			case f[load] != 0:
				f[cv] = f[pv]
			case up && !down:
				step(f, cv, 1, k)
			case down && !up:
				step(f, cv, -1, k)
			}
			f[qu] = bit(ordered(k, int64(f[cv])) >= ordered(k, int64(f[pv])))
			f[qd] = bit(ordered(k, int64(f[cv])) <= ordered(k, 0))
		}})
}

// rises is whether an input is TRUE and was FALSE in the call before.
func rises(f []uint64, input, was int) bool {
	edge := f[input] != 0 && f[was] == 0
	f[was] = f[input]
	return edge
}

// step counts by one, unless the counter is at a limit of its type.
func step(f []uint64, cv int, by int64, k Kind) {
	low, high := k.limits()
	at := ordered(k, int64(f[cv]))
	if by > 0 && at < high || by < 0 && at > low {
		f[cv] = uint64(int64(f[cv]) + by)
	}
}
