package runcmd

import (
	"fmt"
	"math"
	"slices"

	"github.com/charmbracelet/lipgloss"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
)

// fact is one line of one side.
type fact struct{ name, value string }

// sides compares the result of the sequence with the true values of the plant.
func (v *timeline) sides() {
	v.Section("outcome")
	left := v.factLines("sequence and judge", v.Style.Sequence, v.sequenceFacts(), 10)
	right := v.factLines("true values", v.Style.Plant, v.plantFacts(), 12)
	v.beside(left, right)
	v.Line()
	meaning := string(v.result.Class) + ": " + command.ClassMeaning(v.result)
	v.Put(page.Paragraph(meaning, "", v.Width))
}

// factLines are the lines of one side below its heading.
func (v *timeline) factLines(heading string, style lipgloss.Style, facts []fact, nameWidth int) []string {
	lines := []string{style.Render(heading)}
	for _, f := range facts {
		lines = append(lines, page.Pad(f.name, nameWidth)+f.value)
	}
	return lines
}

// beside prints two columns beside each other, or below each other where they do not fit.
func (v *timeline) beside(left, right []string) {
	const usual, gap = 32, 2
	width := max(usual, widest(left)+gap)
	if width+widest(right) > v.Width {
		for _, line := range slices.Concat(left, []string{""}, right) {
			v.Line(line)
		}
		return
	}
	for i := range max(len(left), len(right)) {
		v.Line(page.Pad(lineAt(left, i), width), lineAt(right, i))
	}
}

// widest is the width of the widest of some lines, in cells.
func widest(lines []string) int {
	width := 0
	for _, line := range lines {
		width = max(width, page.Cells(line))
	}
	return width
}

func lineAt(lines []string, i int) string {
	if i < len(lines) {
		return lines[i]
	}
	return ""
}

func (v *timeline) sequenceFacts() []fact {
	r := v.result
	return []fact{
		{"end", r.End},
		{"in state", page.CleanLine(r.EndedIn)},
		{"verdict", r.Verdict},
		{"cause", page.OrNothing(page.CleanLine(r.Cause))},
		{"after", page.Seconds(r.DurationS)},
	}
}

func (v *timeline) plantFacts() []fact {
	r, rig := v.result, &v.ready.Rig
	facts := append([]fact{{"class", v.classWord()}}, v.verdictFacts()...)
	facts = append(facts, v.capacityFacts()...)
	facts = append(facts, fact{"load drop", fmt.Sprintf("%s mm of %s mm allowed", page.Figure(tidy(r.LoadDropMM)), page.Figure(rig.Test.DropLimitMM))})
	facts = append(facts, v.powerFailureFacts()...)
	facts = append(facts, []fact{
		{"brake slip", fmt.Sprintf("%s deg, slip work %s J", page.Figure(tidy(r.SlipDeg)), page.Figure(tidy(r.SlipWorkJ)))},
	}...)
	if slip := r.Brake2SlipDeg; slip != nil {
		facts = append(facts, fact{"of brake 2", page.Figure(tidy(*slip)) + " deg, at the motor shaft"})
	}
	facts = append(facts, []fact{
		{"peak torque", fmt.Sprintf("%s N·m, %s", page.Figure(tidy(r.PeakTorqueNM)), v.ceiling())},
		{"brake temp", fmt.Sprintf("%.1f °C", r.BrakeTempC)},
	}...)
	if rig.Support.StiffnessNPerMM > 0 {
		facts = append(facts, fact{"support", fmt.Sprintf("carries %s %% of the load, %s N", page.Figure(tidy(100*r.SupportShare)), page.Figure(tidy(r.SupportN)))})
	}
	for i := range facts {
		facts[i].value = v.Plain(facts[i].value)
	}
	return facts
}

// verdictFacts is whether the judge's verdict agrees with the truth; none without a verdict.
func (v *timeline) verdictFacts() []fact {
	switch right := v.result.VerdictRight; {
	case right == nil:
		return nil
	case *right:
		return []fact{{"judge", "right"}}
	}
	return []fact{{"judge", v.Style.Bad.Render(v.Signs().Bad + " wrong")}}
}

// capacityFacts are the capacities of the brakes at the verdict, and at the end where they differ.
func (v *timeline) capacityFacts() []fact {
	r := v.result
	facts := v.capacityOf("capacity", r.BrakeCapacityNM, r.BrakeCapacityAtEndNM)
	if r.Brake2CapacityNM != nil {
		facts = append(facts, v.capacityOf("of brake 2", *r.Brake2CapacityNM, *r.Brake2CapacityAtEndNM)...)
	}
	return facts
}

