package sizecmd

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/problem"
	"holdbench/plant/sizing"
)

// sizePage is the page of a sizing: warnings, settings, load over the travel, then each line.
type sizePage struct {
	page.Sheet
	*sizedRig
	short bool
}

// scope states the validity of the calculation.
const scope = "Calculated from the data of the rig; nothing is measured. Torques are at the motor shaft; positive raises the load."

func (v *sizePage) text() string {
	if v.short {
		return v.shortText()
	}
	r := v.result
	v.Line(v.Style.Strong.Render(page.CleanLine(r.Rig)))
	v.wrapped(v.show(page.Clean(r.Title)))
	v.Line(v.Style.Faint.Render("sequence " + page.CleanLine(v.ready.Sequence.Name)))
	for _, key := range slices.Sorted(maps.Keys(v.ready.Scenario.Set)) {
		v.wrapped("set " + page.CleanLine(key) + " = " + page.CleanLine(v.ready.Scenario.Set[key]))
	}
	v.Line()
	v.wrapped(v.show(scope))
	v.verdicts()
	v.settings()
	v.travel()
	for _, section := range r.Sections {
		v.Section(section.Name)
		for i := range section.Lines {
			v.figure(&section.Lines[i])
		}
	}
	v.symbols()
	v.Line()
	v.Put(caution.Short)
	return v.String()
}

func (v *sizePage) wrapped(text string) { v.Put(page.Paragraph(text, "", v.Width)) }

// below wraps what a figure rests on below it, in a style.
func (v *sizePage) below(style lipgloss.Style, text string) {
	const margin = "    "
	for _, line := range page.Wrap(v.show(text), v.Width-page.Cells(margin)) {
		v.Line(margin, style.Render(line))
	}
}

// show is what a screen without our signs can show, the letters of formulas among them.
func (v *sizePage) show(text string) string {
	if !v.ASCII {
		return text
	}
	return v.Plain(strings.NewReplacer("Σ", "sum", "σ", "s", "τ", "tau", "α", "alpha", "φ", "phi", "π", "pi", "η", "eta", "ϑ", "theta", "·", "*", "N·m", "Nm").Replace(strings.ReplaceAll(text, "N·m", "Nm")))
}

// verdicts are the crossed bounds, the warnings and the unsuitable present values.
func (v *sizePage) verdicts() {
	g, r := v.Signs(), v.result
	v.Line()
	for _, text := range r.Findings {
		v.marked(v.Style.Bad, g.Bad+" finding  ", text)
	}
	for _, text := range r.Crossed {
		v.marked(v.Style.Bad, g.Bad+" crossed  ", text)
	}
	for _, text := range r.Thin {
		v.marked(v.Style.Warning, "! check    ", text)
	}
	if len(r.Unfit) > 0 {
		v.marked(v.Style.Warning, g.Bad+" set now  ", "unsuitable by this calculation: "+strings.Join(r.Unfit, ", "))
	}
	if len(r.Findings)+len(r.Crossed)+len(r.Thin) == 0 {
		v.Line(v.Style.Good.Render(g.Good), " bounds are consistent; no margin is below its limit")
	}
}

// marked puts a sign and a word ahead of a text that goes on below itself.
func (v *sizePage) marked(style lipgloss.Style, mark, text string) {
	for i, line := range page.Wrap(v.show(text), v.Width-page.Cells(mark)) {
		if i == 0 {
			v.Line(style.Render(mark), line)
		} else {
			v.Line(strings.Repeat(" ", page.Cells(mark)), line)
		}
	}
}

// settings are the values to be set, beside those that are there now. What was not worked out
// says where it comes from.
func (v *sizePage) settings() {
	v.Section("to set")
	t := page.Table{Head: []string{"", "now", "to set", "unit"}}
	for _, s := range v.result.Settings {
		now := s.Now
		if now == "" {
			now = "-"
		}
		t.Add(s.Key, now, s.Value, v.show(unitAndOrigin(s)))
	}
	v.Put(t.Text(v.Screen, ""))
	if text := missingText(v.sizedRig); text != "" {
		v.Line()
		v.below(v.Style.Warning, "! "+text)
	}
}

