package sim

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"holdbench/plant"
)

// target is one thing that a fault can change.
type target struct {
	name, unit, span, note string
	check                  func(text string) error
	get                    func(b *Bench) string
	set                    func(b *Bench, text string) // that check accepts, or that get gave
	permanent              bool                        // a run cannot take it back
	operates               bool                        // an action of the operator, no fault of the machine
}

// Target describes one thing that a fault can change, for lists and completion.
type Target struct {
	Name, Unit, Range, Note string
}

// linkTargets are the faults of the signals between the two sides.
func linkTargets() []target {
	return []target{
		linkTarget("link.down", "no signal comes through either way, and the watchdog notices",
			func(b *Bench) []*bool { return []*bool{&b.toSafety.down, &b.toFunctional.down} }),
		linkTarget("link.ask_held", "the safety side goes on reading the last ask",
			func(b *Bench) []*bool { return []*bool{&b.toSafety.held} }),
		linkTarget("link.verdict_held", "the functional side goes on reading the last verdict",
			func(b *Bench) []*bool { return []*bool{&b.toFunctional.held} }),
		linkTarget("link.ask_stuck", "the safety side always reads an ask",
			func(b *Bench) []*bool { return []*bool{&b.toSafety.stuck} }),
		linkTarget("link.verdict_stuck", "the functional side always reads a proof that was just given",
			func(b *Bench) []*bool { return []*bool{&b.toFunctional.stuck} }),
	}
}

func linkTarget(name, note string, flags func(*Bench) []*bool) target {
	return target{
		name: name, note: note, span: flagSpan,
		check: checkFlag(name),
		get:   func(b *Bench) string { return strconv.FormatBool(*flags(b)[0]) },
		set: func(b *Bench, text string) {
			on, _ := strconv.ParseBool(text) // checked before the run
			for _, f := range flags(b) {
				*f = on
			}
		},
	}
}

// flagSpan is what a flag may be.
const flagSpan = "true or false"

// checkFlag refuses what is neither true nor false.
func checkFlag(name string) func(text string) error {
	return func(text string) error {
		if _, err := strconv.ParseBool(text); err != nil {
			return fmt.Errorf("%s is %q; must be "+flagSpan, name, text)
		}
		return nil
	}
}

// operatorTargets are the operator's buttons: pressed by a fault, they do what they do when
// the script presses them.
func operatorTargets() []target {
	var list []target
	for _, button := range Buttons() {
		name := operatorPrefix + button
		list = append(list, target{
			name: name, note: buttonNote(button), span: flagSpan, operates: true,
			check: checkFlag(name),
			get:   func(b *Bench) string { return strconv.FormatBool(*b.operator.button(button)) },
			set: func(b *Bench, text string) {
				on, _ := strconv.ParseBool(text) // checked before the run
				b.setButton(button, on)
			},
		})
	}
	return list
}

// proofLeft is the rig's value that is a target of its own kind.
const proofLeft = "judge.proof_left"

// proofTarget is the judge's proof as it stands: from the start what an earlier run left,
// later what the judge is given or loses.
func proofTarget(f *plant.Field) target {
	return target{
		name: f.Path, unit: f.Unit, span: f.Range(), note: "what the proof has left; 0 takes it away",
		permanent: f.Permanent, check: f.Check,
		get: func(b *Bench) string {
			return f.Text(&plant.Rig{Judge: plant.Judge{ProofLeft: b.judge.verdict.ProofLeft}})
		},
		set: func(b *Bench, text string) {
			f.MustSet(b.plant.Rig(), text)
			b.setProof(b.plant.Rig().Judge.ProofLeft)
		},
	}
}

// rigTarget is a value of the rig.
func rigTarget(f *plant.Field) target {
	return target{
		name: f.Path, unit: f.Unit, span: f.Range(), note: f.Note,
		permanent: f.Permanent, check: f.Check,
		get: func(b *Bench) string { return f.Text(b.plant.Rig()) },
		set: func(b *Bench, text string) {
			f.MustSet(b.plant.Rig(), text)
			b.plant.Reload()
		},
	}
}

// rigTargets are the rig's values that make sense while it runs, and its proof.
func rigTargets() []target {
	var list, proof []target
	for _, f := range plant.Fields() {
		switch {
		case f.Path == proofLeft:
			proof = append(proof, proofTarget(f))
		case !f.FixedInRun:
			list = append(list, rigTarget(f))
		}
	}
	return append(list, proof...)
}