func (v *timeline) capacityOf(name string, verdict, end float64) []fact {
	r := v.result
	atVerdict, atEnd := v.capacityText(verdict, r.RequiredTorqueNM), v.capacityText(end, r.RequiredAtEndNM)
	facts := []fact{{name, atVerdict}, {"", v.capacityBar(verdict, r.RequiredTorqueNM)}}
	if atEnd != atVerdict {
		facts = append(facts, fact{"at the end", atEnd}, fact{"", v.capacityBar(end, r.RequiredAtEndNM)})
	}
	return facts
}

// powerFailureFacts are the load drops at a power failure with the brakes as they are at the
// verdict, and at the end where they differ; of two brakes each alone.
func (v *timeline) powerFailureFacts() []fact {
	d := v.result.DropAtPowerFailure
	facts := v.powerFailureOf("power fails", d.AtVerdict, d.AtEnd)
	if d.AtVerdictBrake2 != nil {
		facts = append(facts, v.powerFailureOf("  brake 2", *d.AtVerdictBrake2, *d.AtEndBrake2)...)
	}
	return facts
}

func (v *timeline) powerFailureOf(name string, verdict, end sim.BrakeDrop) []fact {
	facts := v.dropFacts(name, verdict)
	if atEnd := v.dropFacts("at the end", end); atEnd[0].value != facts[0].value || atEnd[1].value != facts[1].value {
		facts = append(facts, atEnd...)
	}
	return facts
}

// dropFacts compare a brake at one moment with the drop limit.
func (v *timeline) dropFacts(name string, b sim.BrakeDrop) []fact {
	speed := page.Figure(tidy(v.result.DropAtPowerFailure.SpeedMMS)) + " mm/s"
	return []fact{
		{name, v.dropText("from rest", b.AtRestMM, b.MeetsAtRest)},
		{"", v.dropText("from "+speed, b.FromSpeedMM, b.MeetsFromSpeed)},
	}
}

// dropText compares a drop in mm with its limit; nil is a load that does not stop.
func (v *timeline) dropText(from string, mm *float64, met bool) string {
	if mm == nil {
		return v.Style.Bad.Render(v.Signs().Bad + " load not stopped " + from)
	}
	text := fmt.Sprintf("%s mm of %s mm %s", page.Figure(tidy(*mm)), page.Figure(v.result.DropAtPowerFailure.LimitMM), from)
	if met {
		return text
	}
	return v.Style.Warning.Render(v.Signs().Bad + " " + text)
}

// tidy keeps three digits, and takes negligible values for zero.
func tidy(x float64) float64 {
	if math.Abs(x) < 1e-3 {
		return 0
	}
	return page.Round(x)
}

func (v *timeline) classWord() string {
	word := string(v.result.Class)
	switch v.result.Class {
	case sim.Missed:
		return v.Style.Bad.Render(v.Signs().Bad + " " + word)
	case sim.FalseAlarm:
		return v.Style.Warning.Render(word)
	}
	return word
}

// capacityText compares the capacity of a brake with the required torque, both in N·m.
func (v *timeline) capacityText(capacity, required float64) string {
	text := fmt.Sprintf("%s of %s N·m required", page.Figure(tidy(capacity)), page.Figure(tidy(required)))
	if required > 0 {
		text += fmt.Sprintf(", %+.0f %%", 100*(capacity/required-1))
	}
	return text
}

// capacityBar has the required torque in the middle of the bar.
func (v *timeline) capacityBar(capacity, required float64) string {
	const half = 10
	if required <= 0 {
		return ""
	}
	share := capacity / required
	left, right := v.Bar(share, half), v.Bar(share-1, half)
	style := v.Style.Good
	if share < 1 {
		style = v.Style.Bad
	}
	return style.Render(left) + "|" + style.Render(right)
}

// ceiling is the judge's, as far as the run kept it.
func (v *timeline) ceiling() string {
	const key = "judge.ceiling_nm"
	for _, f := range v.ready.Scenario.Faults {
		if _, changed := f.Set[key]; changed {
			return "ceiling changed by a fault"
		}
	}
	return "ceiling " + page.Figure(v.ready.Rig.Judge.CeilingNM) + " N·m"
}
