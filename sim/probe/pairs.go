package probe

import (
	"maps"
	"slices"

	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// pairPlan is the states and moments in which two faults at once are tried, on one route.
type pairPlan struct {
	scope   *scope
	route   *route
	visits  []visit
	moments [][]moment          // by state; the first is the whole run
	values  []map[string]string // that each fault sets
}

// newPairPlan plans two faults at once on the run without faults.
func newPairPlan(s *scope, nominal *route) *pairPlan {
	pairs := &pairPlan{scope: s, route: nominal, moments: [][]moment{{{name: AtStart}}}}
	for i := range s.faults {
		pairs.values = append(pairs.values, pairs.valuesSet(&s.faults[i]))
	}
	for i := range nominal.visits {
		v := &nominal.visits[i]
		if len(s.options.States) == 0 || slices.Contains(s.options.States, v.state) {
			pairs.visits = append(pairs.visits, *v)
			pairs.moments = append(pairs.moments, nominal.moments(v))
		}
	}
	return pairs
}

// unreached are the states that the run without faults does not enter.
func (p *pairPlan) unreached() []string {
	var list []string
	for _, s := range p.scope.states {
		if !p.route.timed && !slices.ContainsFunc(p.route.visits, func(v visit) bool { return v.state == s }) {
			list = append(list, s)
		}
	}
	return list
}

func (p *pairPlan) choices() factors {
	f := factors{fit: p.fit}
	for i := range p.scope.faults {
		f.severities = append(f.severities, len(severities(&p.scope.faults[i])))
	}
	for _, m := range p.moments {
		f.moments = append(f.moments, len(m))
	}
	return f
}

// fit leaves out faults that set the same value, of which only one would have an effect. Two that
// are there from the start have no moment in a state.
func (p *pairPlan) fit(a, b, state int) bool {
	x, y := &p.scope.faults[a], &p.scope.faults[b]
	whole := x.WholeRun() && y.WholeRun()
	if whole && len(p.scope.options.States) > 0 {
		return false // they begin in no state that was chosen
	}
	return whole == (state == 0) && !p.clash(a, b)
}

func (p *pairPlan) clash(a, b int) bool {
	for key := range p.values[a] {
		if _, both := p.values[b][key]; both {
			return true
		}
	}
	return false
}

// valuesSet is all that a fault sets.
func (p *pairPlan) valuesSet(f *catalogue.Entry) map[string]string {
	r := &p.route.c.Rig
	set := f.Values(r, f.Usual())
	settings, _ := f.SettingsOn(r, p.route.c.Sequence) // a fault whose roles are missing does not fit and is not here
	maps.Copy(set, settings)
	return set
}

// jobs groups the rows of one moment, as they share the run up to it.
func (p *pairPlan) jobs(rows []row) []job {
	var jobs []job
	for s, moments := range p.moments {
		for m := range moments {
			shared := p.sharedJob(s, m)
			whole := job{route: p.route}
			for _, r := range rows {
				if r.state != s || r.moment != m {
					continue
				}
				j := &shared
				if p.scope.faults[r.a].WholeRun() || p.scope.faults[r.b].WholeRun() {
					j = &whole
				}
				p.addRow(j, r, moments[m])
			}
			jobs = append(jobs, shared, whole)
		}
	}
	return jobs
}

func (p *pairPlan) sharedJob(s, m int) job {
	j := job{route: p.route}
	if s > 0 {
		j.startAt(&p.visits[s-1], p.moments[s][m])
	}
	return j
}

// addRow makes a cell of two faults. One that is there from the start is the other fault.
func (p *pairPlan) addRow(j *job, r row, at moment) {
	first, second := &p.scope.faults[r.a], &p.scope.faults[r.b]
	bad, worse := severities(first)[r.severityA], severities(second)[r.severityB]
	if second.WholeRun() && !first.WholeRun() {
		first, second, bad, worse = second, first, worse, bad
	}
	other := catalogue.Selection{Entry: *first, Severity: bad.value}
	if !first.WholeRun() {
		other.When = sim.Moment{State: at.state, After: at.after}
	}
	c := planCell(second, worse, at, []string{other.String()})
	c.With, c.faults = first.Name, append([]catalogue.Selection{other}, c.faults...)
	j.cells = append(j.cells, c)
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
			rows[a][b].count(o)
			rows[b][a].count(o)
		}
	}
	return rows
}
