package sim

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"holdbench/plant"
)

// target is one thing that a fault can change.
type target struct {
	name, unit, note string
	check            func(text string) error // nil: the plant's field decides
	get              func(b *Bench) string
	set              func(b *Bench, text string)
	operates         bool // an action of the operator, no fault of the machine
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
		name: name, note: note,
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

// checkFlag refuses what is neither true nor false.
func checkFlag(name string) func(text string) error {
	return func(text string) error {
		if _, err := strconv.ParseBool(text); err != nil {
			return fmt.Errorf("%s is %q; must be true or false", name, text)
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
			name: name, note: buttonNote(button), operates: true,
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

// proofTarget is the judge's proof as it stands: from the start what an earlier run left,
// later what the judge is given or loses.
func proofTarget() target {
	field := func(r *plant.Rig) plant.Field {
		fields := plant.Fields(r)
		return fields[slices.IndexFunc(fields, func(f plant.Field) bool { return f.Path == proofLeft })]
	}
	info := field(new(plant.Rig))
	return target{
		name: proofLeft, unit: info.Unit, note: "what the proof has left; 0 takes it away",
		check: func(text string) error { return field(new(plant.Rig)).Set(text) },
		get: func(b *Bench) string {
			rig := plant.Rig{Judge: plant.Judge{ProofLeft: b.judge.verdict.ProofLeft}}
			return field(&rig).Text()
		},
		set: func(b *Bench, text string) {
			_ = field(b.plant.Rig()).Set(text) // checked before the run
			b.setProof(b.plant.Rig().Judge.ProofLeft)
		},
	}
}

// proofLeft is the rig's value that is a target of its own kind.
const proofLeft = "judge.proof_left"

// rigTargets are the rig's values that make sense while it runs.
func rigTargets() []target {
	var list []target
	for i, f := range plant.Fields(new(plant.Rig)) {
		if fixedInRun(f.Path) {
			continue
		}
		list = append(list, target{
			name: f.Path, unit: f.Unit, note: f.Note,
			check: func(text string) error { return plant.Fields(new(plant.Rig))[i].Set(text) },
			get:   func(b *Bench) string { return plant.Fields(b.plant.Rig())[i].Text() },
			set: func(b *Bench, text string) {
				_ = plant.Fields(b.plant.Rig())[i].Set(text) // checked before the run
				b.plant.Reload()
			},
		})
	}
	return list
}

// lasting are changes that a run cannot take back.
func lasting(path string) bool {
	return path == "transmission.severed" || path == proofLeft || strings.HasSuffix(path, "brake.gap_mm") || strings.HasSuffix(path, "brake.glaze")
}

// fixedInRun are values that the run is built on.
func fixedInRun(path string) bool {
	return strings.HasPrefix(path, "clock.") && path != "clock.link_delay_scans" ||
		strings.HasPrefix(path, "load.start") || strings.HasPrefix(path, "test.") ||
		path == "encoder.increments_per_turn" || path == proofLeft ||
		strings.HasPrefix(path, "load.arm") || strings.HasPrefix(path, "transmission.") && path != "transmission.severed" ||
		path == "partner.inertia_kg_m2" || path == "motor.torque_constant_nm_per_rms_a"
}

func targets() []target {
	return slices.Concat(rigTargets(), []target{proofTarget()}, linkTargets(), operatorTargets())
}

// Targets lists everything that a fault can change.
func Targets() []Target {
	var list []Target
	fields := plant.Fields(new(plant.Rig))
	for _, t := range targets() {
		info := Target{Name: t.name, Unit: t.unit, Note: t.note, Range: "true or false"}
		if i := slices.IndexFunc(fields, func(f plant.Field) bool { return f.Path == t.name }); i >= 0 {
			info.Range = fields[i].Range()
		}
		list = append(list, info)
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
	target target
	text   string
}

// scheduleOf resolves the faults of a scenario; problems point into it.
func scheduleOf(s *Scenario, states []string, tick time.Duration) ([]*scheduledFault, []Problem) {
	if len(s.Faults) == 0 {
		return nil, nil
	}
	known := targets()
	var list []*scheduledFault
	var found []Problem
	for i := range s.Faults {
		path := fmt.Sprintf("faults[%d]", i)
		c, problems := newScheduledFault(&s.Faults[i], path, known, states, tick)
		list, found = append(list, c), append(found, problems...)
	}
	return list, found
}

func newScheduledFault(f *Fault, path string, known []target, states []string, tick time.Duration) (*scheduledFault, []Problem) {
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
		if f.For > 0 && lasting(key) {
			found = append(found, Problem{Path: path + ".for", Message: key + " is nothing that mends itself; must be for good, without for"})
		}
	}
	if len(f.Set) == 0 {
		found = append(found, Problem{Path: path, Message: "a fault must set something"})
	}
	items, problems := newSettings(f.Set, path+".set", known)
	c.settings = items
	c.operates = len(items) > 0 && !slices.ContainsFunc(items, func(i setting) bool { return !i.target.operates })
	return c, append(found, problems...)
}

func newSettings(set map[string]string, path string, known []target) ([]setting, []Problem) {
	var items []setting
	var found []Problem
	for _, key := range sortedKeys(set) {
		place := path + quoted(key)
		i := slices.IndexFunc(known, func(t target) bool { return t.name == key })
		if i < 0 {
			found = append(found, Problem{Path: place, Message: fmt.Sprintf("%q is nothing that a fault can change%s", key, suggestion(key, targetNames(known)))})
			continue
		}
		if err := known[i].check(set[key]); err != nil {
			found = append(found, Problem{Path: place, Message: err.Error()})
		}
		items = append(items, setting{known[i], set[key]})
	}
	return items, found
}

func targetNames(known []target) []string {
	names := make([]string, len(known))
	for i, t := range known {
		names[i] = t.name
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