// unitAndOrigin is the unit of a setting, and where the value comes from if it was not worked out.
func unitAndOrigin(s sizing.Setting) string {
	if s.Unit != "" && s.Origin != "" {
		return s.Unit + ", " + s.Origin
	}
	return s.Unit + s.Origin
}

// missingText names what cannot be set, empty if nothing.
func missingText(z *sizedRig) string {
	if len(z.result.Missing) == 0 {
		return ""
	}
	name, roles := page.CleanLine(z.ready.Sequence.Name), strings.Join(z.result.Missing, ", ")
	if len(z.params) == 0 {
		return "sequence " + name + " has no roles, so that none of its parameters can be compared or written; add roles: {test_torque: PARAMETER, ...}, see holdbench help sequence. Not written: " + roles
	}
	return "sequence " + name + " has no parameter with the role: " + roles + "; their values cannot be written. Add the role under roles, or set the value in the sequence itself"
}

// figure is one line: name, value and unit, then what it rests on.
func (v *sizePage) figure(l *sizing.Line) {
	const nameWidth, valueWidth = 27, 11
	unit := l.Unit
	if len(l.Also) > 0 {
		unit = strings.TrimPrefix(unit+", "+alsoText(l.Also), ", ")
	}
	head := page.Pad(v.show(l.Name), nameWidth) + page.PadLeft(page.Figure(l.Value), valueWidth) + " "
	for i, part := range page.Wrap(v.show(unit), v.Width-page.Cells(head)) {
		if i > 0 {
			head = strings.Repeat(" ", page.Cells(head))
		}
		v.Line(head, part)
	}
	v.below(v.Style.Faint, formulaText(l))
	v.below(v.Style.Faint, "source: "+l.Source)
	if l.Margin != nil && l.Margin.Relative >= l.Margin.ThinBelow { // else the warning says it
		v.below(lipgloss.NewStyle(), marginText(l))
	}
	if l.Set != nil {
		v.below(lipgloss.NewStyle(), v.nowText(l.Set))
	}
	if l.Finding != "" {
		v.below(v.Style.Bad, "! "+l.Finding)
	}
	if l.Warning != "" {
		v.below(v.warningStyle(l), "! "+l.Warning)
	}
}

func (v *sizePage) warningStyle(l *sizing.Line) lipgloss.Style {
	if l.Margin != nil && l.Margin.Relative < 0 {
		return v.Style.Bad
	}
	return v.Style.Warning
}

// formulaText is a formula with its inputs.
func formulaText(l *sizing.Line) string {
	if len(l.Inputs) == 0 {
		return l.Formula
	}
	texts := make([]string, len(l.Inputs))
	for i, in := range l.Inputs {
		texts[i] = strings.TrimSpace(in.Name + " " + page.Figure(in.Value) + " " + in.Unit)
	}
	return l.Formula + "; with " + strings.Join(texts, ", ")
}

// alsoText is a value in other terms.
func alsoText(also []sizing.Input) string {
	texts := make([]string, len(also))
	for i, in := range also {
		texts[i] = strings.TrimSpace(page.Figure(in.Value) + " " + strings.TrimSpace(in.Unit+" "+in.Name))
	}
	return strings.Join(texts, ", ")
}

// marginText is the margin to the nearest bound.
func marginText(l *sizing.Line) string {
	m := l.Margin
	return fmt.Sprintf("margin: %s to %s, %s", roomText(m.Relative), strings.TrimSpace(page.Figure(m.Bound)+" "+l.Unit), m.To)
}

// roomText is a margin in per cent, or as a factor if it is large.
func roomText(x float64) string {
	if x >= 2 {
		return problem.Text("a factor of %.3g", x+1)
	}
	return problem.Text("%.3g %%", 100*x)
}

