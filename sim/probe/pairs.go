package probe

import (
	"maps"
	"slices"

	"holdbench/plant"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// pairPlan is the states and moments that two faults at once are tried in, on one route.
type pairPlan struct {
	r       *runner
	route   *route
	visits  []visit
	moments [][]moment // by state; the first is the whole run
}

// pairJobs plans two faults at once, on the run without faults.
func (r *runner) pairJobs(nominal *route) []job {
	p := &pairPlan{r: r, route: nominal, moments: [][]moment{{{word: AtStart}}}}
	for i := range nominal.visits {
		v := &nominal.visits[i]
		if len(r.options.States) == 0 || slices.Contains(r.options.States, v.state) {
			p.visits = append(p.visits, *v)
			p.moments = append(p.moments, nominal.moments(v))
		}
	}
	for _, s := range r.found.States {
		if !slices.ContainsFunc(nominal.visits, func(v visit) bool { return v.state == s }) {
			r.found.Unreached = append(r.found.Unreached, s)
		}
	}
	f := p.factors()
	rows := Cover(f)
	r.found.Plan = f.Extent(rows)
	return p.jobs(rows)
}

func (p *pairPlan) factors() Factors {
	f := Factors{Fit: p.fit}
	for i := range p.r.faults {
		f.Severities = append(f.Severities, len(severities(&p.r.faults[i])))
	}
	for _, m := range p.moments {
		f.Moments = append(f.Moments, len(m))
	}
	return f
}

// fit leaves out faults that set the same thing, of which only one would be there. Two that
// are there from the start have no moment in a state.
func (p *pairPlan) fit(a, b, state int) bool {
	x, y := &p.r.faults[a], &p.r.faults[b]
	whole := x.WholeRun() && y.WholeRun()
	if whole && len(p.r.options.States) > 0 {
		return false // they come in no state that was chosen
	}
	return whole == (state == 0) && !p.clash(x, y)
}

func (p *pairPlan) clash(x, y *catalogue.Entry) bool {
	other := touches(y, &p.route.c.Rig)
	for key := range touches(x, &p.route.c.Rig) {
		if _, both := other[key]; both {
			return true
		}
	}
	return false
}

// touches is all that a fault sets.
func touches(f *catalogue.Entry, r *plant.Rig) map[string]string {
	set := f.Values(r, f.Usual())
	if f.Settings != nil {
		maps.Copy(set, f.Settings(r))
	}
	return set
}

// jobs brings the rows of one moment together, as they share a beginning.
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
				if p.r.faults[row.A].WholeRun() || p.r.faults[row.B].WholeRun() {
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
		j.at(&p.visits[s-1], p.moments[s][m])
	}
	return j
}

// addRow makes a cell of two faults. The one that is there from the start is the other one.
func (p *pairPlan) addRow(j *job, row Row, at moment) {
	first, second := &p.r.faults[row.A], &p.r.faults[row.B]
	bad, worse := severities(first)[row.SeverityA], severities(second)[row.SeverityB]
	if second.WholeRun() && !first.WholeRun() {
		first, second, bad, worse = second, first, worse, bad
	}
	other := catalogue.Selection{Entry: *first, Severity: bad.number}
	if !first.WholeRun() {
		other.When = sim.Moment{State: at.state, After: at.after}
	}
	c, named := cell(second, worse, at, []string{other.String()})
	c.With = first.Name
	j.cells, j.faults, j.also = append(j.cells, c), append(j.faults, named), append(j.also, other)
}

// PairGrid is a square for every two faults, in the order of Faults; it is the same on
// either side of the diagonal.
func (m *Map) PairGrid() [][]Square {
	rows := make([][]Square, len(m.Faults))
	for i := range rows {
		rows[i] = make([]Square, len(m.Faults))
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
