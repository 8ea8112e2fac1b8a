package sim

import (
	"fmt"
	"slices"
	"strconv"
	"sync"

	"holdbench/plant"
)

// Target is one thing that a fault can set while a run goes on: a value of the rig, a signal
// between the two sides, or a button of the operator.
type Target struct {
	Name, Unit, Range, Note string

	Permanent bool // a run cannot take it back
	Operator  bool // an action of the operator, no fault of the machine

	check func(text string) error
	get   func(b *Bench) string
	set   func(b *Bench, text string) // that check accepts, or that get gave
}

// linkTargets are the faults of the signals between the two sides.
func linkTargets() []Target {
	return []Target{
		linkTarget(linkPrefix+"down", "no signal arrives in either direction, and the watchdog detects it",
			func(b *Bench) []*bool { return []*bool{&b.safety.Link.ToSafety.Down, &b.safety.Link.ToFunctional.Down} }),
		linkTarget(linkPrefix+"ask_held", "the safety side keeps reading the last ask",
			func(b *Bench) []*bool { return []*bool{&b.safety.Link.ToSafety.Held} }),
		linkTarget(linkPrefix+"verdict_held", "the functional side keeps reading the last verdict",
			func(b *Bench) []*bool { return []*bool{&b.safety.Link.ToFunctional.Held} }),
		linkTarget(linkPrefix+"ask_stuck", "the safety side always reads an ask",
			func(b *Bench) []*bool { return []*bool{&b.safety.Link.ToSafety.Stuck} }),
		linkTarget(linkPrefix+"verdict_stuck", "the functional side always reads a new proof",
			func(b *Bench) []*bool { return []*bool{&b.safety.Link.ToFunctional.Stuck} }),
		linkTarget(linkPrefix+"count_held", "the functional side keeps reading the last counter of verdicts",
			func(b *Bench) []*bool { return []*bool{&b.safety.Link.ToFunctional.CountHeld} }),
	}
}

// linkPrefix stands before the names of the faults of the signals between the two sides.
const linkPrefix = "link."

func linkTarget(name, note string, flags func(*Bench) []*bool) Target {
	return Target{
		Name: name, Note: note, Range: flagRange,
		check: checkFlag(name),
		get:   func(b *Bench) string { return strconv.FormatBool(*flags(b)[0]) },
		set: func(b *Bench, text string) {
			on := mustFlag(text)
			for _, f := range flags(b) {
				*f = on
			}
		},
	}
}

// flagRange is what a flag may be.
const flagRange = "true or false"

// checkFlag refuses what is neither true nor false.
func checkFlag(name string) func(text string) error {
	return func(text string) error {
		if _, err := strconv.ParseBool(text); err != nil {
			return fmt.Errorf("%s is %q; must be "+flagRange, name, text)
		}
		return nil
	}
}

// mustFlag reads a flag that [checkFlag] accepts. It panics on any other text.
func mustFlag(text string) bool {
	on, err := strconv.ParseBool(text)
	if err != nil {
		panic("sim: unchecked flag: " + err.Error())
	}
	return on
}

// operatorTargets are the operator's buttons: pressed by a fault, they do what they do when
// the script presses them.
func operatorTargets() []Target {
	var list []Target
	for _, button := range Buttons() {
		name := operatorPrefix + button
		list = append(list, Target{
			Name: name, Note: buttonNote(button), Range: flagRange, Operator: true,
			check: checkFlag(name),
			get:   func(b *Bench) string { return strconv.FormatBool(*b.operator.button(button)) },
			set: func(b *Bench, text string) {
				b.setButton(button, mustFlag(text))
			},
		})
	}
	return list
}

// proofLeft is the rig's value that is a target of its own kind.
const proofLeft = "judge.proof_left"

// proofTarget is the judge's proof as it stands: from the start what an earlier run left,
// later what the judge is given or loses.
func proofTarget(f *plant.Field) Target {
	return Target{
		Name: f.Path, Unit: f.Unit, Range: f.Range(), Note: "what the proof has left; 0 takes it away",
		Permanent: f.Permanent, check: f.Check,
		get: func(b *Bench) string {
			return f.Text(&plant.Rig{Judge: plant.Judge{ProofLeft: b.safety.Out().ProofLeft}})
		},
		set: func(b *Bench, text string) {
			f.MustSet(b.plant.Rig(), text)
			b.setProof(b.plant.Rig().Judge.ProofLeft)
		},
	}
}

// rigTarget is a value of the rig.
func rigTarget(f *plant.Field) Target {
	return Target{
		Name: f.Path, Unit: f.Unit, Range: f.Range(), Note: f.Note,
		Permanent: f.Permanent, check: f.Check,
		get: func(b *Bench) string { return f.Text(b.plant.Rig()) },
		set: func(b *Bench, text string) {
			f.MustSet(b.plant.Rig(), text)
			b.plant.Reload()
		},
	}
}

// rigTargets are the rig's values that make sense while it runs, and its proof.
func rigTargets() []Target {
	var list, proof []Target
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

// targetTable holds everything that a fault can set.
type targetTable struct {
	list   []Target
	byName map[string]*Target
}

//nolint:gochecknoglobals // made once, never changed
var targets = sync.OnceValue(func() *targetTable {
	t := &targetTable{list: slices.Concat(rigTargets(), linkTargets(), controllerTargets(), operatorTargets()), byName: map[string]*Target{}}
	for i := range t.list {
		t.byName[t.list[i].Name] = &t.list[i]
	}
	return t
})

// Targets lists everything that a fault can set.
func Targets() []Target { return slices.Clone(targets().list) }

func targetNames() []string {
	var names []string
	for _, t := range targets().list {
		names = append(names, t.Name)
	}
	return names
}