// nowText is the present value with its assessment.
func (v *sizePage) nowText(p *sizing.Present) string {
	sign := v.Signs().Good
	if !p.Fits {
		sign = v.Signs().Bad
	}
	return fmt.Sprintf("%s now: %s %s: %s", sign, p.Key, strings.TrimSpace(page.Figure(p.Value)+" "+p.Unit), p.Assessment)
}

// sizeSymbols explains the symbols of the formulas.
const sizeSymbols = `m mass, c counterbalance, α inclination, g acceleration of free fall, p feed constant, n gear ratio, r and
φ length and angle of an arm, η efficiency, k torque constant per A rms, t_k and t_i tolerance of torque
constant and measured current, σ and σ_τ standard deviation of position and measured torque, z limit of a
sample in standard deviations, Y rounded sample in increments, N number of samples, u reading of
the judge over that of the drive, i_c continuous current, τ and ϑ thermal time constant and thermal
load of motor and drive.`

func (v *sizePage) symbols() {
	v.Section("symbols")
	v.wrapped(v.show(sizeSymbols))
}

// travel draws the load torque over the travel with the test position.
func (v *sizePage) travel() {
	const label, edges = 24, 13
	positions := v.result.Travel
	columns := v.Width - label - edges
	high := 0.0
	for _, p := range positions {
		high = math.Max(high, math.Max(p.MaximumNM, -p.MinimumNM))
	}
	v.Section("load over the travel")
	v.loadTorque("maximum load, N·m", func(p sizing.Position) float64 { return p.MaximumNM }, high, columns)
	if positions[0].MaximumNM != positions[0].MinimumNM {
		v.loadTorque("minimum load, N·m", func(p sizing.Position) float64 { return p.MinimumNM }, high, columns)
	}
	v.Line(page.Pad("", label), v.testMark(columns))
	first, last := positions[0], positions[len(positions)-1]
	left, right := positionText(first), positionText(last)
	v.Line(page.Pad("", label), v.Style.Faint.Render(v.show(left+strings.Repeat(" ", max(1, columns-page.Cells(left)-page.Cells(right)))+right)))
}

func positionText(p sizing.Position) string {
	if p.ArmDeg == 0 {
		return page.Figure(p.MM) + " mm"
	}
	return fmt.Sprintf("%s mm, %s deg", page.Figure(p.MM), page.Figure(p.ArmDeg))
}

func (v *sizePage) loadTorque(name string, of func(sizing.Position) float64, high float64, width int) {
	const label, rows = 24, 3
	positions := v.result.Travel
	row := make([]page.Column, width)
	low := 0.0
	for i := range row {
		at := int(math.Round(float64(i) / float64(max(width-1, 1)) * float64(len(positions)-1)))
		row[i] = page.Column{Value: of(positions[at]), Filled: true}
		low = math.Min(low, row[i].Value)
	}
	edge := [rows]string{page.Figure(page.Round(high)), "", page.Figure(page.Round(low))}
	for i, drawn := range v.Strip(row, low, high, rows) {
		text := ""
		if i == 0 {
			text = name
		}
		v.Line(page.Pad(v.show(text), label), v.Style.Plant.Render(drawn), " ", v.Style.Faint.Render(edge[i]))
	}
}

// testMark points at the test position under the strip.
func (v *sizePage) testMark(columns int) string {
	line, _ := v.result.Line("test_position_mm")
	positions := v.result.Travel
	low, high := positions[0].MM, positions[len(positions)-1].MM
	at := int(math.Round((line.Value - low) / (high - low) * float64(columns-1)))
	const words = "test position"
	mark := strings.Repeat(" ", at) + "^ " + words
	if at+len(words)+2 > columns {
		mark = strings.Repeat(" ", max(0, at-len(words)-1)) + words + " ^"
	}
	return mark
}
