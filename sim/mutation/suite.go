package mutation

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/fanout"
)

// Suite is a set of scenarios of one sequence, each with its run on the sequence as it
// is.
type Suite struct {
	runs    []original // cheapest first
	leftOut []string
}

// original is a scenario and what came of it without a mistake.
type original struct {
	ready  *sim.Case
	result *sim.Result
	states map[string]bool
	events map[string]bool // transitions that fired
}

func (o *original) name() string { return o.ready.Scenario.Scenario }

// NewSuite runs the scenarios as they are. Those that are not as expected cannot notice
// anything and are left out; the error is that of a run that could not be finished.
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
			s.runs = append(s.runs, newOriginal(cases[i], r))
		}
	})
	slices.SortStableFunc(s.runs, func(a, b original) int { return cmp.Compare(a.result.DurationS, b.result.DurationS) })
	return s, errors.Join(err, failed)
}

func newOriginal(c *sim.Case, r *sim.Result) original {
	plain := *c
	plain.Scenario.Lesson = nil // it says nothing about what is right
	o := original{ready: &plain, result: r, states: map[string]bool{}, events: map[string]bool{}}
	for _, v := range r.Visits {
		o.states[v.State] = true
		o.events[v.Event] = true
	}
	return o
}

// LeftOut names the scenarios that were not as expected on the sequence as it is.
func (s *Suite) LeftOut() []string { return s.leftOut }

// Len is the number of scenarios that can notice something.
func (s *Suite) Len() int { return len(s.runs) }

// Fate is what came of a mutant.
type Fate string

// The fates. A mutant that was refused or is equivalent does not count.
const (
	Refused    Fate = "refused by vet" // the checks of the document find it
	Noticed    Fate = "noticed"
	Equivalent Fate = "equivalent" // somebody has argued that there is nothing to notice
	Survived   Fate = "survived"
)

// Outcome is a mutant and what came of it.
type Outcome struct {
	Mutant  *Mutant
	Fate    Fate
	By      string // the scenario that noticed
	Because string // what vet says, or why it is equivalent
	Stale   bool   // it was said to be equivalent, and that is no longer true

	Passing int    // scenarios that could have noticed one that survived
	Nearest string // the one among them whose run comes out most unlike
	Missing string // the scenario that is missing, in words
}

// Argument says why no scenario could notice a mutant.
type Argument struct {
	Mutant  string `yaml:"mutant"` // its ID
	Because string `yaml:"because"`
}

// Try runs the mutants on a number of workers and hands over what came of each, in
// their order and alike on any number of workers. The error is that of the context;
// what was handed over until then is complete.
func (s *Suite) Try(ctx context.Context, mutants []Mutant, known []Argument, workers int, done func(Outcome)) error {
	because := map[string]string{}
	for _, a := range known {
		because[a.Mutant] = a.Because
	}
	work := func(i int) (Outcome, bool) {
		o := s.try(ctx, &mutants[i])
		if why, ok := because[mutants[i].ID]; ok && o.Mutant != nil {
			o.argued(why)
		}
		return o, o.Mutant != nil
	}
	return fanout.InOrder(ctx, len(mutants), workers, work, func(_ int, o Outcome) { done(o) })
}

// argued brings in what somebody has said of the mutant.
func (o *Outcome) argued(why string) {
	if o.Fate != Survived {
		o.Stale = true
		return
	}
	*o = Outcome{Mutant: o.Mutant, Fate: Equivalent, Because: why}
}

// try runs one mutant until a scenario notices it. There is no mutant in the outcome if
// the context ended before.
func (s *Suite) try(ctx context.Context, m *Mutant) Outcome {
	if _, err := sequence.Compile(m.Document, nil); err != nil {
		return Outcome{Mutant: m, Fate: Refused, Because: firstFinding(err)}
	}
	passing := s.passing(m)
	near := nearest{}
	for _, o := range passing {
		r, err := o.under(ctx, m)
		if ctx.Err() != nil {
			return Outcome{}
		}
		if err != nil || !r.Met() {
			return Outcome{Mutant: m, Fate: Noticed, By: o.name()}
		}
		near.look(o, r)
	}
	return Outcome{
		Mutant: m, Fate: Survived, Passing: len(passing), Nearest: near.name,
		Missing: s.missing(m, len(passing), &near),
	}
}

// passing are the runs that could notice a mutant: those that come by the state that is
// wrong. First come those that take the transition that is wrong, and the shortest.
func (s *Suite) passing(m *Mutant) []*original {
	var first, then []*original
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

// under runs the scenario on the mutant. A mutant that goes on for ever ends with the
// longest run that the rig has.
func (o *original) under(ctx context.Context, m *Mutant) (*sim.Result, error) {
	c, _, err := o.ready.WithSequence(m.Document)
	if err != nil {
		return nil, fmt.Errorf("scenario %s does not go with it: %s", o.name(), problem.Of(err)[0].Message)
	}
	return sim.RunUntil(ctx, c, nil)
}

// firstFinding is the first thing that is wrong with a document.
func firstFinding(err error) string {
	first, _, _ := strings.Cut(strings.TrimPrefix(err.Error(), "sequence "), "\n")
	if _, rest, more := strings.Cut(err.Error(), "\n"); more {
		first, _, _ = strings.Cut(rest, "\n")
	}
	return first
}

// nearest is the run that comes out most unlike its original, though as expected.
type nearest struct {
	name string
	how  difference
}

// difference is how a run comes out unlike another; the greater, the easier it is to
// expect what is right.
type difference int

const (
	alike   difference = iota
	figures            // only figures differ
	stays              // other times in the same states
	ways               // other states
)

func (n *nearest) look(o *original, r *sim.Result) {
	if d := differing(o.result, r); n.name == "" || d > n.how {
		n.name, n.how = o.name(), d
	}
}

func differing(a, b *sim.Result) difference {
	way := func(r *sim.Result, of func(sim.Visit) string) []string {
		var list []string
		for _, v := range r.Visits {
			list = append(list, of(v))
		}
		return list
	}
	state := func(v sim.Visit) string { return v.State }
	switch {
	case !slices.Equal(way(a, state), way(b, state)):
		return ways
	case !slices.EqualFunc(a.Visits, b.Visits, func(x, y sim.Visit) bool { return x.At == y.At && x.Stay == y.Stay }):
		return stays
	}
	x, y := *a, *b
	x.Visits, y.Visits, x.Events, y.Events = nil, nil, nil, nil
	if !reflect.DeepEqual(x, y) {
		return figures
	}
	return alike
}
