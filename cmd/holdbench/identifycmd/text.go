package identifycmd

import (
	"fmt"
	"math"
	"path/filepath"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/identify"
	"holdbench/plant/problem"
)

// identifyPage is the result for people.
type identifyPage struct {
	page.Sheet
	*identified
}

func (v *identifyPage) text() string {
	v.head()
	for _, w := range v.result.Warnings {
		v.Prose("warning: " + w)
	}
	v.found()
	v.notDetermined()
	v.errors()
	v.fit()
	v.residuals()
	v.Line()
	v.Prose(caution.Short)
	return v.String()
}

func (v *identifyPage) head() {
	v.Line(v.Style.Strong.Render(page.CleanLine(v.rig.Rig)))
	for i, r := range v.recordings {
		v.Prose(fmt.Sprintf("%s: %s in %s, %s", filepath.Base(r.Source), page.Count(len(r.Time), "sample", "samples"),
			page.Seconds(r.Time[len(r.Time)-1]-r.Time[0]), kindsOf(v.result.Pieces[i].Pieces)))
	}
}

// kindsOf counts the pieces of each kind.
func kindsOf(pieces []identify.Piece) string {
	var parts []string
	for _, k := range identify.Kinds() {
		n := 0
		for _, p := range pieces {
			if p.Kind == k {
				n++
			}
		}
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%s %d", k, n))
		}
	}
	if len(parts) == 0 {
		return "no pieces"
	}
	return strings.Join(parts, ", ")
}

// exact is the share of a value below which its interval is none, as of a load torque by the weighed mass.
const exact = 1e-9

// found is the table of the values that the recordings determine.
func (v *identifyPage) found() {
	v.Section("found")
	t := page.Table{Head: []string{"value", "found", "rig", "95 % interval"}}
	for i := range v.result.Values {
		x := &v.result.Values[i]
		if x.Standing == identify.NotDetermined {
			continue
		}
		was := "-"
		if x.InRig() {
			was = shown(x.Was, x.Unit)
		}
		value, reach := shown(x.Value, x.Unit), interval(x)
		if x.Low < 0 && x.High > 0 { // its digits are those of the error
			value = scaled(x, x.Value)
		}
		if x.High-x.Low <= exact*math.Abs(x.Value) {
			reach = "-"
		}
		switch x.Standing {
		case identify.AtLeast:
			value, reach = "≥ "+value, "no slip was seen"
			if x.Path == "guide.breakaway_nm" {
				reach = "not below sliding_nm"
			}
		case identify.AtMost:
			value, reach = "≤ "+value, "not distinguished from 0"
		case identify.Weighed:
			reach = "weighed"
		}
		t.Add(named(x), value, was, reach)
	}
	v.Put(t.Text(v.Screen, ""))
	v.notes()
	if r := v.result.Ratio; r != nil {
		v.Line()
		text := fmt.Sprintf("A current of %s A rms carries the load of %s N·m: %s N·m per A.", page.Figure(r.HoldingRMSA), page.Figure(r.LoadTorqueNM), page.Figure(r.NMPerRMSA))
		switch {
		case r.Weighed:
			text += " By the weighed mass this holds whatever torque constant and gain of the transducer are, at the temperature of the recording: in holdbench size, --current-tolerance 0 and a --torque-constant-tolerance for the temperature of the magnets alone."
		case r.Measured:
			text += " It was measured by a torque transducer: its gain and its zero are in it."
		default:
			text += " This is the torque constant of the rig; with --mass-kg or torque_motor_nm it would be measured, gain of the transducer included."
		}
		v.Prose(text)
	}
}

// name is the path of a value of the rig, or the name of a quantity that follows from several.
func name(x *identify.Value) string {
	if x.Path != "" {
		return x.Path
	}
	return x.Name
}

// shown is a value with four digits; a time in ms.
func shown(x float64, unit string) string {
	if unit == "s" {
		return page.Figure(1000 * x)
	}
	return page.Figure(x)
}

// named is the name with a unit where it does not end with it.
func named(x *identify.Value) string {
	if sign := timeSign(x.Path); sign != "" {
		return x.Path + " (" + sign + ")," + unit(x)
	}
	if x.Path != "" && x.Unit != "s" || x.Unit == "" {
		return name(x)
	}
	return name(x) + "," + unit(x)
}

// notes say what the intervals hold beside the standard errors.
func (v *identifyPage) notes() {
	for i := range v.result.Values {
		if x := &v.result.Values[i]; x.Note != "" {
			v.Line()
			v.Prose(name(x) + ": " + x.Note + ".")
		}
	}
}

// timeSign is the sign of a time of the brake by DIN VDE 0580; empty for other values.
func timeSign(path string) string {
	switch path {
	case "brake.response_delay":
		return "t11"
	case "brake.rise_time":
		return "t12"
	case "brake.release_time":
		return "t2"
	}
	return ""
}

