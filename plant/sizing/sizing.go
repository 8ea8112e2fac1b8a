// Package sizing calculates the values of a brake test for a rig: load torque over the
// travel, test torque, press torque and current by direction, ceiling, window, dwell and
// times, each with its formula, inputs, source and the margin to its bounds. It is a
// calculation for the design phase: nothing of it is measured.
//
// Torques are at the motor shaft in N·m. A load torque is positive where it lowers the load,
// a press torque where it raises it. The measured torque is the nominal torque constant times
// the measured current in A rms; the true torque differs by the tolerances of both.
//
// The judge is that of the bench: it latches the position of the first scan with sufficient
// current and compares each later scan of the dwell with it.
package sizing

import (
	"math"
	"slices"

	"holdbench/plant"
	"holdbench/plant/problem"
)

// Sizing is the result for a rig.
type Sizing struct {
	Rig      string     `json:"rig"`
	Title    string     `json:"title"`
	Findings []string   `json:"findings"` // of the first rank: what no value of the test can mend
	Crossed  []string   `json:"crossed"`  // bounds without a permitted value between them
	Thin     []string   `json:"thin"`     // small margins, and other warnings
	Unfit    []string   `json:"unfit"`    // keys of rig and sequence with an unsuitable present value
	Settings []Setting  `json:"settings"`
	Missing  []string   `json:"missing"` // roles whose value would be set, and that no parameter of the sequence has
	Travel   []Position `json:"travel"`
	Sections []Section  `json:"sections"`
}

// Section is the lines of one theme.
type Section struct {
	Name  string `json:"name"`
	Lines []Line `json:"lines"`
}

// Line is one figure with its derivation.
type Line struct {
	ID      string   `json:"id"` // stable name with the unit last
	Name    string   `json:"name"`
	Value   float64  `json:"value"`
	Unit    string   `json:"unit"`
	Also    []Input  `json:"also,omitempty"` // the same figure in other terms, such as the angle of an arm
	Formula string   `json:"formula"`
	Inputs  []Input  `json:"inputs,omitempty"`
	Source  string   `json:"source"`
	Margin  *Margin  `json:"margin,omitempty"`
	Set     *Present `json:"set,omitempty"` // present value of rig or sequence
	Warning string   `json:"warning,omitempty"`
	Finding string   `json:"finding,omitempty"`
}

// Input is a symbol of a formula with its value.
type Input struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

// Margin is the distance of a value from a bound that it must not exceed.
type Margin struct {
	Bound     float64 `json:"bound"`
	To        string  `json:"to"`       // meaning of the bound
	Relative  float64 `json:"relative"` // as a share of the value; below 0 the bound is exceeded
	ThinBelow float64 `json:"thin_below"`
}

// Present is the present value of rig or sequence, compared with the result.
type Present struct {
	Key        string  `json:"key"`
	Value      float64 `json:"value"`
	Unit       string  `json:"unit"`
	Fits       bool    `json:"fits"`
	Assessment string  `json:"assessment"` // assessment
}

// Position is the load torque at a position of the travel.
type Position struct {
	MM        float64 `json:"mm"`
	ArmDeg    float64 `json:"arm_deg"` // angle of an arm above the horizontal; 0 for a linear axis
	MinimumNM float64 `json:"minimum_nm"`
	NominalNM float64 `json:"nominal_nm"`
	MaximumNM float64 `json:"maximum_nm"`
}

// Setting is a value for rig, judge or sequence, by the key of a scenario's set.
type Setting struct {
	Key   string `json:"key"`
	Value string `json:"value"` // in the notation of a document
	Now   string `json:"now"`   // empty without a present value
	Unit  string `json:"unit"`
	// Origin is empty for a value that was worked out; it names the flag that gave the value, or
	// says that the present value is kept.
	Origin string `json:"origin,omitempty"`
}

// Params holds the parameters of the sequence by their role, such as test_torque. Without a
// parameter of a role nothing is compared, and its value cannot be set.
type Params map[string]Param

// Param is a parameter of the sequence: the name that its engineer gave it, and its present
// value; true is 1.
type Param struct {
	Name  string
	Value float64
}

