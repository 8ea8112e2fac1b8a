// Package sizing works out what a brake test of a rig needs: load torque over the
// travel, test torque, press torque and current by direction, ceiling, window, dwell and
// times, each with its formula, its inputs, its source and the room to its bounds. It is
// advice for a desk: nothing of it was measured.
//
// Torques are at the motor shaft in N·m. The pull of a load is positive where it sinks,
// press torque where it raises the load. Measured torque is what the current says, torque
// constant times A rms; magnets and the measurement make the true one another.
//
// The judge that is sized is that of the bench: it latches the position of the first scan
// with enough current and compares every later scan of the dwell with it.
package sizing

import (
	"slices"

	"holdbench/plant"
	"holdbench/plant/problem"
)

// Sizing is all that was worked out for a rig.
type Sizing struct {
	Rig      string    `json:"rig"`
	Title    string    `json:"title"`
	Crossed  []string  `json:"crossed"` // bounds that leave no value between them
	Thin     []string  `json:"thin"`    // margins that are there and small, and other warnings
	Unfit    []string  `json:"unfit"`   // keys of rig and sequence whose present value does not fit
	Settings []Setting `json:"settings"`
	Missing  []string  `json:"missing"` // parameters that would be set and that the sequence has not
	Travel   []Place   `json:"travel"`
	Sections []Section `json:"sections"`
}

// Section is the lines of one theme.
type Section struct {
	Name  string `json:"name"`
	Lines []Line `json:"lines"`
}

// Line is one figure with all that it rests on.
type Line struct {
	ID      string   `json:"id"` // stable name, its unit last
	Name    string   `json:"name"`
	Value   float64  `json:"value"`
	Unit    string   `json:"unit"`
	Also    []Input  `json:"also,omitempty"` // the same in other words, such as 3 deg of the arm
	Formula string   `json:"formula"`
	Inputs  []Input  `json:"inputs,omitempty"`
	Source  string   `json:"source"`
	Margin  *Margin  `json:"margin,omitempty"`
	Set     *Present `json:"set,omitempty"` // what rig and sequence have now
	Warning string   `json:"warning,omitempty"`
}

// Input is a symbol of a formula and what was put in for it.
type Input struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

// Margin is the room between a value and the bound that it must not pass.
type Margin struct {
	Bound     float64 `json:"bound"`
	To        string  `json:"to"`       // what the bound is
	Relative  float64 `json:"relative"` // share of the value that is left; below 0 the bound is crossed
	ThinBelow float64 `json:"thin_below"`
}

// Present is a value that rig or sequence have now, held against what it should be.
type Present struct {
	Key   string  `json:"key"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
	Fits  bool    `json:"fits"`
	Says  string  `json:"says"` // what follows from it
}

// Place is the pull of the load at a place of its travel.
type Place struct {
	MM       float64 `json:"mm"`
	ArmDeg   float64 `json:"arm_deg"` // how high an arm points; 0 for a straight axis
	LightNM  float64 `json:"light_nm"`
	NormalNM float64 `json:"normal_nm"`
	HeavyNM  float64 `json:"heavy_nm"`
}

// Setting is a value for rig, judge or sequence, by the key of a scenario's set.
type Setting struct {
	Key   string `json:"key"`
	Value string `json:"value"` // as a document has it
	Now   string `json:"now"`   // empty where rig and sequence say nothing
	Unit  string `json:"unit"`
}

// Params holds the parameters of the sequence by name; true is 1. Those that are not in
// it are not compared and not set.
type Params map[string]float64

// Compute sizes the test of a rig. The rig must have passed [plant.Validate]. The error is a
// [problem.List] of wishes that cannot be, with their names as paths; the path is empty where
// the rig itself is the reason. Bounds that cross are no error but a result.
func Compute(rig *plant.Rig, params Params, w Wishes) (Sizing, error) {
	if err := w.check(rig); err != nil {
		return Sizing{}, err
	}
	f := newFigures(rig, params, w)
	if f.load.worst < leastLoadNM {
		return Sizing{}, problem.List{{Message: "the load pulls with nothing at the motor shaft, anywhere between the stops; must be a load that would sink"}}
	}
	if err := f.needsPress(); err != nil {
		return Sizing{}, err
	}
	s := Sizing{Rig: rig.Rig, Title: rig.Title, Crossed: []string{}, Thin: []string{}, Unfit: []string{}, Travel: f.travel(), Settings: f.settings(), Missing: f.missing()}
	s.Sections = []Section{
		{"load", f.loadLines()},
		{"test torque and brake", f.brakeLines()},
		{"motor torque", f.pressLines()},
		{"current and ceiling", f.currentLines()},
		{"window", f.windowLines()},
		{"dwell", f.dwellLines()},
		{"times and link", f.timeLines()},
		{"interval", f.intervalLines()},
	}
	for _, section := range s.Sections {
		for i := range section.Lines {
			s.warn(&section.Lines[i])
		}
	}
	return s, nil
}

// needsPress refuses a test torque that the load brings to the brake by itself: there is
// nothing to press, and nothing is proven.
func (f *figures) needsPress() error {
	p, l := &f.press, &f.load
	if min(p.needDown, p.needUp) > 0 {
		return nil
	}
	least := (max(l.light, -l.heavy) - l.cover) / l.worst
	return problem.List{problem.At("factor", "is %g, and the resting load alone brings that to the brake; must be above %.4g, and above 1 to prove anything", f.w.Factor, least)}
}

// leastLoadNM is a pull below which there is no gravity load to speak of.
const leastLoadNM = 1e-9

func (s *Sizing) warn(l *Line) {
	if l.Set != nil && !l.Set.Fits && !slices.Contains(s.Unfit, l.Set.Key) {
		s.Unfit = append(s.Unfit, l.Set.Key)
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
