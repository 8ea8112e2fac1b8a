package probe

import "context"

// factors are what a covering plan combines, by number.
type factors struct {
	severities []int // how many each fault has, by fault
	moments    []int // how many each state has, by state
	// fit is whether two faults can be combined in a state; a is below b.
	fit func(a, b, state int) bool
}

// row is one run of a covering plan: two faults, a below b, their severities, and their
// moment.
type row struct{ a, b, severityA, severityB, state, moment int }

// pair is a value of one factor combined with one of another in a row.
type pair struct {
	one, other          factor
	number, otherNumber int
}

// factor is a quantity that a row has once or twice.
type factor int

// The factors. A fault counts the same in either place of a row, and so does a severity.
const (
	faultfactor factor = iota
	severityfactor
	statefactor
	momentfactor
)

const open = -1

// pairs are those of a row, as far as its values are chosen.
func (r row) pairs() []pair {
	list := join(nil, faultfactor, r.a, faultfactor, r.b)
	for _, f := range [2][2]int{{r.a, r.severityA}, {r.b, r.severityB}} {
		list = join(list, faultfactor, f[0], severityfactor, f[1])
		list = join(list, faultfactor, f[0], statefactor, r.state)
		list = join(list, faultfactor, f[0], momentfactor, r.moment)
		list = join(list, severityfactor, f[1], statefactor, r.state)
		list = join(list, severityfactor, f[1], momentfactor, r.moment)
	}
	list = join(list, severityfactor, min(r.severityA, r.severityB), severityfactor, max(r.severityA, r.severityB))
	return join(list, statefactor, r.state, momentfactor, r.moment)
}

func join(list []pair, one factor, number int, other factor, otherNumber int) []pair {
	if number == open || otherNumber == open {
		return list
	}
	return append(list, pair{one, other, number, otherNumber})
}

// cover plans runs with two faults each, so that every two values of two factors that can be
// combined are so in at least one run (pairwise coverage): every two faults, each fault in each
// state, at each moment, at each severity, and so on; not every combination of all of them. It
// goes through the pairs in order; a row begins with one that is not covered yet, and each
// further value is chosen to cover most, after Cohen, Dalal, Fredman and Patton, The AETG
// system, IEEE Trans. Software Engineering 23(7), 1997 (from memory). The plan is the same
// every time. The error is that of the context.
func cover(ctx context.Context, f factors) ([]row, error) {
	c := &coverPlan{f: f, done: map[pair]bool{}}
	for _, step := range []func(a, b int){c.faultPair, c.others} {
		for a := range f.severities {
			for b := a + 1; b < len(f.severities); b++ {
				if err := ctx.Err(); err != nil {
					return nil, err
				}
				step(a, b)
			}
		}
	}
	return c.rows, nil
}

// Extent is the size of a covering plan.
type Extent struct {
	Runs  int `json:"runs"`  // of the plan
	Pairs int `json:"pairs"` // values of two factors that are combined in one of them
	All   int `json:"all"`   // runs of every combination
}

// extent is the size of a plan, and that of the plan of all combinations.
func (f factors) extent(rows []row) Extent {
	e := Extent{Runs: len(rows)}
	covered := map[pair]bool{}
	for _, r := range rows {
		for _, p := range r.pairs() {
			covered[p] = true
		}
	}
	e.Pairs = len(covered)
	for a := range f.severities {
		for b := a + 1; b < len(f.severities); b++ {
			for s, moments := range f.moments {
				if f.fit(a, b, s) {
					e.All += f.severities[a] * f.severities[b] * moments
				}
			}
		}
	}
	return e
}

type coverPlan struct {
	f    factors
	rows []row
	done map[pair]bool
}

// faultPair makes the row that two faults always need.
func (c *coverPlan) faultPair(a, b int) {
	if c.firstState(a, b) != open {
		c.add(row{a: a, b: b, severityA: open, severityB: open, state: open, moment: open})
	}
}

func (c *coverPlan) firstState(a, b int) int {
	for s := range c.f.moments {
		if c.f.fit(a, b, s) {
			return s
		}
	}
	return open
}

// others adds rows of two faults as long as one of them covers something new.
func (c *coverPlan) others(a, b int) {
	for s := range c.f.moments {
		if !c.f.fit(a, b, s) {
			continue
		}
		for m := range c.f.moments[s] {
			for i := range c.f.severities[a] {
				for j := range c.f.severities[b] {
					if r := (row{a, b, i, j, s, m}); c.gain(r) > 0 {
						c.take(r)
					}
				}
			}
		}
	}
}

// add completes a row and takes it.
func (c *coverPlan) add(r row) {
	c.choose(&r, &r.state, len(c.f.moments), func(s int) bool { return c.f.fit(r.a, r.b, s) })
	c.choose(&r, &r.moment, c.f.moments[r.state], nil)
	c.choose(&r, &r.severityA, c.f.severities[r.a], nil)
	c.choose(&r, &r.severityB, c.f.severities[r.b], nil)
	c.take(r)
}

// take marks what a row covers.
func (c *coverPlan) take(r row) {
	c.rows = append(c.rows, r)
	for _, p := range r.pairs() {
		c.done[p] = true
	}
}

// choose sets a value to the one that covers most; of equal ones to another one in each row.
func (c *coverPlan) choose(r *row, at *int, n int, fits func(int) bool) {
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

func (c *coverPlan) gain(r row) int {
	n := 0
	for _, p := range r.pairs() {
		if !c.done[p] {
			n++
		}
	}
	return n
}