// notDetermined lists what the recordings do not determine, by the manoeuvre that would.
func (v *identifyPage) notDetermined() {
	var order []string
	by := map[string][]string{}
	for i := range v.result.Values {
		x := &v.result.Values[i]
		if x.By == "" || x.Standing != identify.NotDetermined && x.Standing != identify.AtLeast {
			continue
		}
		if by[x.By] == nil {
			order = append(order, x.By)
		}
		what := name(x)
		if x.Standing == identify.AtLeast {
			what += " (a lower bound is)"
		}
		by[x.By] = append(by[x.By], what)
	}
	if len(order) == 0 {
		return
	}
	v.Section("not determined by these recordings")
	for _, manoeuvre := range order {
		v.Prose(strings.Join(by[manoeuvre], ", ") + ": " + manoeuvre)
	}
}

// fit says how good the fit is.
func (v *identifyPage) fit() {
	v.Section("fit")
	t := page.Table{Head: []string{"part", "rows", "R²", "residuals/noise", "p", "residuals are"}}
	for i := range v.result.Parts {
		p := &v.result.Parts[i]
		are := "like noise"
		switch {
		case p.Correlated() || p.Large():
			are = "not like noise"
		case p.Dependent():
			are = "within the noise"
		}
		probability := "-"
		if !math.IsNaN(p.Whiteness) {
			probability = problem.Text("%.2g", p.Whiteness)
		}
		t.Add(p.Name, strconv.Itoa(p.Rows), problem.Text("%.6f", p.Determination), problem.Text("%.3g", p.Factor), probability, are)
	}
	v.Put(t.Text(v.Screen, ""))
	v.Prose("Residuals over noise compare with the noise of the samples: at standstill, and for the motion that of the current in motion. " + identify.NoiseRule() + " Where they are not, the model is wrong, or a piece is.")
	v.Prose("An interval holds the noise of the samples, rounding, and the time between two samples in which a command or a current changes. It does not hold an error of the rig's own values (feed constant, brake.static_nm in brake.wind_up_deg, torque constant without --mass-kg or torque_motor_nm), of the scale of a signal, or of a constant delay between two signals in a stop. A scale that is wrong by less than a factor of 1.2 is not distinguished from an error of the rig.")
}

// errors are the standard errors, and how far the errors of fitted values depend on each other.
func (v *identifyPage) errors() {
	v.Section("standard errors and correlations")
	t := page.Table{Head: []string{"value", "standard error", "of the value"}}
	for i := range v.result.Values {
		x := &v.result.Values[i]
		if x.Standing != identify.Fitted || !(x.Error > exact*math.Abs(x.Value)) {
			continue
		}
		percent := 100 * x.Error / math.Abs(x.Value)
		share := figure(percent, percent) + " %"
		if x.Low < 0 && x.High > 0 {
			share = "-"
		}
		t.Add(named(x), twoDigits(x), share)
	}
	v.Put(t.Text(v.Screen, ""))
	v.Line()
	v.condition()
	v.correlations()
}

// twoDigits is the standard error of a value; a time in ms.
func twoDigits(v *identify.Value) string {
	scale := 1.0
	if v.Unit == "s" {
		scale = 1000
	}
	return figure(scale*v.Error, scale*v.Error)
}

// correlations are the most dependent pairs of fitted values.
func (v *identifyPage) correlations() {
	const most, strong = 6, 0.9
	if len(v.result.Related) == 0 {
		v.Prose("No two fitted values have a correlation of 0.5 or more.")
		return
	}
	t := page.Table{Head: []string{"correlation", "of two fitted values"}}
	for _, r := range v.result.Related[:min(most, len(v.result.Related))] {
		t.Add(fmt.Sprintf("%.3f", r.Correlation), r.A+" and "+r.B)
	}
	v.Put(t.Text(v.Screen, ""))
	if math.Abs(v.result.Related[0].Correlation) >= strong {
		v.Prose("From a correlation of 0.9 on, the pieces hardly tell the two values apart: their intervals are wide, and hold if the rest of the model is right.")
	}
}

// singularFrom is the condition from which double precision leaves no digits.
const singularFrom = 1e15

// condition says which values the pieces leave open.
func (v *identifyPage) condition() {
	names := strings.Join(v.result.Singular, ", ")
	switch c := v.result.Condition; {
	case names != "":
		v.Prose("The equations are singular: the pieces do not determine " + names + ".")
	case !(c < singularFrom):
		v.Prose("The equations are nearly singular: see the values that depend on each other and those with wide intervals.")
	default:
		v.Prose(fmt.Sprintf("Condition of the scaled Fisher information: %s (1 is best; from 1e15 no digits are left). Angles, speeds and moments of single pieces are fitted as well and are in it; how far the values themselves depend on each other, the correlations show.", page.Figure(page.Round(c))))
	}
}

// residuals is a small chart of each part.
func (v *identifyPage) residuals() {
	const height = 8
	for _, c := range v.charts() {
		v.Line()
		for _, line := range c.Text(v.Width, height, v.ASCII) {
			v.Line(line)
		}
	}
}
