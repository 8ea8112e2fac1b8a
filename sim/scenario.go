package sim

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"holdbench/plant/problem"
)

// Scenario is a run as written: rig, sequence, faults and expectations.
type Scenario struct {
	Scenario string `yaml:"scenario"`
	Title    string `yaml:"title"`
	Teaches  string `yaml:"teaches,omitempty"`
	Remedy   string `yaml:"remedy,omitempty"` // what the engineer changes, if the scenario shows a miss

	Rig      Reference `yaml:"rig"`
	Sequence Reference `yaml:"sequence"`
	Seed     uint64    `yaml:"seed,omitempty"`

	Set    map[string]string `yaml:"set,omitempty"`
	Script []Action          `yaml:"script,omitempty"` // none: a trigger after half a second
	Faults []Fault           `yaml:"faults,omitempty"`
	Expect Expect            `yaml:"expect"`
	Lesson Lesson            `yaml:"lesson,omitempty"` // none: the run does not stop
}

// Clone is a copy that shares nothing with the scenario that can be changed.
func (s Scenario) Clone() Scenario {
	s.Set = maps.Clone(s.Set)
	s.Script = slices.Clone(s.Script)
	for i := range s.Script {
		s.Script[i].Set = maps.Clone(s.Script[i].Set)
	}
	s.Faults = slices.Clone(s.Faults)
	for i := range s.Faults {
		f := &s.Faults[i]
		f.When, f.At, f.Set = copied(f.When), copied(f.At), maps.Clone(f.Set)
	}
	s.Expect = s.Expect.clone()
	s.Lesson = slices.Clone(s.Lesson)
	for i := range s.Lesson {
		l := &s.Lesson[i]
		l.At, l.When, l.Event, l.Choices, l.Number = copied(l.At), copied(l.When), copied(l.Event), slices.Clone(l.Choices), copied(l.Number)
	}
	return s
}

func (e Expect) clone() Expect {
	e.LoadDropMM, e.SlipDeg, e.PeakNM = e.LoadDropMM.clone(), e.SlipDeg.clone(), e.PeakNM.clone()
	e.Cause, e.Path = slices.Clone(e.Cause), slices.Clone(e.Path)
	e.Took = maps.Clone(e.Took)
	for state, stay := range e.Took {
		stay.AtLeast, stay.AtMost = copied(stay.AtLeast), copied(stay.AtMost)
		e.Took[state] = stay
	}
	e.Outputs = maps.Clone(e.Outputs)
	for state, values := range e.Outputs {
		e.Outputs[state] = maps.Clone(values)
	}
	e.Obligations = slices.Clone(e.Obligations)
	return e
}

func (b *Bounds) clone() *Bounds {
	if b == nil {
		return nil
	}
	return &Bounds{AtLeast: copied(b.AtLeast), AtMost: copied(b.AtMost)}
}

// copied points to a copy of what a pointer points to.
func copied[T any](p *T) *T {
	if p == nil {
		return nil
	}
	v := *p
	return &v
}

// Reference names a document or holds one.
type Reference struct {
	Name string // built-in name or file
	Text string // the document itself, as package scenarios reads it; empty if it is named
}

// Action is an action of the operator: buttons set at a time, to the end of the run or for a while.
type Action struct {
	At  time.Duration   `yaml:"at"`
	For time.Duration   `yaml:"for,omitempty"`
	Set map[string]bool `yaml:"set"`
}

// Fault changes the plant, the signals or the engineering data at a moment, to the end of the run
// or for a while. Keys of Set are the names of targets, see [Targets]. A document may name a fault
// of the catalogue instead, with its severity: package scenarios fills Set from it.
type Fault struct {
	When  *Moment           `yaml:"when,omitempty"`
	At    *time.Duration    `yaml:"at,omitempty"`
	For   time.Duration     `yaml:"for,omitempty"`
	Fault string            `yaml:"fault,omitempty"` // lining-worn=0.25; empty for targets written out
	Set   map[string]string `yaml:"set,omitempty"`
}

// Moment is the start of the run or the first entry of a state, and a time after it.
type Moment struct {
	State string        `yaml:"state"` // empty: the start of the run
	After time.Duration `yaml:"after,omitempty"`
}

// Expect holds the expectations of a run. Empty fields are no expectations.
type Expect struct {
	End        string        `yaml:"end,omitempty"`
	Verdict    string        `yaml:"verdict,omitempty"`
	Cause      Causes        `yaml:"cause,omitempty"`
	Class      Class         `yaml:"class,omitempty"`
	Operation  string        `yaml:"operation,omitempty"` // allowed or inhibited at the end, by both sides together
	Within     time.Duration `yaml:"within,omitempty"`
	LoadDropMM *Bounds       `yaml:"load_drop_mm,omitempty"`
	SlipDeg    *Bounds       `yaml:"slip_deg,omitempty"`
	PeakNM     *Bounds       `yaml:"peak_torque_nm,omitempty"`

	// Path is every state that the run enters, in order, with the first one; ... means any
	// number of states.
	Path []string `yaml:"path,omitempty"`
	// Took bounds the time in a state, at its first entry.
	Took map[string]DurationBounds `yaml:"took,omitempty"`
	// Outputs holds, by state, the outputs after its first entry; outputs that are not named are
	// no expectations.
	Outputs map[string]map[string]string `yaml:"outputs,omitempty"`

	Obligations Broken `yaml:"obligations"`
}

// Causes are causes of which any one meets an expectation; a document writes one as a word.
type Causes []string

// String is one cause, or several with or between them.
func (c Causes) String() string { return strings.Join(c, " or ") }

// Bounds is a closed range; a nil end is open.
type Bounds struct {
	AtLeast *float64 `yaml:"at_least,omitempty"`
	AtMost  *float64 `yaml:"at_most,omitempty"`
}

// Hold is whether a value is within the bounds.
func (b *Bounds) Hold(x float64) bool {
	return (b.AtLeast == nil || x >= *b.AtLeast) && (b.AtMost == nil || x <= *b.AtMost)
}

// check reports a range that no value can meet.
func (b *Bounds) check(key string) problem.List {
	if b == nil || b.AtLeast == nil || b.AtMost == nil || *b.AtLeast <= *b.AtMost {
		return nil
	}
	return problem.List{{Path: "expect." + key, Message: fmt.Sprintf("at_least is %g and at_most is %g; no value is both", *b.AtLeast, *b.AtMost)}}
}

func (b *Bounds) String() string {
	var parts []string
	if b.AtLeast != nil {
		parts = append(parts, fmt.Sprintf("at least %g", *b.AtLeast))
	}
	if b.AtMost != nil {
		parts = append(parts, fmt.Sprintf("at most %g", *b.AtMost))
	}
	return strings.Join(parts, ", ")
}

// Broken lists the obligations that a scenario breaks on purpose; all others must be kept.
type Broken []BrokenObligation

// BrokenObligation is an obligation and the reason why the scenario breaks it.
type BrokenObligation struct {
	Broken string `yaml:"broken"`
	Why    string `yaml:"why"`
}