// targetTable holds everything that a fault can change.
type targetTable struct {
	list   []target
	byName map[string]*target
}

//nolint:gochecknoglobals // made once, never changed
var targets = sync.OnceValue(func() *targetTable {
	t := &targetTable{list: slices.Concat(rigTargets(), linkTargets(), operatorTargets()), byName: map[string]*target{}}
	for i := range t.list {
		t.byName[t.list[i].name] = &t.list[i]
	}
	return t
})

// Targets lists everything that a fault can change.
func Targets() []Target {
	var list []Target
	for _, t := range targets().list {
		list = append(list, Target{Name: t.name, Unit: t.unit, Note: t.note, Range: t.span})
	}
	return list
}

// scheduledFault is a fault made ready for a run.
type scheduledFault struct {
	fault    Fault
	delay    int64 // after its moment
	duration int64 // 0: for good
	state    int   // -1: the clock of the run
	settings []setting
	due      int64 // tick, -1 until its moment is known
	active   bool
	over     bool

	operates bool // all that it does is an action of the operator
}

type setting struct {
	target *target
	text   string
}

// scheduleOf resolves the faults of a scenario; problems point into it.
func scheduleOf(s *Scenario, states []string, tick time.Duration) ([]*scheduledFault, []Problem) {
	if len(s.Faults) == 0 {
		return nil, nil
	}
	var list []*scheduledFault
	var found []Problem
	for i := range s.Faults {
		path := fmt.Sprintf("faults[%d]", i)
		c, problems := newScheduledFault(&s.Faults[i], path, states, tick)
		list, found = append(list, c), append(found, problems...)
	}
	return list, found
}

func newScheduledFault(f *Fault, path string, states []string, tick time.Duration) (*scheduledFault, []Problem) {
	c := &scheduledFault{fault: *f, state: -1, due: -1}
	var found []Problem
	switch {
	case (f.When == nil) == (f.At == nil):
		found = append(found, Problem{Path: path, Message: "a fault needs either when or at; it has both or neither"})
	case f.At != nil:
		c.due = ticksOf(*f.At, tick)
	case f.When.State == "":
		c.due = ticksOf(f.When.After, tick)
	default:
		c.state = slices.Index(states, f.When.State)
		c.delay = ticksOf(f.When.After, tick)
		if c.state < 0 {
			found = append(found, Problem{Path: path + ".when.state", Message: fmt.Sprintf("there is no state %q in the sequence%s", f.When.State, suggestion(f.When.State, states))})
		}
	}
	c.duration = ticksOf(f.For, tick)
	for _, key := range sortedKeys(f.Set) {
		if t := targets().byName[key]; f.For > 0 && t != nil && t.permanent {
			found = append(found, Problem{Path: path + ".for", Message: key + " is nothing that mends itself; must be for good, without for"})
		}
	}
	if len(f.Set) == 0 {
		found = append(found, Problem{Path: path, Message: "a fault must set something"})
	}
	items, problems := newSettings(f.Set, path+".set")
	c.settings = items
	c.operates = len(items) > 0 && !slices.ContainsFunc(items, func(i setting) bool { return !i.target.operates })
	return c, append(found, problems...)
}

func newSettings(set map[string]string, path string) ([]setting, []Problem) {
	var items []setting
	var found []Problem
	for _, key := range sortedKeys(set) {
		place := path + quoted(key)
		t := targets().byName[key]
		if t == nil {
			found = append(found, Problem{Path: place, Message: fmt.Sprintf("%q is nothing that a fault can change%s", key, suggestion(key, targetNames()))})
			continue
		}
		if err := t.check(set[key]); err != nil {
			found = append(found, Problem{Path: place, Message: err.Error()})
		}
		items = append(items, setting{t, set[key]})
	}
	return items, found
}

func targetNames() []string {
	var names []string
	for _, t := range targets().list {
		names = append(names, t.name)
	}
	return names
}

func (c *scheduledFault) text() string {
	parts := make([]string, len(c.settings))
	for i, item := range c.settings {
		parts[i] = item.target.name + " = " + item.text
	}
	return strings.Join(parts, ", ")
}

// ticksOf rounds a time up to whole ticks.
func ticksOf(d, tick time.Duration) int64 { return int64((d + tick - 1) / tick) }

func sortedKeys[V any, K cmp.Ordered](m map[K]V) []K {
	keys := make([]K, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
