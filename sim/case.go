package sim

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/sequence"
)

// Case is a scenario with all that it names: ready to run, any number of times, also at the
// same time.
type Case struct {
	Scenario Scenario
	Rig      plant.Rig
	Logic    sequence.Logic        // the functional side
	Sequence *sequence.Description // what it tells of itself
	Seed     uint64
	Sources  []Document // that it was read from; none if it was made otherwise
	// NotApplied names the expectations of the scenario that do not apply to what is in place of its own rig
	// or sequence, and that were removed.
	NotApplied []string
	// Document is the scenario with the values and the seed of its document, where others were put in their place as it
	// was loaded; nil where none were.
	Document *Scenario

	asBuilt plant.Rig // without the settings of the scenario
}

// NewCase applies the scenario's settings to sequence and rig. The error is a [problem.List] of all
// that is wrong, with the keys of the scenario as paths, such as faults[0].set. A rig that
// [plant.Validate] refuses is refused here too: it may divide by zero.
func NewCase(s Scenario, rig plant.Rig, document sequence.Document) (*Case, problem.List, error) {
	program, err := sequence.Compile(document, nil)
	if err != nil {
		return nil, nil, sequenceProblems(err, nil, nil)
	}
	return NewCaseOf(s, rig, program)
}

// NewCaseOf is [NewCase] for any functional side.
func NewCaseOf(s Scenario, rig plant.Rig, logic sequence.Logic) (*Case, problem.List, error) {
	if _, err := plant.Validate(&rig); err != nil {
		wrong := slices.Clone(problem.Of(err))
		for i := range wrong {
			wrong[i].Path = "rig"
		}
		return nil, nil, wrong
	}
	c := &Case{Scenario: s, Rig: rig, Seed: s.Seed, asBuilt: rig}
	if c.Seed == 0 {
		c.Seed = 1
	}
	about := logic.About()
	values := rigValues(&rig, about)
	found := c.override(values, logic)
	if len(found) == 0 && c.setsRig() { // relations to a refused value are meaningless
		found = c.checkRig()
	}
	found = append(found, c.checkComplete()...)
	logic, err := logic.With(values)
	if err != nil {
		warnings, err := append(found, sequenceProblems(err, s.Set, rig.Sequence)...).Split()
		return nil, warnings, err
	}
	c.Logic, c.Sequence = logic, logic.About()
	found = append(found, c.checkPlan()...)
	found = append(found, c.checkUnits()...)
	found = append(found, c.checkBrakes()...)
	found = append(found, c.checkKept()...)
	found = append(found, checkExpect(&s)...)
	found = append(found, c.checkCauses()...)
	found = append(found, c.checkVisits()...)
	if len(s.Lesson) > 0 {
		found = append(found, checkLesson(s.Lesson, c.Sequence.StateNames(), newFigureScope(c.Sequence))...)
	}
	found = append(found, c.warnings()...)
	warnings, err := found.Split()
	if err != nil {
		return nil, warnings, err
	}
	return c, warnings, nil
}

// With makes a case of another scenario on the same rig and sequence. The scenario's
// own references are not followed.
func (c *Case) With(s Scenario) (*Case, problem.List, error) {
	made, warnings, err := NewCaseOf(s, c.asBuilt, c.Logic)
	if made != nil {
		made.Sources = c.Sources
	}
	return made, warnings, err
}

// Program is the sequence as a document makes it; false where it is made of something else, which
// has no transitions to be read or changed.
func (c *Case) Program() (p *sequence.Program, ok bool) {
	p, ok = c.Logic.(*sequence.Program)
	return p, ok
}

// WithLogic makes a case of the same scenario and rig with another sequence of any kind.
func (c *Case) WithLogic(logic sequence.Logic) (*Case, problem.List, error) {
	return NewCaseOf(c.Scenario, c.asBuilt, logic)
}

// Live is whether the controller takes part in real time: such a run cannot be copied, not even by
// running it again, and there is one at a time.
func (c *Case) Live() bool {
	l, ok := c.Logic.(sequence.Live)
	return ok && l.Live()
}

// Untold is whether nothing is known ahead of the states that the controller tells.
func (c *Case) Untold() bool {
	u, ok := c.Logic.(sequence.Untold)
	return ok && u.Untold()
}

// WithSequence makes a case of the same scenario and rig with another sequence.
func (c *Case) WithSequence(document sequence.Document) (*Case, problem.List, error) {
	return NewCase(c.Scenario, c.asBuilt, document)
}

