package catalogue

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"sync"
	"time"

	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sim"
)

// Entry is a fault of the trade. It says what is set; a scenario says when.
type Entry struct {
	Name  string // short and hyphenated: lining-worn
	What  string // what it is on a machine, one sentence
	Group string // one of the groups below

	// Set holds the targets whose text is the same on every rig; see [sim.Targets].
	Set map[string]string
	// Severity is the one target that is set by a number, in addition to Set; nil for a
	// fault without degrees.
	Scale *Scale

	// Settings are values of a scenario's set, for wrong data, which are there before a run and stay;
	// nil for most. Keys are those of [sim.Settings]; parameters are found by their roles.
	Settings func(r *plant.Rig, param Params) map[string]string

	Duration  time.Duration         // how long it usually lasts, 0 to the end of the run
	Permanent bool                  // it cannot be undone within a run
	FromStart bool                  // makes sense from the start of a run only
	Gradual   bool                  // takes hours to years, or comes between runs: what is there during a run was there at its start
	Needs     func(*plant.Rig) bool // what a rig must have; nil: any rig will do

	// Symptom is shared by faults that a controller cannot distinguish by its signals at
	// suitable severities; empty if there is no other such fault.
	Symptom    string
	DetectedBy string // which side can detect it, and how, one sentence
	Remedy     string // name of one of Remedies
}

// Scale is how severe a fault can be.
type Scale struct {
	Target              string // what is set
	Unit                string // of the number, for people
	Mild, Usual, Severe float64
	// text turns the number into the target's text on a rig, as many a number is relative to the
	// rig's own value; nil: the target is the number itself.
	text func(r *plant.Rig, number float64) string
}

// Between is the severity at a share of the scale from the mild end, 0, to the severe end, 1.
func (s *Scale) Between(share float64) float64 {
	share = max(0, min(1, share))
	return float64((1-share)*s.Mild) + float64(share*s.Severe) // exact at both ends
}

// Text is what the target is set to on a rig.
func (s *Scale) Text(r *plant.Rig, number float64) string {
	if s.text == nil {
		return fourDigits(number)
	}
	return s.text(r, number)
}

// fourDigits writes a number with four digits, as it would be entered.
func fourDigits(x float64) string { return strconv.FormatFloat(x, 'g', 4, 64) }

// The groups of faults, in the order of the catalogue.
const (
	BrakeGroup       = "brake"
	MachineGroup     = "machine"
	DriveGroup       = "drive"
	SensorGroup      = "sensors"
	LinkGroup        = "link"
	ControllerGroup  = "controller"
	PartnerGroup     = "partner"
	OperationGroup   = "operation"
	EngineeringGroup = "engineering"
)

//nolint:gochecknoglobals // made once, never changed
var entries = sync.OnceValue(func() []Entry {
	return slices.Concat(
		brakeForceFaults(), brakeMagnetFaults(), brakeHistoryFaults(), brakeMotionFaults(), secondBrakeFaults(), loadFaults(), obstacleFaults(), payloadFaults(),
		driveFaults(),
		pressFaults(), positionFaults(), currentFaults(), feedbackFaults(), linkFaults(), controllerFaults(), partnerFaults(),
		operatorFaults(), proofFaults(), guardFaults(), judgeFaults(), judgeDataFaults(), requirementFaults(), placeFaults(),
	)
})

// Entries lists the catalogue, group by group. The list is the caller's own; the maps and scales
// in it are shared and must not be changed.
func Entries() []Entry { return slices.Clone(entries()) }

// Find finds a fault of the catalogue; the error names the nearest one.
func Find(name string) (Entry, error) {
	list := entries()
	if i := slices.IndexFunc(list, func(f Entry) bool { return f.Name == name }); i >= 0 {
		return list[i], nil
	}
	return Entry{}, fmt.Errorf("there is no fault %q; %s", name, sequence.Suggest(name, Names()))
}

// Names lists the names of the catalogue.
func Names() []string {
	var names []string
	for _, f := range entries() {
		names = append(names, f.Name)
	}
	return names
}

// WholeRun is whether the fault can only be there from the start of a run.
func (f *Entry) WholeRun() bool { return f.FromStart || f.Settings != nil }

// Usual is the usual severity, 0 for a fault without a scale.
func (f *Entry) Usual() float64 {
	if f.Scale == nil {
		return 0
	}
	return f.Scale.Usual
}

// Values is what the fault sets on a rig, ready for [sim.Fault]. The severity is a number of its
// scale, see [Scale.Between]; without a scale it has no meaning.
func (f *Entry) Values(r *plant.Rig, number float64) map[string]string {
	set := make(map[string]string, len(f.Set)+1)
	maps.Copy(set, f.Set)
	if f.Scale != nil {
		set[f.Scale.Target] = f.Scale.Text(r, number)
	}
	return set
}

// At is the fault at a moment with a severity, for as long as it usually lasts. One for the
// whole run begins at its start. Settings are not part of it; see [Selection.AddTo].
func (f *Entry) At(r *plant.Rig, number float64, when sim.Moment) sim.Fault {
	if f.WholeRun() {
		when = sim.Moment{}
	}
	return sim.Fault{When: &when, For: f.Duration, Set: f.Values(r, number)}
}

// FitsCase is whether the fault makes sense in a case: it fits the rig, and its settings are
// valid values of parameters that the sequence has.
func (f *Entry) FitsCase(c *sim.Case) bool {
	if !f.Fits(&c.Rig) {
		return false
	}
	if f.Settings == nil {
		return true
	}
	s := c.Scenario
	s.Faults, s.Lesson = nil, nil
	if (Selection{Entry: *f, Severity: f.Usual()}).AddTo(&s, &c.Rig, c.Sequence) != nil {
		return false
	}
	_, _, err := c.With(s)
	return err == nil
}

// Fits is whether the fault makes sense on a rig: the rig has what the fault needs, the fault
// changes something, and the rig is valid from the mild end of the scale to the severe end.
func (f *Entry) Fits(r *plant.Rig) bool {
	if f.Needs != nil && !f.Needs(r) {
		return false
	}
	changes, valid := f.try(r, f.Usual())
	changes = changes || f.Settings != nil
	if !changes || !valid || f.Scale == nil {
		return changes && valid
	}
	for _, end := range []float64{f.Scale.Mild, f.Scale.Severe} {
		if _, valid := f.try(r, end); !valid {
			return false
		}
	}
	return true
}

// try compares a rig with the fault with the one without, and checks it against the rules of
// a rig. A fault of the link always changes something.
func (f *Entry) try(r *plant.Rig, number float64) (changes, valid bool) {
	faulted := *r
	values := f.Values(r, number)
	for _, target := range slices.Sorted(maps.Keys(values)) {
		f, ok := plant.FindField(target)
		if !ok {
			changes = true
			continue
		}
		if f.Set(&faulted, values[target]) != nil {
			return false, false
		}
		changes = changes || f.Text(&faulted) != f.Text(r)
	}
	_, err := plant.Validate(&faulted)
	return changes, err == nil
}

// The symptoms that faults share.
const (
	weakBrake  = "a brake with too little torque"
	lightLoad  = "a load too light"
	heavyLoad  = "a load too heavy"
	noAnswer   = "no answer from the other side"
	notClosed  = "a brake whose closing is not detected"
	stiffGuide = "more friction in a move"
)
