package probe

import (
	"maps"
	"slices"

	"holdbench/plant"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// pairPlan is the states and moments in which two faults at once are tried, on one route.
type pairPlan struct {
	plan    *plan
	route   *route
	visits  []visit
	moments [][]moment // by state; the first is the whole run
}

// newPairPlan plans two faults at once on the run without faults.
func newPairPlan(p *plan, nominal *route) *pairPlan {
	pairs := &pairPlan{plan: p, route: nominal, moments: [][]moment{{{name: AtStart}}}}
	for i := range nominal.visits {
		v := &nominal.visits[i]
		if len(p.options.States) == 0 || slices.Contains(p.options.States, v.state) {
			pairs.visits = append(pairs.visits, *v)
			pairs.moments = append(pairs.moments, nominal.moments(v))
		}
	}
	return pairs
}

// unreached are the states that the run without faults does not enter.
func (p *pairPlan) unreached() []string {
	var list []string
	for _, s := range p.plan.states {
		if !slices.ContainsFunc(p.route.visits, func(v visit) bool { return v.state == s }) {
			list = append(list, s)
		}
	}
	return list
}

func (p *pairPlan) factors() Factors {
	f := Factors{Fit: p.fit}
	for i := range p.plan.faults {
		f.Severities = append(f.Severities, len(severities(&p.plan.faults[i])))
	}
	for _, m := range p.moments {
		f.Moments = append(f.Moments, len(m))
	}
	return f
}

// fit leaves out faults that set the same value, of which only one would have an effect. Two that
// are there from the start have no moment in a state.
func (p *pairPlan) fit(a, b, state int) bool {
	x, y := &p.plan.faults[a], &p.plan.faults[b]
	whole := x.WholeRun() && y.WholeRun()
	if whole && len(p.plan.options.States) > 0 {
		return false // they begin in no state that was chosen
	}
	return whole == (state == 0) && !p.clash(x, y)
}

func (p *pairPlan) clash(x, y *catalogue.Entry) bool {
	other := valuesSet(y, &p.route.c.Rig)
	for key := range valuesSet(x, &p.route.c.Rig) {
		if _, both := other[key]; both {
			return true
		}
	}
	return false
}

// valuesSet is all that a fault sets.
func valuesSet(f *catalogue.Entry, r *plant.Rig) map[string]string {
	set := f.Values(r, f.Usual())
	if f.Settings != nil {
		maps.Copy(set, f.Settings(r))
	}
	return set
}

// jobs groups the rows of one moment, as they share the run up to it.
func (p *pairPlan) jobs(rows []Row) []job {
	var jobs []job
	for s, moments := range p.moments {
		for m := range moments {
			shared := p.jobAt(s, m)
			whole := job{route: p.route}
			for _, row := range rows {
				if row.State != s || row.Moment != m {
					continue
				}
				j := &shared
				if p.plan.faults[row.A].WholeRun() || p.plan.faults[row.B].WholeRun() {
					j = &whole
				}
				p.addRow(j, row, moments[m])
			}
			jobs = append(jobs, shared, whole)
		}
	}
	return jobs
}

func (p *pairPlan) jobAt(s, m int) job {
	j := job{route: p.route}
	if s > 0 {
		j.startAt(&p.visits[s-1], p.moments[s][m])
	}
	return j
}

// addRow makes a cell of two faults. One that is there from the start is the other fault.
func (p *pairPlan) addRow(j *job, row Row, at moment) {
	first, second := &p.plan.faults[row.A], &p.plan.faults[row.B]
	bad, worse := severities(first)[row.SeverityA], severities(second)[row.SeverityB]
	if second.WholeRun() && !first.WholeRun() {
		first, second, bad, worse = second, first, worse, bad
	}
	other := catalogue.Selection{Entry: *first, Severity: bad.value}
	if !first.WholeRun() {
		other.When = sim.Moment{State: at.state, After: at.after}
	}
	c, named := newCell(second, worse, at, []string{other.String()})
	c.With = first.Name
	j.cells, j.faults, j.others = append(j.cells, c), append(j.faults, named), append(j.others, other)
}

// PairMatrix is a square for every two faults, in the order of Faults; it is the same on
// either side of the diagonal.
func (m *Results) PairMatrix() [][]MatrixCell {
	rows := make([][]MatrixCell, len(m.Faults))
	for i := range rows {
		rows[i] = make([]MatrixCell, len(m.Faults))
	}
	for i := range m.Outcomes {
		o := &m.Outcomes[i]
		a, b := slices.Index(m.Faults, o.Fault), slices.Index(m.Faults, o.With)
		if a >= 0 && b >= 0 {
			m.count(&rows[a][b], i)
			m.count(&rows[b][a], i)
		}
	}
	return rows
}