// Varied is the case with another rig and seed, and with further values of the parameters of the
// sequence, by their keys in a scenario's set. Only for these the sequence is compiled again,
// which takes about as long as a run. The error is that of [NewCase].
func (c *Case) Varied(rig plant.Rig, seed uint64, typed map[string]string) (*Case, error) {
	n := *c
	if len(typed) > 0 {
		s := c.Scenario
		s.Set = maps.Clone(s.Set)
		if s.Set == nil {
			s.Set = map[string]string{}
		}
		maps.Copy(s.Set, typed)
		made, _, err := c.With(s)
		if err != nil {
			return nil, err
		}
		n = *made
	}
	n.Rig, n.Seed = rig, seed
	if _, err := append(n.checkRig(), n.checkPlan()...).Split(); err != nil {
		return nil, err
	}
	return &n, nil
}

// Nominal is the case without faults, and with the usual script: the trigger alone.
func (c *Case) Nominal() *Case {
	n := *c
	n.Scenario.Faults, n.Scenario.Script, n.Scenario.Lesson = nil, nil, nil
	return &n
}

// Fingerprint identifies scenario, rig and sequence as they are run, with further values that must
// be the same. Expectations and lesson of a scenario change no run and do not count.
func (c *Case) Fingerprint(more ...any) (string, error) {
	s := c.Scenario
	s.Expect, s.Lesson, s.Rig, s.Sequence = Expect{}, nil, Reference{}, Reference{}
	text, err := json.Marshal(append([]any{s, c.Rig, c.Sequence.Source, c.Sequence.Params}, more...))
	if err != nil {
		return "", fmt.Errorf("fingerprint of the documents: %w", err)
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8]), nil
}

// ValuesFingerprint tells rig and sequence with all their values apart from others, whatever scenario set them.
func (c *Case) ValuesFingerprint() (string, error) {
	bare := *c
	bare.Scenario = Scenario{}
	return bare.Fingerprint()
}

// setsRig is whether the scenario sets a value of the rig.
func (c *Case) setsRig() bool {
	for key := range c.Scenario.Set {
		if _, ok := plant.FindKey(key); ok {
			return true
		}
	}
	return false
}

// checkRig validates the rig with the settings of the scenario. Warnings about the rig itself are
// not those of the scenario.
func (c *Case) checkRig() problem.List {
	var found problem.List
	warnings, err := plant.Validate(&c.Rig)
	for _, p := range append(problem.Of(err), warnings...) {
		path, own := overridePath(&c.Scenario, p.Path)
		if own || !p.Warning {
			p.Path = path
			found = append(found, p)
		}
	}
	return found
}

// sequenceProblems points at the settings or the rig's values that are wrong, or at the sequence with the
// place within it.
func sequenceProblems(err error, set, ofRig map[string]string) problem.List {
	var found problem.List
	for _, p := range problem.Of(err) {
		at := problem.Problem{Path: "sequence", Message: p.Error()}
		if name, given := strings.CutPrefix(p.Path, sequence.ValuePath("")); given {
			at.Message = p.Message
			_, isSet := set["sequence."+name]
			_, isOfRig := ofRig[name]
			switch {
			case isSet:
				at.Path = SetPath("sequence." + name)
			case isOfRig:
				at.Path, at.Column = RigValuePath(name), p.Column
			}
		}
		found = append(found, at)
	}
	return found
}

// checkComplete refuses a rig without a value that only a sizing can do without.
func (c *Case) checkComplete() problem.List {
	var found problem.List
	for _, f := range plant.Fields() {
		if x, ok := f.Number(&c.Rig); f.RunsOnly && ok && x == 0 {
			found.Add("rig", "rig %s has no %s: %s; a run needs it, and holdbench size works it out", c.Rig.Rig, f.Path, f.Note)
		}
	}
	return found
}

// checkUnits refuses a sequence in degrees on an axis that is no arm.
func (c *Case) checkUnits() problem.List {
	if c.Rig.Load.ArmMM > 0 || !usesDegrees(c.Sequence) {
		return nil
	}
	return problem.List{{Path: "sequence", Message: fmt.Sprintf("%s uses degrees and rig %s is no arm; must use position_mm and target_mm", c.Sequence.Title(), c.Rig.Rig)}}
}

// checkBrakes refuses a sequence for two brakes on a rig with one: what it commands and reads is not
// there.
func (c *Case) checkBrakes() problem.List {
	if c.Rig.Brake2.Exists() || !usesBrake2(c.Sequence) {
		return nil
	}
	return problem.List{{Path: "sequence", Message: fmt.Sprintf("%s uses brake_2 and rig %s has one brake; must not use it, or rig.brake_2.static_nm must be above 0", c.Sequence.Title(), c.Rig.Rig)}}
}

