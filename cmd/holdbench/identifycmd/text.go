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
	v.notTold()
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

// found is the table of the values that the recordings tell.
func (v *identifyPage) found() {
	v.Section("found")
	t := page.Table{Head: []string{"value", "found", "in the rig", "95 % interval"}}
	for i := range v.result.Values {
		x := &v.result.Values[i]
		if x.Standing == identify.NotTold {
			continue
		}
		was := "-"
		if x.Path != "" {
			was = shown(x.Was, x.Unit)
		}
		value, reach := shown(x.Value, x.Unit), interval(x)
		switch x.Standing {
		case identify.AtLeast:
			value, reach = "≥ "+value, "no slip was seen"
		case identify.AtMost:
			value, reach = "≤ "+value, "not told apart from 0"
		case identify.Weighed:
			reach = "weighed"
		}
		t.Add(named(x), value, was, reach)
	}
	v.Put(t.Text(v.Screen, ""))
	if r := v.result.Ratio; r != nil {
		v.Line()
		text := fmt.Sprintf("A current of %s A rms carries the load of %s N·m: %s N·m per A.", page.Figure(r.HoldingRMSA), page.Figure(r.LoadTorqueNM), page.Figure(r.NMPerRMSA))
		if r.Weighed {
			text += " By the weighed mass this holds whatever torque constant and gain of the transducer are, at the temperature of the recording: in holdbench size, --current-tolerance 0 and a --torque-constant-tolerance for the temperature of the magnets alone."
		} else {
			text += " This is the torque constant of the rig; with --mass-kg it would be measured, gain of the transducer included."
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
	if x.Path != "" && x.Unit != "s" || x.Unit == "" {
		return name(x)
	}
	return name(x) + "," + unit(x)
}

// notTold lists what the recordings do not tell, by the manoeuvre that would.
func (v *identifyPage) notTold() {
	var order []string
	by := map[string][]string{}
	for i := range v.result.Values {
		x := &v.result.Values[i]
		if x.Standing != identify.NotTold {
			continue
		}
		if by[x.By] == nil {
			order = append(order, x.By)
		}
		by[x.By] = append(by[x.By], name(x))
	}
	if len(order) == 0 {
		return
	}
	v.Section("not told by these recordings")
	for _, manoeuvre := range order {
		v.Prose(strings.Join(by[manoeuvre], ", ") + ": " + manoeuvre)
	}
}

// fit says how good the fit is.
func (v *identifyPage) fit() {
	v.Section("fit")
	t := page.Table{Head: []string{"part", "rows", "R²", "residuals/noise", "whiteness p"}}
	for _, p := range v.result.Parts {
		white := "-"
		if !math.IsNaN(p.Whiteness) {
			white = fmt.Sprintf("%.2g", p.Whiteness)
		}
		t.Add(p.Name, strconv.Itoa(p.Rows), fmt.Sprintf("%.6f", p.Determination), fmt.Sprintf("%.3g", p.Factor), white)
	}
	v.Put(t.Text(v.Screen, ""))
	v.Prose(fmt.Sprintf("Condition of the information %.2g. Residuals over noise compare with standstill; a drive that answers the noise of its encoder has more in motion. A small p says that residuals hang together, and that the model is wrong.", v.result.Condition))
	for _, r := range v.result.Related {
		v.Prose(fmt.Sprintf("%s and %s depend on each other: correlation %.3f", r.A, r.B, r.Correlation))
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
