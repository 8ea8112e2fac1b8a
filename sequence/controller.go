package sequence

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// Logic is a functional side before a run, whatever it is made of: a sequence document, a program,
// a client. It is immutable and serves any number of runs at once.
type Logic interface {
	// About is what is known ahead of a run.
	About() *Description
	// With is the same logic with values of its parameters in place of its own. The error holds a
	// [problem.List] in which a wrong value has its [ValuePath].
	With(values Values) (Logic, error)
	// New makes a controller at its beginning; scan is the time between two scans.
	New(scan time.Duration) Controller
}

// Controller is one run of a functional side. It belongs to one goroutine.
type Controller interface {
	// Scan runs one functional scan: it reads the image of the inputs, in which it fills in the
	// time in the state and the kept values, and writes the whole image of the outputs. A [Halt]
	// is the error of a controller that has stopped itself; any other error means that the bench
	// has lost it.
	Scan(in *Inputs, out *Outputs) (Fired, error)
	// StateIndex is the place of the present state in [Description.States].
	StateIndex() int
	// InState is the time since the state was entered; 0 in the scan that entered it.
	InState() time.Duration
	// Cause is the cause of the end, as far as one is known; "" if none is.
	Cause() string
	// Waiting lists what the state waits for; nil where that is not known, and not nil where it waits for
	// nothing. It is for display.
	Waiting() []Condition
	// PowerUp starts the controller anew, as the return of its power does. What it retains over a
	// loss of power stays.
	PowerUp()
	// Copy is a copy that goes on independently; false where the controller cannot be copied.
	Copy() (Controller, bool)
}

// Lister is a controller that can show the piece of its program that runs in the present state.
type Lister interface {
	// Listing are its lines. It allocates: it is for display.
	Listing() []Line
}

// Line is a line of a program, with the present values of the variables in it.
type Line struct {
	Number  int
	Text    string
	Comment bool     // nothing but a comment, or blank
	Values  []string // x = 1.5
}

// Adviser is a logic whose states and parameters have the names that a document beside it says. For one
// that it has not, it says what to write there; empty if it cannot.
type Adviser interface {
	AdviseState(name string) string
	AdviseParam(name string) string
}

// Finisher is a controller that wants to know when its run is over and no scan follows, to give back
// what it holds. One whose run is never finished is not told.
type Finisher interface{ Finish() }

// Live is a logic whose runs may take real time: they cannot be copied or run again to a moment, and
// there is one at a time.
type Live interface{ Live() bool }

// Untold is a logic outside the program that has named no states of its own: its runs may tell those of
// the sequence in whose place it runs, or none at all.
type Untold interface{ Untold() bool }

// Halt is the error of a controller that has stopped itself, as one does at a division by zero: from
// then on it has no power.
type Halt struct {
	Because string // with the place in the program
}

func (h *Halt) Error() string { return "the controller has stopped: " + h.Because }

// StateInfo is what every functional side knows of one of its states.
type StateInfo struct {
	Name       string
	Note       string
	SlipsBrake bool     // travel against the closed brake is meant here
	End        EndKind  // EndNone for a state that the run goes on from
	Kept       []Signal // that it keeps on entry
}

// Description is what is known of a functional side before a run. It is shared and must not be
// written to.
type Description struct {
	Name, Note string
	States     []StateInfo
	Start      int               // place of the state that a run starts in
	PowerUp    int               // place of the state after a loss of power, as far as it is known
	Params     []ParamValue      // in the order of the document
	Roles      map[string]string // parameter by role, in the words of [RoleWords]
	Kept       []Signal          // values kept by states; they read from the image of the inputs
	Causes     []string          // that a run can end with, sorted
	Inputs     []string          // that it reads, in the order of [InputSignals]
	Outputs    []string          // that it sets, in the order of [OutputSignals]
	Asks       []string          // directions in which it asks the judge
	ReadsAngle bool              // it compares the angle of an arm, other than by its cosine; known of documents only
	Source     any               // what it was made from, as data that identify it
}

// OutsideName is the name of a controller outside the program, which runs in the place of a sequence; own
// is the one that it gives, empty if it gives none.
func OutsideName(own string) string { return outsidePrefix + cmp.Or(own, "outside") }

// outsidePrefix begins the names of controllers outside; the names of documents have no spaces.
const outsidePrefix = "controller "

// Outside is whether it is of a controller outside the program.
func (d *Description) Outside() bool { return strings.HasPrefix(d.Name, outsidePrefix) }

// Titled is the name of a functional side with what it is: "sequence reference", or "controller outside".
func Titled(name string) string {
	if strings.HasPrefix(name, outsidePrefix) {
		return name
	}
	return "sequence " + name
}

// Title is the name with what it is, see [Titled].
func (d *Description) Title() string { return Titled(d.Name) }

// InPlace is what is known of a controller outside in the place of this sequence: its states and its
// parameters. The notes are of the document, which does not run, and are left out.
func (d *Description) InPlace(own string) *Description {
	made := *d
	made.Name, made.Note = OutsideName(own), ""
	made.States = slices.Clone(d.States)
	for i := range made.States {
		made.States[i].Note = ""
	}
	return &made
}

// StateNames lists the names of the states in their order.
func (d *Description) StateNames() []string {
	names := make([]string, len(d.States))
	for i := range d.States {
		names[i] = d.States[i].Name
	}
	return names
}

// StateIndex finds a state by name.
func (d *Description) StateIndex(name string) (int, bool) {
	for i := range d.States {
		if d.States[i].Name == name {
			return i, true
		}
	}
	return 0, false
}

// End is how a run ends in a state; EndNone if it goes on there or if there is no such state.
func (d *Description) End(state string) EndKind {
	if i, ok := d.StateIndex(state); ok {
		return d.States[i].End
	}
	return EndNone
}

// ParamNames lists the names of the parameters in their order.
func (d *Description) ParamNames() []string {
	names := make([]string, len(d.Params))
	for i := range d.Params {
		names[i] = d.Params[i].Name
	}
	return names
}

// Param finds a parameter by name.
func (d *Description) Param(name string) (ParamValue, bool) {
	for i := range d.Params {
		if d.Params[i].Name == name {
			return d.Params[i], true
		}
	}
	return ParamValue{}, false
}

// Role is the parameter with a role, in the words of [RoleWords].
func (d *Description) Role(role string) (ParamValue, bool) { return d.Param(d.Roles[role]) }

// Reads is whether it reads an input.
func (d *Description) Reads(input string) bool { return indexOf(d.Inputs, input) >= 0 }

// Sets is whether it sets an output.
func (d *Description) Sets(output string) bool { return indexOf(d.Outputs, output) >= 0 }
