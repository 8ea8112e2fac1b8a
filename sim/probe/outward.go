package probe

import (
	"context"
	"slices"

	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// outward finds routes to states that were met but not yet tried: for each the run that
// leaves most things whole, so that what comes of a cell is its own fault's doing.
func (r *runner) outward(ctx context.Context, reached map[string]bool) ([]*route, error) {
	best := map[string]*Outcome{}
	for i := range r.seen {
		o := &r.seen[i]
		for _, s := range o.Path {
			if !reached[s] && (best[s] == nil || gentler(o, best[s])) {
				best[s] = o
			}
		}
	}
	return r.routesTo(ctx, best)
}

// routesTo makes a route of each outcome that was chosen, for the states that it was
// chosen for.
func (r *runner) routesTo(ctx context.Context, best map[string]*Outcome) ([]*route, error) {
	var routes []*route
	made := map[string]*route{}
	for _, s := range r.found.States {
		o := best[s]
		if o == nil {
			continue
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		w := made[o.Key()]
		if w == nil {
			var err error
			if w, err = r.routeOf(o); err != nil {
				return nil, err
			}
			made[o.Key()], routes = w, append(routes, w)
		}
		w.wanted = append(w.wanted, s)
	}
	return routes, nil
}

// routeOf runs an outcome again, as a route.
func (r *runner) routeOf(o *Outcome) (*route, error) {
	return r.routeBy(append(slices.Clone(o.Route), o.Spec))
}

// routeBy runs the case with named faults, as a route.
func (r *runner) routeBy(names []string) (*route, error) {
	var faults []catalogue.Selection
	for _, text := range names {
		f, err := catalogue.Parse(text)
		if err != nil {
			return nil, err
		}
		faults = append(faults, f)
	}
	c, err := withFaults(r.base, faults...)
	if err != nil {
		return nil, err
	}
	return newRoute(c, faults)
}

// gentler is whether a leaves more whole than b; with none ahead the first stays.
func gentler(a, b *Outcome) bool { return slices.Compare(harm(a), harm(b)) < 0 }

// harm orders outcomes by what a route through them would leave to be tried: first those
// without danger and with a fit brake, then few faults, then by what is faulty.
func harm(o *Outcome) []int {
	groups := []string{
		catalogue.OperationGroup, catalogue.LinkGroup, catalogue.EngineeringGroup, catalogue.SensorGroup,
		catalogue.DriveGroup, catalogue.MachineGroup, catalogue.PartnerGroup, catalogue.BrakeGroup,
	}
	unfit := 0
	if o.Class == sim.Missed || o.Class == sim.Caught {
		unfit = 1
	}
	return []int{-min(o.Kind.Rank(), FalseAlarm.Rank()), unfit, len(o.Route), slices.Index(groups, o.Group)}
}
