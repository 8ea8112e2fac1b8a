package identify

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/plant/recording"
)

// The choices of when a value contradicts that of the rig.
const (
	otherwise  = 1.3 // factor from which a value is another one than that of a data sheet or drawing
	timesApart = 2.0 // the same of a time of the brake, which its maker gives as a bound
	leastScale = 1.2 // factor from which a scale is wrong by which at least three values go
	massShare  = 0.3 // of the load in the inertia, from which that goes with the moving mass
	farOff     = 7.0 // factor of a scale from which the recordings are refused: no data sheet is wrong by it
)

// The signals whose scale can be wrong.
const (
	scaleOfCurrent = iota // or of the torque in its place
	scaleOfTransducer
	scaleOfPosition
	scaleOfTime
	scales
)

// compared is a value beside that of the rig, with the powers by which it goes with the scales of the signals.
type compared struct {
	Value
	powers   [scales]float64
	apart    float64 // factor within which it is that of the rig
	decisive bool    // it goes with nothing but a scale, or the rig is wrong
	byMass   bool    // another moving mass changes it in nearly the same way
}

func (c *compared) ratio() float64 { return c.Value.Value / c.Was }

// differs is whether a value is another one than that of the rig.
func (c *compared) differs() bool {
	return math.Abs(math.Log(c.ratio())) > math.Log(c.apart) && (c.Was < c.Low || c.Was > c.High)
}

func (c *compared) text() string {
	name, unit, scale := c.Path, c.Unit, 1.0
	if name == "" {
		name = c.Name
	}
	if unit == "s" {
		unit, scale = "ms", 1000
	}
	return problem.Text("%s %.4g %s (rig %.4g)", name, scale*c.Value.Value, unit, scale*c.Was)
}

// comparisons are the values that a rig has from data sheets and drawings. By the equations of motion, a current that is
// read c times too large makes all torques c times too large, a position p times, and a time t times:
//
//	load torque, torques of the brake ~ c    inertia = torque/acceleration ~ c t²/p    times ~ t
//
// A weighed mass determines the torques, and the torque constant goes with 1/c. A transducer that is read m times too large
// makes torques and torque constant m times too large.
func (r *Result) comparisons(f *fitted, g *gathered) []compared {
	weighed, transduced := g.massKG > 0, f.m.unknowns[transducer].free
	torque := [scales]float64{scaleOfCurrent: 1}
	switch {
	case weighed:
		torque = [scales]float64{}
	case transduced:
		torque = [scales]float64{scaleOfTransducer: 1}
	}
	rigid := torque
	rigid[scaleOfPosition], rigid[scaleOfTime] = -1, 2
	constant := [scales]float64{scaleOfCurrent: -1}
	if transduced && !weighed {
		constant[scaleOfTransducer] = 1
	}
	var list []compared
	for _, v := range r.Values {
		if strings.HasPrefix(v.Path, "brake.") && g.rig.Brake2.Exists() { // it is that of both brakes
			continue
		}
		if v.Standing != Fitted || !(v.Value > 0) || !(v.Was > 0) {
			continue
		}
		c := compared{Value: v, apart: otherwise}
		switch {
		case strings.HasPrefix(v.Name, loadTorqueName) && !weighed, v.Path == "brake.sliding_nm", v.Path == "brake.static_nm":
			c.powers, c.byMass = torque, v.Path == ""
		case v.Name == inertiaName:
			c.powers, c.byMass = rigid, f.loadShare() > massShare
		case v.Path == "motor.torque_constant_nm_per_rms_a":
			c.powers, c.decisive = constant, true
		case v.Path == "brake.response_delay", v.Path == "brake.rise_time", v.Path == "brake.release_time":
			c.powers[scaleOfTime], c.apart = 1, timesApart
		default:
			continue
		}
		list = append(list, c)
	}
	return list
}

// loadShare is the share of the load in the inertia at the motor shaft, by the rig.
func (f *fitted) loadShare() float64 {
	d := plant.Derive(f.m.rig)
	return (d.InertiaKGM2 - f.m.rig.Motor.InertiaKGM2) / d.InertiaKGM2
}

