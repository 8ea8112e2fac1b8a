package runcmd

import (
	"fmt"
	"math"
	"slices"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
)

// fact is one line of one side.
type fact struct{ name, value string }

// sides compares the result of the sequence with the true values of the plant.
func (v *timeline) sides() {
	v.Section("outcome")
	left, right := v.sequenceFacts(), v.plantFacts()
	leftWidth := 32
	v.Line(v.Style.Sequence.Render(page.Pad("sequence and judge", leftWidth)), v.Style.Plant.Render("true values"))
	for i := range max(len(left), len(right)) {
		v.Line(page.Pad(factAt(left, i, 10), leftWidth), factAt(right, i, 12))
	}
	v.Line()
	meaning := string(v.result.Class) + ": " + command.ClassMeaning(v.result)
	v.Put(page.Paragraph(meaning, "", v.Width))
}

func factAt(facts []fact, i, nameWidth int) string {
	if i >= len(facts) {
		return ""
	}
	return page.Pad(facts[i].name, nameWidth) + facts[i].value
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
	facts := []fact{
		{"class", v.classWord()},
		{"capacity", v.capacityText(r.BrakeCapacityNM)},
		{"", v.capacityBar(r.BrakeCapacityNM)},
		{"load drop", fmt.Sprintf("%s mm of %s mm allowed", page.Figure(tidy(r.LoadDropMM)), page.Figure(rig.Test.DropLimitMM))},
		{"brake slip", fmt.Sprintf("%s deg, slip work %s J", page.Figure(tidy(r.SlipDeg)), page.Figure(tidy(r.SlipWorkJ)))},
		{"peak torque", fmt.Sprintf("%s N·m, ceiling %s N·m", page.Figure(tidy(r.PeakTorqueNM)), page.Figure(rig.Judge.CeilingNM))},
		{"brake temp", fmt.Sprintf("%.1f °C", r.BrakeTempC)},
	}
	if c := r.Brake2CapacityNM; c != nil {
		facts = slices.Insert(facts, 3, fact{"of brake 2", v.capacityText(*c)}, fact{"", v.capacityBar(*c)})
	}
	if slip := r.Brake2SlipDeg; slip != nil {
		facts = append(facts, fact{"brake 2", page.Figure(tidy(*slip)) + " deg of slip, at the motor shaft"})
	}
	if rig.Support.StiffnessNPerMM > 0 {
		facts = append(facts, fact{"support", fmt.Sprintf("carries %s %% of the load, %s N", page.Figure(tidy(100*r.SupportShare)), page.Figure(tidy(r.SupportN)))})
	}
	for i := range facts {
		facts[i].value = v.Plain(facts[i].value)
	}
	return facts
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

// capacityText compares the capacity of a brake with the required torque.
func (v *timeline) capacityText(capacity float64) string {
	r := v.result
	text := fmt.Sprintf("%s of %s N·m required", page.Figure(tidy(capacity)), page.Figure(tidy(r.RequiredTorqueNM)))
	if r.RequiredTorqueNM > 0 {
		text += fmt.Sprintf(", %+.0f %%", 100*(capacity/r.RequiredTorqueNM-1))
	}
	return text
}

// capacityBar has the required torque in the middle of the bar.
func (v *timeline) capacityBar(capacity float64) string {
	const half = 10
	r := v.result
	if r.RequiredTorqueNM <= 0 {
		return ""
	}
	share := capacity / r.RequiredTorqueNM
	left, right := v.Bar(share, half), v.Bar(share-1, half)
	style := v.Style.Good
	if share < 1 {
		style = v.Style.Bad
	}
	return style.Render(left) + "|" + style.Render(right)
}
