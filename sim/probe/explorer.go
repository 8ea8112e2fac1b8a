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
	scope    *scope
	explored []exploration      // all runs so far, in order
	known    map[string]Outcome // the same, by key of the cell
	reached  map[string]bool    // states that a route leads to
}

// exploration is the outcome of a run and all its faults: those of its route, then its own.
type exploration struct {
	Outcome
	faults []catalogue.Selection
}

func newExplorer(s *scope) *explorer {
	return &explorer{scope: s, known: map[string]Outcome{}, reached: map[string]bool{}}
}

// explore goes on from the run without faults until no new state is found.
func (e *explorer) explore(ctx context.Context, nominal *route) ([]*route, error) {
	nominal.assign(e.reached)
	nominal.keepAssigned()
	all, newest := []*route{nominal}, []*route{nominal}
	if nominal.timed { // no run would tell of another state
		return all, nil
	}
	jobs := wholeRuns(nominal, e.scope.leading)
	for range maxRouteFaults {
		if e.allReached() {
			break
		}
		if err := e.scope.tooFar(e.runsFrom(newest)); err != nil {
			return nil, err
		}
		for _, route := range newest {
			jobs = append(jobs, e.entryJobs(route)...)
		}
		if err := e.playLeading(ctx, jobs); err != nil {
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
			route.keepAssigned()
		}
		all, jobs = append(all, newest...), nil
	}
	return all, nil
}

// entryJobs play the leading faults at the entry of each state of a route.
func (e *explorer) entryJobs(r *route) []job {
	var jobs []job
	for i := range r.assigned {
		v := &r.assigned[i]
		jobs = append(jobs, momentJob(r, v, r.moments(v)[0], e.scope.leading))
	}
	return jobs
}

// runsFrom is at most how many runs there are once the leading faults were played from these routes.
func (e *explorer) runsFrom(routes []*route) int {
	states := 0
	for _, r := range routes {
		states += len(r.assigned)
	}
	n := len(e.explored)
	for i := range e.scope.leading {
		n += states * len(severities(&e.scope.leading[i]))
	}
	return n
}

// allReached is whether all states that are asked for are reached; never if none is named.
func (e *explorer) allReached() bool {
	asked := e.scope.options.States
	return len(asked) > 0 && !slices.ContainsFunc(asked, func(s string) bool { return !e.reached[s] })
}

// playLeading plays the jobs and keeps what came of them.
func (e *explorer) playLeading(ctx context.Context, jobs []job) error {
	all := len(e.explored)
	for i := range jobs {
		all += len(jobs[i].cells)
	}
	err := playJobs(ctx, e.scope.options.Workers, jobs, e.known, func(i int, list []Outcome, _ context.CancelCauseFunc) {
		j := &jobs[i]
		for k, o := range list {
			e.explored = append(e.explored, exploration{o, slices.Concat(j.route.selections, j.cells[k].faults)})
		}
		if e.scope.options.Exploring != nil {
			e.scope.options.Exploring(len(e.explored), all)
		}
	})
	if err != nil {
		return err
	}
	for i := range e.explored {
		o := &e.explored[i]
		e.known[o.Key()] = o.Outcome // not while the workers read it
	}
	return nil
}

// newRoutes finds routes to states that were entered but have no route yet: for each state
// the run of the least cost, so that what comes of a cell is the doing of its own fault.
func (e *explorer) newRoutes(ctx context.Context) ([]*route, error) {
	best := map[string]*exploration{}
	for i := range e.explored {
		o := &e.explored[i]
		for _, s := range o.Path {
			if !e.reached[s] && (best[s] == nil || cheaper(&o.Outcome, &best[s].Outcome)) {
				best[s] = o
			}
		}
	}
	return e.routesTo(ctx, best)
}

// routesTo makes a route of each outcome that was chosen, for the states that it was
// chosen for.
func (e *explorer) routesTo(ctx context.Context, best map[string]*exploration) ([]*route, error) {
	var routes []*route
	made := map[string]*route{}
	for _, s := range e.scope.states {
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
			if r, err = e.scope.routeWith(o.faults); err != nil {
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
		catalogue.DriveGroup, catalogue.ControllerGroup, catalogue.MachineGroup, catalogue.PartnerGroup, catalogue.BrakeGroup,
	}
	insufficient := 0
	if o.Class == sim.Missed || o.Class == sim.Caught {
		insufficient = 1
	}
	return []int{-min(o.Kind.Rank(), FalseAlarm.Rank()), insufficient, len(o.Route), slices.Index(groups, o.Group)}
}