// explanation is a wrong scale of one signal by which all values are those of the rig.
type explanation struct {
	of       int
	scale    float64 // values of the signal over the right ones
	evidence []*compared
	misfit   float64 // greatest factor that remains, logarithm
	others   []*explanation
}

// certain is whether more than one value goes with the scale, and not with the moving mass alone.
func (e *explanation) certain() bool {
	beside := slices.ContainsFunc(e.evidence, func(c *compared) bool { return !c.byMass })
	return e.evidence[0].decisive || len(e.evidence) > 1 && beside
}

// near is whether a rig can be wrong by the same factor in several values that are not measured.
func (e *explanation) near() bool {
	const factor = 2.0
	return e.scale < factor && e.scale > 1/factor && !e.evidence[0].decisive
}

func (e *explanation) far() bool { return e.scale > farOff || e.scale < 1/farOff }

// explain finds the wrong scale that explains most values, and others that do as well; nil if none explains them all.
func explain(list []compared) *explanation {
	var found []*explanation
	for of := range scales {
		if e := (&explanation{of: of}); e.by(list) {
			found = append(found, e)
		}
	}
	if len(found) == 0 {
		return nil
	}
	slices.SortStableFunc(found, func(a, b *explanation) int {
		return cmp.Or(cmp.Compare(len(b.evidence), len(a.evidence)), cmp.Compare(a.misfit, b.misfit))
	})
	best := found[0]
	for _, e := range found[1:] {
		if len(e.evidence) == len(best.evidence) {
			best.others = append(best.others, e)
		}
	}
	return best
}

// by finds the scale as the mean of the logarithms, and whether it makes all values those of the rig.
func (e *explanation) by(list []compared) bool {
	sum, squares := 0.0, 0.0
	for i := range list {
		power := list[i].powers[e.of]
		sum += power * math.Log(list[i].ratio())
		squares += power * power
		if power != 0 {
			e.evidence = append(e.evidence, &list[i])
		}
	}
	if squares == 0 || math.Abs(sum/squares) < math.Log(leastScale) {
		return false
	}
	e.scale = math.Exp(sum / squares)
	for i := range list {
		left := math.Abs(math.Log(list[i].ratio()) - list[i].powers[e.of]*sum/squares)
		if left > math.Log(list[i].apart) {
			return false
		}
		e.misfit = max(e.misfit, left)
	}
	return true
}

// warnOfScales says which values are others than those of the rig, and whether a wrong unit or scale of a signal explains
// it. The error is of a scale that is wrong by far.
func (r *Result) warnOfScales(f *fitted, g *gathered, rec *recording.Recording, accept bool) error {
	list := r.comparisons(f, g)
	var differ []string
	for i := range list {
		if list[i].differs() && list[i].apart == otherwise {
			differ = append(differ, list[i].text())
		}
	}
	e := explain(list)
	if len(differ) == 0 && (e == nil || len(e.evidence) < 3) {
		return nil
	}
	if e == nil {
		if far := farValues(list); len(far) > 0 && !accept {
			return problem.Errorf("%s: more than a factor of %g from the rig: %s. No data sheet is wrong by that: %s; --accept-doubts uses it as it is", g.tracks[0].name, farOff, strings.Join(far, ", "), g.toCheck())
		}
		r.add("values differ from those of the rig: %s. No wrong scale of one signal explains it: correct the rig there, or record the axis with the load that the rig has", strings.Join(differ, ", "))
		return nil
	}
	text := e.text(g.rig, rec)
	if e.certain() && e.far() && !accept {
		return errors.New(g.tracks[0].name + ": " + text + "; --accept-doubts uses it as it is")
	}
	r.add("%s", text)
	return nil
}

// farValues are those that are far off those of the rig. A load torque is none of them: that of a counterbalanced axis is a
// small difference, and times of a brake are bounds.
func farValues(list []compared) []string {
	var far []string
	for i := range list {
		c := &list[i]
		if c.apart == otherwise && c.differs() && !strings.HasPrefix(c.Name, loadTorqueName) && math.Abs(math.Log(c.ratio())) > math.Log(farOff) {
			far = append(far, c.text())
		}
	}
	return far
}