// usesBrake2 is whether a sequence sets or reads a second brake.
func usesBrake2(d *sequence.Description) bool {
	second := func(input string) bool { return strings.HasPrefix(input, "brake_2_") }
	return d.Sets("brake_2") || slices.ContainsFunc(d.Inputs, second)
}

// usesDegrees is whether a sequence is for an arm: it sets an angle, or compares one. A linear axis reads
// 0, whose cosine is 1: a load that follows the angle of an arm does not follow that of a linear axis.
func usesDegrees(d *sequence.Description) bool {
	return d.Sets("target_deg") || d.ReadsAngle
}

// checkKept refuses a kept value by the name of another column of a trace.
func (c *Case) checkKept() problem.List {
	columns := []string{"t_s", "state"}
	for _, t := range truthColumns() {
		columns = append(columns, t.Name)
	}
	var found problem.List
	for _, s := range c.Sequence.Kept {
		if slices.Contains(columns, s.Name) {
			found.Add("sequence", "sequence %s keeps %s, which is a column of every trace; choose another name", c.Sequence.Name, s.Name)
		}
	}
	return found
}

// warnings are those of a sequence's values on the rig, by their roles; a sequence without these
// roles is not checked.
func (c *Case) warnings() problem.List {
	return slices.Concat(c.loadWarning(), c.signWarnings(), c.judgeWarnings())
}

// signWarnings warns of a required torque that takes the load off the brake: pressing down is
// negative, pressing up positive, on every axis.
func (c *Case) signWarnings() problem.List {
	var found problem.List
	warn := func(role, must string, wrong func(x float64) bool) {
		if p, ok := c.Sequence.Role(role); ok && wrong(p.Number) {
			found.Warn("sequence", "%s is %.4g N·m in the sequence; must be %s: with the wrong sign the press takes load off the brake and proves nothing", p.Name, p.Number, must)
		}
	}
	warn("required_down", "negative", func(x float64) bool { return x > 0 })
	warn("required_up", "positive", func(x float64) bool { return x < 0 })
	return found
}

// loadWarning compares the load torque of the sequence with that of the rig.
func (c *Case) loadWarning() problem.List {
	value, ok := c.Sequence.Role("load_torque")
	if !ok {
		return nil
	}
	at := c.Rig.Load.StartMM
	place, ok := c.Sequence.Role("test_position")
	if ok {
		at = place.Number
	}
	is := 0 - plant.LoadTorque(&c.Rig, at)
	if math.Abs(value.Number-is) <= 0.05*math.Abs(is) || c.withinPayload(value.Number, at) {
		return nil
	}
	path := "sequence"
	for _, key := range []string{"sequence." + value.Name, "rig.load.mass_kg", "sequence." + place.Name} {
		if _, set := c.Scenario.Set[key]; set {
			path = SetPath(key)
			break
		}
	}
	return problem.List{{Path: path, Warning: true, Message: fmt.Sprintf("%s is %.4g N·m in the sequence, and the load torque of the rig is %.4g N·m at %.4g mm: the drive will not carry the load exactly", value.Name, value.Number, is, at)}}
}

// withinPayload is whether a load torque is one that the rig has at a position with some payload, where
// that varies: no one value fits then, and a sequence measures.
func (c *Case) withinPayload(nm, at float64) bool {
	if c.Rig.Load.PayloadMostKG <= c.Rig.Load.PayloadLeastKG {
		return false
	}
	rig := c.Rig
	rig.Load.PayloadKG = rig.Load.PayloadLeastKG
	least := 0 - plant.LoadTorque(&rig, at)
	rig.Load.PayloadKG = rig.Load.PayloadMostKG
	most := 0 - plant.LoadTorque(&rig, at)
	return nm >= min(least, most) && nm <= max(least, most)
}

// checkPlan reports what is wrong with script and faults.
func (c *Case) checkPlan() problem.List {
	_, found := scriptEdges(&c.Scenario, c.Rig.Clock.Tick)
	if wrong := c.checkMoments(); len(wrong) > 0 {
		return append(found, wrong...)
	}
	schedule, wrong := scheduleOf(&c.Scenario, c.Sequence.StateNames(), c.Rig.Clock.Tick)
	found = append(found, c.advised(wrong)...)
	if len(wrong) > 0 {
		return found
	}
	for i, f := range schedule {
		found = append(found, f.checkRig(&c.Rig, fmt.Sprintf("faults[%d].set", i))...)
	}
	return found
}
