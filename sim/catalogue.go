package sim

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"holdbench/plant"
)

// CatalogueFault is a fault that people know by a name. It says what is set; when it
// comes is for a scenario to say.
type CatalogueFault struct {
	Name  string // short and hyphenated: lining-worn
	What  string // what it is on a machine, one sentence
	Group string // one of Groups

	// Set holds the targets whose text is the same on every rig; see FaultTargets.
	Set map[string]string
	// Severity is the one target that is set by a number, on top of Set; nil if the
	// fault is there or not.
	Severity *Scale

	// Settings are values of a scenario's set, for what somebody typed into the sequence:
	// they are there before a run and stay; nil for most. Keys are those of [Settings].
	Settings func(r *plant.Rig) map[string]string

	Lasts     time.Duration         // how long it usually lasts, 0 for good
	Lasting   bool                  // nothing takes it back within a run
	FromStart bool                  // makes sense from the start of a run only
	Needs     func(*plant.Rig) bool // what a rig must have; nil: any rig will do

	// Looks is shared by faults that a controller cannot tell apart by its signals,
	// if only their severities fit; empty if there is no other like it.
	Looks   string
	Noticed string // which side could notice it, and how, one sentence
	Remedy  string // name of one of Remedies
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
func Catalogue() []CatalogueFault {
	return slices.Concat(
		brakeForceFaults(), brakeMotionFaults(), loadFaults(), wayFaults(), driveFaults(),
		pressFaults(), positionFaults(), currentFaults(), feedbackFaults(), linkFaults(), partnerFaults(),
		operatorFaults(), proofFaults(), judgeFaults(), requirementFaults(), placeFaults(),
	)
}

// FindFault finds a fault of the catalogue; the error names the nearest one.
func FindFault(name string) (CatalogueFault, error) {
	list := Catalogue()
	if i := slices.IndexFunc(list, func(f CatalogueFault) bool { return f.Name == name }); i >= 0 {
		return list[i], nil
	}
	return CatalogueFault{}, fmt.Errorf("there is no fault %q%s", name, suggest(name, FaultNames()))
}

// FaultNames lists the names of the catalogue.
func FaultNames() []string {
	var names []string
	for _, f := range Catalogue() {
		names = append(names, f.Name)
	}
	return names
}

// WholeRun is whether the fault is there from the start of a run or not at all.
func (f *CatalogueFault) WholeRun() bool { return f.FromStart || f.Settings != nil }

// Usual is the number of the usual severity, 0 for a fault without a scale.
func (f *CatalogueFault) Usual() float64 {
	if f.Severity == nil {
		return 0
	}
	return f.Severity.Usual
}

// Values is what the fault sets on a rig, ready for [Fault]. The number is that of its
// scale, see [Scale.Between]; it is of no account for a fault without one.
func (f *CatalogueFault) Values(r *plant.Rig, number float64) map[string]string {
	set := make(map[string]string, len(f.Set)+1)
	for target, text := range f.Set {
		set[target] = text
	}
	if f.Severity != nil {
		set[f.Severity.Target] = f.Severity.Text(r, number)
	}
	return set
}

// At is the fault at a moment, as bad as the number says and for as long as it usually
// lasts. One for the whole run comes at its start. It is no more than a part of a fault that
// has Settings, and nothing at all of one that has nothing else; see [NamedFault.AddTo].
func (f *CatalogueFault) At(r *plant.Rig, number float64, when Moment) Fault {
	if f.WholeRun() {
		when = Moment{}
	}
	return Fault{When: &when, For: f.Lasts, Set: f.Values(r, number)}
}

// FitsCase is whether the fault makes sense in a case: it fits the rig, and its settings are
// of parameters that the sequence has and takes.
func (f *CatalogueFault) FitsCase(c *Case) bool {
	if !f.Fits(&c.Rig) {
		return false
	}
	if f.Settings == nil {
		return true
	}
	s := c.Scenario
	s.Faults, s.Lesson = nil, nil
	NamedFault{Fault: *f, Number: f.Usual()}.AddTo(&s, &c.Rig)
	n, _ := c.With(s)
	return n != nil
}

// Fits is whether the fault makes sense on a rig: the rig has what it needs, the fault
// changes something there, and the rig is still one from the mild end to the severe one.
func (f *CatalogueFault) Fits(r *plant.Rig) bool {
	if f.Needs != nil && !f.Needs(r) {
		return false
	}
	changes, valid := f.tryOn(r, f.Usual())
	changes = changes || f.Settings != nil
	if !changes || !valid || f.Severity == nil {
		return changes && valid
	}
	for _, end := range []float64{f.Severity.Mild, f.Severity.Severe} {
		if _, valid := f.tryOn(r, end); !valid {
			return false
		}
	}
	return true
}

// tryOn holds a rig with the fault in it against the one without, and against the rules
// of a rig. A fault of the link always changes something.
func (f *CatalogueFault) tryOn(r *plant.Rig, number float64) (changes, valid bool) {
	faulted := *r
	fields := plant.Fields(&faulted)
	values := f.Values(r, number)
	for _, target := range sortedKeys(values) {
		i := slices.IndexFunc(fields, func(f plant.Field) bool { return f.Path == target })
		if i < 0 {
			changes = true
			continue
		}
		before := fields[i].Text()
		if fields[i].Set(values[target]) != nil {
			return false, false
		}
		changes = changes || fields[i].Text() != before
	}
	wrong := func(p plant.Problem) bool { return !p.Warning }
	return changes, !slices.ContainsFunc(plant.Validate(&faulted), wrong)
}

// hasArm is what an arm needs.
func hasArm(r *plant.Rig) bool { return r.Load.ArmMM > 0 }

// figure writes a number with four digits: what people would type.
func figure(x float64) string { return strconv.FormatFloat(x, 'g', 4, 64) }

// asItIs sets the number itself.
func asItIs(_ *plant.Rig, number float64) string { return figure(number) }

// asSeconds sets the number as a duration in s.
func asSeconds(_ *plant.Rig, number float64) string { return duration(number) }

// asCount sets the number as a whole one.
func asCount(_ *plant.Rig, number float64) string {
	return strconv.Itoa(int(max(-mostCount, min(mostCount, math.Round(number)))))
}

// mostCount is more than anything that is counted, and still a whole number.
const mostCount = 1e9

// timesOf sets the number times a value of the rig.
func timesOf(value func(*plant.Rig) float64) func(*plant.Rig, float64) string {
	return func(r *plant.Rig, number float64) string { return figure(number * value(r)) }
}

// timesPeriod sets the number times a duration of the rig.
func timesPeriod(value func(*plant.Rig) time.Duration) func(*plant.Rig, float64) string {
	return func(r *plant.Rig, number float64) string { return duration(number * value(r).Seconds()) }
}

// onTopOf sets the number on top of a value of the rig.
func onTopOf(value func(*plant.Rig) float64) func(*plant.Rig, float64) string {
	return func(r *plant.Rig, number float64) string { return figure(value(r) + number) }
}

// longest is more s than any time may be, and still a duration.
const longest = 2e9

// duration writes a time in s to the microsecond.
func duration(seconds float64) string {
	seconds = max(-longest, min(longest, seconds))
	d := time.Duration(math.Round(seconds*1e6)) * time.Microsecond
	return strings.ReplaceAll(d.String(), "µ", "u")
}

func loadTorque(r *plant.Rig) float64 { return plant.Derive(r).LoadTorqueNM }

func hasPartner(r *plant.Rig) bool { return r.Partner.InertiaKGM2 > 0 }