// directions are those in which a sequence tests, by the roles test_down and test_up. Without
// either it tests in both, unless only one of them has a required torque or a press of its own.
func (p Params) directions() (down, up bool) {
	down, up = p.or("test_down", 1) != 0, p.or("test_up", 1) != 0
	ofDown, ofUp := p.knows("down"), p.knows("up")
	return down && (ofDown || !ofUp), up && (ofUp || !ofDown)
}

// knows reports a role that belongs to a direction alone.
func (p Params) knows(direction string) bool {
	for _, role := range []string{"test_", "required_", "press_"} {
		if _, ok := p[role+direction]; ok {
			return true
		}
	}
	_, ok := p["required_"+direction+"_current"]
	return ok
}

func (p Param) key() string { return "sequence." + p.Name }

// Compute sizes the test of a rig, which must have passed [plant.Validate]. The error is a
// [problem.List] of impossible assumptions, with their names as paths; the path is empty where
// the rig itself is the reason. Crossed bounds are not an error but a result.
func Compute(rig *plant.Rig, params Params, w Assumptions) (Sizing, error) {
	if err := w.check(rig); err != nil {
		return Sizing{}, err
	}
	if down, up := params.directions(); !down && !up {
		return Sizing{}, problem.List{{Message: "the sequence tests in neither direction, test_down and test_up are false; must test in at least one"}}
	}
	f := newFigures(rig, params, w)
	if f.load.maximum < minimumLoadNM {
		return Sizing{}, problem.List{{Message: "the load torque at the motor shaft is 0 everywhere between the stops; must be a gravity-loaded axis"}}
	}
	if err := f.needsPress(); err != nil {
		return Sizing{}, err
	}
	s := Sizing{Rig: rig.Rig, Title: rig.Title, Findings: []string{}, Crossed: []string{}, Thin: []string{}, Unfit: []string{}, Travel: f.travel(), Settings: f.settings(), Missing: f.missing()}
	s.Sections = []Section{
		{"load", f.loadLines()},
		{"test torque and brake", f.brakeLines()},
		{"power failure", f.dropLines()},
		{"motor torque", f.pressLines()},
		{"current and ceiling", f.currentLines()},
		{"window", f.windowLines()},
		{"dwell", f.dwellLines()},
		{"times and link", f.timeLines()},
		{"interval", f.intervalLines()},
	}
	if lines := f.thermalLines(); len(lines) > 0 {
		s.Sections = append(s.Sections, Section{"repeated tests", lines})
	}
	for _, section := range s.Sections {
		for i := range section.Lines {
			s.warn(&section.Lines[i])
		}
	}
	return s, nil
}

// needsPress refuses a test torque that does not exceed the load torque: no press is required,
// and the test proves nothing.
func (f *figures) needsPress() error {
	p, l := &f.press, &f.load
	if f.ofTested(math.Min, p.trueDown, p.trueUp) > 0 {
		return nil
	}
	minimum := (f.ofTested(math.Max, l.positionMinimum, -l.positionMaximum) - l.allowance) / l.maximum
	return problem.List{problem.At("factor", "is %g, which the load alone applies to the brake; must be above %.4g, and above 1 for a meaningful test", f.w.Factor, minimum)}
}

// minimumLoadNM is a load torque below which an axis is not gravity-loaded.
const minimumLoadNM = 1e-9

func (s *Sizing) warn(l *Line) {
	if l.Set != nil && !l.Set.Fits && !slices.Contains(s.Unfit, l.Set.Key) {
		s.Unfit = append(s.Unfit, l.Set.Key)
	}
	if l.Finding != "" {
		s.Findings = append(s.Findings, l.Name+": "+l.Finding)
	}
	switch {
	case l.Warning == "":
	case l.crossed():
		s.Crossed = append(s.Crossed, l.Name+": "+l.Warning)
	default:
		s.Thin = append(s.Thin, l.Name+": "+l.Warning)
	}
}

// Line finds a line by its ID.
func (s *Sizing) Line(id string) (Line, bool) {
	for _, section := range s.Sections {
		if i := slices.IndexFunc(section.Lines, func(l Line) bool { return l.ID == id }); i >= 0 {
			return section.Lines[i], true
		}
	}
	return Line{}, false
}
