package probe

import (
	"context"
	"slices"

	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// maxRouteFaults is how many faults may lead to a state: with three, everything is broken.
const maxRouteFaults = 2

// explorer finds routes to the states of a sequence: it plays faults at the entry of each
// state that it knows and looks which further states the runs enter.
type explorer struct {
	plan     *plan
	explored []Outcome          // of all runs so far, in order
	known    map[string]Outcome // the same, by key of the cell
	reached  map[string]bool    // states that a route leads to
}

func newExplorer(p *plan) *explorer {
	return &explorer{plan: p, known: map[string]Outcome{}, reached: map[string]bool{}}
}

// explore goes on from the run without faults until no new state is found.
func (e *explorer) explore(ctx context.Context, nominal *route) ([]*route, error) {
	nominal.assign(e.reached)
	all, newest := []*route{nominal}, []*route{nominal}
	jobs := wholeRuns(nominal, e.plan.leading)
	for range maxRouteFaults {
		if e.plan.allReached(e.reached) {
			break
		}
		for _, route := range newest {
			jobs = append(jobs, e.jobsOn(route)...)
		}
		if err := e.play(ctx, jobs); err != nil {
			return nil, err
		}
		var err error
		if newest, err = e.newRoutes(ctx); err != nil {
			return nil, err
		}
		if len(newest) == 0 {
			break
		}
		for _, route := range newest {
			route.assign(e.reached)
		}
		all, jobs = append(all, newest...), nil
	}
	return all, nil
}

// jobsOn play the leading faults at the entry of each state of a route.
func (e *explorer) jobsOn(r *route) []job {
	var jobs []job
	for i := range r.assigned {
		v := &r.assigned[i]
		jobs = append(jobs, jobAt(r, v, r.moments(v)[0], e.plan.leading))
	}
	return jobs
}

// play plays the jobs and keeps what came of them.
func (e *explorer) play(ctx context.Context, jobs []job) error {
	all := len(e.explored)
	for i := range jobs {
		all += len(jobs[i].cells)
	}
	err := playAll(ctx, e.plan.options.Workers, jobs, e.known, func(_ int, list []Outcome, _ context.CancelCauseFunc) {
		e.explored = append(e.explored, list...)
		if e.plan.options.Exploring != nil {
			e.plan.options.Exploring(len(e.explored), all)
		}
	})
	if err != nil {
		return err
	}
	for _, o := range e.explored {
		e.known[o.Key()] = o // not while the workers read it
	}
	return nil
}

// newRoutes finds routes to states that were entered but have no route yet: for each state
// the run of the least cost, so that what comes of a cell is the doing of its own fault.
func (e *explorer) newRoutes(ctx context.Context) ([]*route, error) {
	best := map[string]*Outcome{}
	for i := range e.explored {
		o := &e.explored[i]
		for _, s := range o.Path {
			if !e.reached[s] && (best[s] == nil || cheaper(o, best[s])) {
				best[s] = o
			}
		}
	}
	return e.routesTo(ctx, best)
}

// routesTo makes a route of each outcome that was chosen, for the states that it was
// chosen for.
func (e *explorer) routesTo(ctx context.Context, best map[string]*Outcome) ([]*route, error) {
	var routes []*route
	made := map[string]*route{}
	for _, s := range e.plan.states {
		o := best[s]
		if o == nil {
			continue
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		r := made[o.Key()]
		if r == nil {
			var err error
			if r, err = e.plan.routeWith(append(slices.Clone(o.Route), o.Spec)); err != nil {
				return nil, err
			}
			made[o.Key()], routes = r, append(routes, r)
		}
		r.states = append(r.states, s)
	}
	return routes, nil
}

// cheaper is whether a leaves more whole than b; with none ahead the first stays.
func cheaper(a, b *Outcome) bool { return slices.Compare(routeCost(a), routeCost(b)) < 0 }

// routeCost orders outcomes by what a route through them would leave to be tried: first those
// without danger and with sufficient brake torque, then with few faults, then by the faulty part.
func routeCost(o *Outcome) []int {
	groups := []string{
		catalogue.OperationGroup, catalogue.LinkGroup, catalogue.EngineeringGroup, catalogue.SensorGroup,
		catalogue.DriveGroup, catalogue.MachineGroup, catalogue.PartnerGroup, catalogue.BrakeGroup,
	}
	insufficient := 0
	if o.Class == sim.Missed || o.Class == sim.Caught {
		insufficient = 1
	}
	return []int{-min(o.Kind.Rank(), FalseAlarm.Rank()), insufficient, len(o.Route), slices.Index(groups, o.Group)}
}