// toCheck is what is likely wrong where values are far off and no scale of one signal explains it.
func (g *gathered) toCheck() string {
	if g.massKG > 0 {
		return problem.Text("check --mass-kg %.6g (load.mass_kg of the rig is %.4g), the units and scales of the signals, and that the rig is that of the axis", g.massKG, g.rig.Load.MassKG)
	}
	return "check the units and scales of the signals, and that the rig is that of the axis"
}

// text is an explanation for people, with the flag that likely mends it.
func (e *explanation) text(rig *plant.Rig, rec *recording.Recording) string {
	var values []string
	for _, c := range e.evidence {
		values = append(values, c.text())
	}
	signal, column := e.signal(rec)
	likely := "no usual unit explains it"
	if text := e.ratio(rig); text != "" {
		likely = text
	}
	if column == nil {
		likely = strings.Replace(likely, "check the unit of the column and", "check its unit, --units time=UNIT, or", 1)
	} else if text := column.Rescaled(1 / e.scale); text != "" {
		likely = "it is " + text
	}
	if !e.certain() {
		var other strings.Builder
		for _, o := range e.others {
			name, _ := o.signal(rec)
			fmt.Fprintf(&other, ", or that of %s, %.3g times", name, o.scale)
		}
		return problem.Text("values differ from those of the rig: %s. Either the rig is wrong there, or the scale of %s: its values would be %.3g times the right ones%s; %s. The recordings cannot tell which", strings.Join(values, ", "), signal, e.scale, other.String(), likely)
	}
	wrong := "is likely wrong: its values are"
	if e.near() {
		wrong = "may be wrong, or the rig is wrong in all that follows: the values of the signal would be"
	}
	return problem.Text("the scale of %s %s about %.3g times the right ones, by %s; %s", signal, wrong, e.scale, strings.Join(values, ", "), likely)
}

// signal names the signal of a scale, with its column; nil of the time.
func (e *explanation) signal(rec *recording.Recording) (string, *recording.Channel) {
	of := [scales][]string{
		scaleOfCurrent: {"current_rms_a", "current_amp_a", "torque_nm"}, scaleOfTransducer: {"torque_motor_nm"},
		scaleOfPosition: {"angle_rad", "position_mm", "position_deg"},
	}[e.of]
	for _, name := range of {
		if c := rec.Channel(name); c != nil {
			return fmt.Sprintf("%s (column %q)", name, c.Column), c
		}
	}
	return "the time", nil
}

// ratio names a ratio that is none of units.
func (e *explanation) ratio(rig *plant.Rig) string {
	n := rig.Transmission.GearRatio
	known := []struct {
		of     int
		factor float64
		text   string
	}{
		{scaleOfPosition, n, "it is near the gear ratio: the position of the motor may be in place of that of the load"},
		{scaleOfPosition, 1 / n, "it is near 1 over the gear ratio: the position of the load may be in place of that of the motor"},
		{scaleOfPosition, 2 * math.Pi, "it is near 2π: turns may be in place of radians, or a lead in place of a travel per radian"},
		{scaleOfPosition, 0.5 / math.Pi, "it is near 1/2π: radians may be in place of turns"},
		{scaleOfPosition, 1 / 25.4, "it is near 1/25.4: the column may be in inches"},
		{scaleOfCurrent, n, "it is near the gear ratio: the torque of the load may be in place of that of the motor"},
		{scaleOfCurrent, 1 / n, "it is near 1 over the gear ratio: the torque of the motor may be in place of that of the load"},
	}
	for _, k := range known {
		if k.of == e.of && k.factor != 1 && recording.Near(e.scale, k.factor) {
			return k.text
		}
	}
	for _, power := range []float64{10, 100, 1000, 1e6, 60} {
		switch {
		case recording.Near(e.scale, power):
			return problem.Text("it is near %g: check the unit of the column and its scale in --columns", power)
		case recording.Near(e.scale, 1/power):
			return problem.Text("it is near 1/%g: check the unit of the column and its scale in --columns", power)
		}
	}
	return ""
}
