package catalogue

import (
	"fmt"
	"maps"
	"slices"
	"time"

	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sim"
)

// Entry is a fault that people know by a name. It says what is set; when it
// comes is for a scenario to say.
type Entry struct {
	Name  string // short and hyphenated: lining-worn
	What  string // what it is on a machine, one sentence
	Group string // one of Groups

	// Set holds the targets whose text is the same on every rig; see [sim.Targets].
	Set map[string]string
	// Severity is the one target that is set by a number, on top of Set; nil if the
	// fault is there or not.
	Scale *Scale

	// Settings are values of a scenario's set, for what somebody typed into the sequence:
	// they are there before a run and stay; nil for most. Keys are those of [sim.Settings].
	Settings func(r *plant.Rig) map[string]string

	Duration  time.Duration         // how long it usually lasts, 0 for good
	Permanent bool                  // nothing takes it back within a run
	FromStart bool                  // makes sense from the start of a run only
	Needs     func(*plant.Rig) bool // what a rig must have; nil: any rig will do

	// Looks is shared by faults that a controller cannot tell apart by its signals,
	// if only their severities fit; empty if there is no other like it.
	Symptom    string
	DetectedBy string // which side could notice it, and how, one sentence
	Remedy     string // name of one of Remedies
}

// Scale is the number that says how bad a fault is.
type Scale struct {
	Target              string // what is set
	Unit                string // of the number, for people
	Mild, Usual, Severe float64
	// Text turns the number into the target's text on a rig; many a number is relative
	// to the rig's own value.
	Text func(r *plant.Rig, number float64) string
}

// Between is the number at a share of the way from the mild end, 0, to the severe one, 1.
func (s *Scale) Between(share float64) float64 {
	share = max(0, min(1, share))
	return float64((1-share)*s.Mild) + float64(share*s.Severe) // exact at both ends
}

// The groups of faults.
const (
	BrakeGroup       = "brake"
	MachineGroup     = "machine"
	DriveGroup       = "drive"
	SensorGroup      = "sensors"
	LinkGroup        = "link"
	PartnerGroup     = "partner"
	OperationGroup   = "operation"
	EngineeringGroup = "engineering"
)

// Groups lists the groups in the order of the catalogue.
func Groups() []string {
	return []string{BrakeGroup, MachineGroup, DriveGroup, SensorGroup, LinkGroup, PartnerGroup, OperationGroup, EngineeringGroup}
}

// Catalogue lists every named fault, group by group. A new one is one more entry in the
// slice of its group.
func Entries() []Entry {
	return slices.Concat(
		brakeForceFaults(), brakeMotionFaults(), loadFaults(), obstacleFaults(), driveFaults(),
		pressFaults(), positionFaults(), currentFaults(), feedbackFaults(), linkFaults(), partnerFaults(),
		operatorFaults(), proofFaults(), judgeFaults(), requirementFaults(), placeFaults(),
	)
}

// Find finds a fault of the catalogue; the error names the nearest one.
func Find(name string) (Entry, error) {
	list := Entries()
	if i := slices.IndexFunc(list, func(f Entry) bool { return f.Name == name }); i >= 0 {
		return list[i], nil
	}
	return Entry{}, fmt.Errorf("there is no fault %q; %s", name, sequence.Suggest(name, Names()))
}

// Names lists the names of the catalogue.
func Names() []string {
	var names []string
	for _, f := range Entries() {
		names = append(names, f.Name)
	}
	return names
}

// WholeRun is whether the fault is there from the start of a run or not at all.
func (f *Entry) WholeRun() bool { return f.FromStart || f.Settings != nil }

// Usual is the number of the usual severity, 0 for a fault without a scale.
func (f *Entry) Usual() float64 {
	if f.Scale == nil {
		return 0
	}
	return f.Scale.Usual
}

// Values is what the fault sets on a rig, ready for [sim.Fault]. The number is that of its
// scale, see [Scale.Between]; it is of no account for a fault without one.
func (f *Entry) Values(r *plant.Rig, number float64) map[string]string {
	set := make(map[string]string, len(f.Set)+1)
	maps.Copy(set, f.Set)
	if f.Scale != nil {
		set[f.Scale.Target] = f.Scale.Text(r, number)
	}
	return set
}

// At is the fault at a moment, as bad as the number says and for as long as it usually
// lasts. One for the whole run comes at its start. It is no more than a part of a fault that
// has Settings, and nothing at all of one that has nothing else; see [Selection.AddTo].
func (f *Entry) At(r *plant.Rig, number float64, when sim.Moment) sim.Fault {
	if f.WholeRun() {
		when = sim.Moment{}
	}
	return sim.Fault{When: &when, For: f.Duration, Set: f.Values(r, number)}
}

// What a controller cannot tell apart.
const (
	weakBrake  = "a brake with too little torque"
	lightLoad  = "a load too light"
	heavyLoad  = "a load too heavy"
	noAnswer   = "no answer from the other side"
	notClosed  = "a brake that is not seen to close"
	stiffGuide = "more friction in a move"
)
