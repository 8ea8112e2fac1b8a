package probe

// Factors are what a covering plan combines, by number.
type Factors struct {
	Severities []int // how many each fault has, by fault
	Moments    []int // how many each state has, by state
	// Fit is whether two faults can be combined in a state; a is below b.
	Fit func(a, b, state int) bool
}

// Row is one run of a covering plan: two faults, A below B, their severities, and their
// moment.
type Row struct{ A, B, SeverityA, SeverityB, State, Moment int }

// Pair is a value of one factor combined with one of another in a row.
type Pair struct {
	One, Other          Factor
	Number, OtherNumber int
}

// Factor is a quantity that a row has once or twice.
type Factor int

// The factors. A fault counts the same in either place of a row, and so does a severity.
const (
	FaultFactor Factor = iota
	SeverityFactor
	StateFactor
	MomentFactor
)

const open = -1

// Pairs are those of a row, as far as its values are chosen.
func (r Row) Pairs() []Pair {
	list := join(nil, FaultFactor, r.A, FaultFactor, r.B)
	for _, f := range [2][2]int{{r.A, r.SeverityA}, {r.B, r.SeverityB}} {
		list = join(list, FaultFactor, f[0], SeverityFactor, f[1])
		list = join(list, FaultFactor, f[0], StateFactor, r.State)
		list = join(list, FaultFactor, f[0], MomentFactor, r.Moment)
		list = join(list, SeverityFactor, f[1], StateFactor, r.State)
		list = join(list, SeverityFactor, f[1], MomentFactor, r.Moment)
	}
	list = join(list, SeverityFactor, min(r.SeverityA, r.SeverityB), SeverityFactor, max(r.SeverityA, r.SeverityB))
	return join(list, StateFactor, r.State, MomentFactor, r.Moment)
}

func join(list []Pair, one Factor, number int, other Factor, otherNumber int) []Pair {
	if number == open || otherNumber == open {
		return list
	}
	return append(list, Pair{one, other, number, otherNumber})
}

// Cover plans runs with two faults each, so that every two values of two factors that can be
// combined are so in at least one run (pairwise coverage): every two faults, each fault in each
// state, at each moment, at each severity, and so on; not every combination of all of them. It
// goes through the pairs in order; a row begins with one that is not covered yet, and each
// further value is chosen to cover most, after Cohen, Dalal, Fredman and Patton, The AETG
// system, IEEE Trans. Software Engineering 23(7), 1997 (from memory). The plan is the same
// every time.
func Cover(f Factors) []Row {
	c := &coverPlan{f: f, done: map[Pair]bool{}}
	c.faultPairs()
	for a := range f.Severities {
		for b := a + 1; b < len(f.Severities); b++ {
			c.others(a, b)
		}
	}
	return c.rows
}

// Extent is the size of a covering plan.
type Extent struct {
	Runs  int // of the plan
	Pairs int // values of two factors that are combined in one of them
	All   int // runs of every combination
}

// Extent is the size of a plan, and that of the plan of all combinations.
func (f Factors) Extent(rows []Row) Extent {
	e := Extent{Runs: len(rows)}
	covered := map[Pair]bool{}
	for _, r := range rows {
		for _, p := range r.Pairs() {
			covered[p] = true
		}
	}
	e.Pairs = len(covered)
	for a := range f.Severities {
		for b := a + 1; b < len(f.Severities); b++ {
			for s, moments := range f.Moments {
				if f.Fit(a, b, s) {
					e.All += f.Severities[a] * f.Severities[b] * moments
				}
			}
		}
	}
	return e
}

type coverPlan struct {
	f    Factors
	rows []Row
	done map[Pair]bool
}

// faultPairs makes the rows that are always needed: one for every two faults.
func (c *coverPlan) faultPairs() {
	for a := range c.f.Severities {
		for b := a + 1; b < len(c.f.Severities); b++ {
			if c.firstState(a, b) != open {
				c.add(Row{A: a, B: b, SeverityA: open, SeverityB: open, State: open, Moment: open})
			}
		}
	}
}

func (c *coverPlan) firstState(a, b int) int {
	for s := range c.f.Moments {
		if c.f.Fit(a, b, s) {
			return s
		}
	}
	return open
}

// others adds rows of two faults as long as one of them covers something new.
func (c *coverPlan) others(a, b int) {
	for s := range c.f.Moments {
		if !c.f.Fit(a, b, s) {
			continue
		}
		for m := range c.f.Moments[s] {
			for i := range c.f.Severities[a] {
				for j := range c.f.Severities[b] {
					if r := (Row{a, b, i, j, s, m}); c.gain(r) > 0 {
						c.take(r)
					}
				}
			}
		}
	}
}

// add completes a row and takes it.
func (c *coverPlan) add(r Row) {
	c.choose(&r, &r.State, len(c.f.Moments), func(s int) bool { return c.f.Fit(r.A, r.B, s) })
	c.choose(&r, &r.Moment, c.f.Moments[r.State], nil)
	c.choose(&r, &r.SeverityA, c.f.Severities[r.A], nil)
	c.choose(&r, &r.SeverityB, c.f.Severities[r.B], nil)
	c.take(r)
}

// take marks what a row covers.
func (c *coverPlan) take(r Row) {
	c.rows = append(c.rows, r)
	for _, p := range r.Pairs() {
		c.done[p] = true
	}
}

// choose sets a value to the one that covers most; of equal ones to another one in each row.
func (c *coverPlan) choose(r *Row, at *int, n int, fits func(int) bool) {
	best, most := open, -1
	for i := range n {
		*at = (len(c.rows) + i) % n
		if fits != nil && !fits(*at) {
			continue
		}
		if gain := c.gain(*r); gain > most {
			best, most = *at, gain
		}
	}
	*at = best
}

func (c *coverPlan) gain(r Row) int {
	n := 0
	for _, p := range r.Pairs() {
		if !c.done[p] {
			n++
		}
	}
	return n
}
