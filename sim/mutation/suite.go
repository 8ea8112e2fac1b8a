package mutation

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"reflect"
	"slices"

	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/fanout"
)

// Suite is a set of scenarios of one sequence, each with its run on the sequence without an
// error.
type Suite struct {
	runs    []baseline // cheapest first
	leftOut []string
}

// baseline is a scenario and its run without an error.
type baseline struct {
	c      *sim.Case
	result *sim.Result
	states map[string]bool
	events map[string]bool // transitions that fired
}

func (o *baseline) name() string { return o.c.Scenario.Scenario }

// NewSuite runs the scenarios on the sequence without an error. Those that are not as expected
// cannot detect anything and are left out; the error is that of a run that could not be
// finished.
func NewSuite(ctx context.Context, cases []*sim.Case, workers int, done func()) (*Suite, error) {
	s := &Suite{}
	var failed error
	err := sim.RunAll(ctx, cases, workers, func(i int, r *sim.Result, err error) {
		done()
		switch {
		case err != nil:
			failed = errors.Join(failed, err)
		case !r.Met():
			s.leftOut = append(s.leftOut, cases[i].Scenario.Scenario)
		default:
			s.runs = append(s.runs, newBaseline(cases[i], r))
		}
	})
	slices.SortStableFunc(s.runs, func(a, b baseline) int { return cmp.Compare(a.result.DurationS, b.result.DurationS) })
	return s, errors.Join(err, failed)
}

func newBaseline(c *sim.Case, r *sim.Result) baseline {
	plain := *c
	plain.Scenario.Lesson = nil // it is no expectation
	o := baseline{c: &plain, result: r, states: map[string]bool{}, events: map[string]bool{}}
	for _, v := range r.Visits {
		o.states[v.State] = true
		o.events[v.Event] = true
	}
	return o
}

// LeftOut names the scenarios that were not as expected without an error.
func (s *Suite) LeftOut() []string { return s.leftOut }

// Len is the number of scenarios that can detect an error.
func (s *Suite) Len() int { return len(s.runs) }

// Status is the outcome of a mutant.
type Status string

// The outcomes. A mutant that was refused or is equivalent does not count.
const (
	Refused    Status = "refused by vet" // the checks of the document find it
	Detected   Status = "noticed"
	Equivalent Status = "equivalent" // there is an argument that no scenario can detect it
	Survived   Status = "survived"
)

// Outcome is a mutant and its outcome.
type Outcome struct {
	Mutant *Mutant
	Status Status
	By     string // the scenario that detected it
	Reason string // the problem that vet reports, or the argument
	Stale  bool   // there is an argument that it is equivalent, and it is not

	Candidates int    // scenarios that could have detected one that survived
	Nearest    string // the one among them whose run differs most
	Missing    string // the scenario that is missing, in words
}

// Argument says why no scenario can detect a mutant.
type Argument struct {
	Mutant  string `yaml:"mutant"` // its ID
	Because string `yaml:"because"`
}

// Try runs the mutants on a number of workers and hands over their outcomes in order, the same
// on any number of workers. The error is that of the context; what was handed over until then
// is complete.
func (s *Suite) Try(ctx context.Context, mutants []Mutant, known []Argument, workers int, done func(Outcome)) error {
	because := map[string]string{}
	for _, a := range known {
		because[a.Mutant] = a.Because
	}
	work := func(i int) (Outcome, bool) {
		o := s.try(ctx, &mutants[i])
		if why, ok := because[mutants[i].ID]; ok && o.Mutant != nil {
			o.applyArgument(why)
		}
		return o, o.Mutant != nil
	}
	return fanout.InOrder(ctx, len(mutants), workers, work, func(_ int, o Outcome) { done(o) })
}

// applyArgument applies an argument to the outcome.
func (o *Outcome) applyArgument(why string) {
	if o.Status != Survived {
		o.Stale = true
		return
	}
	*o = Outcome{Mutant: o.Mutant, Status: Equivalent, Reason: why}
}

// try runs one mutant until a scenario detects it. There is no mutant in the outcome if the
// context ended before.
func (s *Suite) try(ctx context.Context, m *Mutant) Outcome {
	logic, err := m.logic()
	if err != nil {
		return Outcome{Mutant: m, Status: Refused, Reason: problem.Of(err)[0].Error()}
	}
	candidates := s.candidates(m)
	near := nearestRun{}
	for _, o := range candidates {
		r, err := o.runOn(ctx, logic)
		if ctx.Err() != nil {
			return Outcome{}
		}
		if err != nil || !r.Met() {
			return Outcome{Mutant: m, Status: Detected, By: o.name()}
		}
		near.compare(o, r)
	}
	return Outcome{
		Mutant: m, Status: Survived, Candidates: len(candidates), Nearest: near.name,
		Missing: s.missingScenario(m, len(candidates), &near),
	}
}

// candidates are the runs that could detect a mutant: those that enter the state with the error.
// First come those that take the transition with the error, and the shortest.
func (s *Suite) candidates(m *Mutant) []*baseline {
	var first, then []*baseline
	for i := range s.runs {
		switch o := &s.runs[i]; {
		case m.State != "" && !o.states[m.State] && !o.states[m.alsoIn]:
		case m.event != "" && o.events[m.event]:
			first = append(first, o)
		default:
			then = append(then, o)
		}
	}
	return append(first, then...)
}

// runOn runs the scenario on a mutant. One that does not end is stopped by the run limit
// of the rig.
func (o *baseline) runOn(ctx context.Context, logic sequence.Logic) (*sim.Result, error) {
	c, _, err := o.c.WithLogic(logic)
	if err != nil {
		return nil, fmt.Errorf("scenario %s does not go with it: %s", o.name(), problem.Of(err)[0].Message)
	}
	return sim.RunUntil(ctx, c, nil)
}

// nearestRun is the run that differs most from its baseline, although it is as expected.
type nearestRun struct {
	name string
	how  difference
}

// difference is how a run differs from its baseline; the greater, the easier it is to add an
// expectation.
type difference int

const (
	sameRun      difference = iota
	otherFigures            // only figures differ
	otherTimes              // other times in the same states
	otherPath               // other states
)

func (n *nearestRun) compare(o *baseline, r *sim.Result) {
	if d := differenceOf(o.result, r); n.name == "" || d > n.how {
		n.name, n.how = o.name(), d
	}
}

func differenceOf(a, b *sim.Result) difference {
	path := func(r *sim.Result, of func(sim.Visit) string) []string {
		var list []string
		for _, v := range r.Visits {
			list = append(list, of(v))
		}
		return list
	}
	state := func(v sim.Visit) string { return v.State }
	switch {
	case !slices.Equal(path(a, state), path(b, state)):
		return otherPath
	case !slices.EqualFunc(a.Visits, b.Visits, func(x, y sim.Visit) bool { return x.At == y.At && x.Stay == y.Stay }):
		return otherTimes
	}
	x, y := *a, *b
	x.Visits, y.Visits, x.Events, y.Events = nil, nil, nil, nil
	if !reflect.DeepEqual(x, y) {
		return otherFigures
	}
	return sameRun
}
