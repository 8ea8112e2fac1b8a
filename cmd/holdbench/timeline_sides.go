package main

import (
	"fmt"
	"strings"

	"holdbench/sim"
)

// fact is one line of one side.
type fact struct{ name, value string }

// sides sets what the sequence says beside what the plant knows.
func (v *timeline) sides() {
	v.section("outcome")
	left, right := v.sequenceFacts(), v.plantFacts()
	leftWidth := 32
	v.line(v.style.sequence.Render(pad("the sequence says", leftWidth)), v.style.plant.Render("the plant knows"))
	for i := range max(len(left), len(right)) {
		v.line(pad(factAt(left, i, 10), leftWidth), factAt(right, i, 12))
	}
	v.blank()
	meaning := string(v.result.Class) + ": " + classMeaning(v.result)
	v.out.WriteString(paragraph(meaning, "", v.width))
}

func factAt(facts []fact, i, nameWidth int) string {
	if i >= len(facts) {
		return ""
	}
	return pad(facts[i].name, nameWidth) + facts[i].value
}

func (v *timeline) sequenceFacts() []fact {
	r := v.result
	return []fact{
		{"end", r.End},
		{"in state", cleanLine(r.EndedIn)},
		{"verdict", r.Verdict},
		{"cause", orNothing(cleanLine(r.Cause))},
		{"after", seconds(r.DurationS)},
	}
}

func (v *timeline) plantFacts() []fact {
	r, rig := v.result, &v.ready.Rig
	facts := []fact{
		{"class", v.classWord()},
		{"capacity", v.capacityText()},
		{"", v.capacityBar()},
		{"load sank", fmt.Sprintf("%s mm of %s mm allowed", figure(tidy(r.LoadDropMM)), figure(rig.Test.DropLimitMM))},
		{"brake slip", fmt.Sprintf("%s deg, slip work %s J", figure(tidy(r.SlipDeg)), figure(tidy(r.SlipWorkJ)))},
		{"peak torque", fmt.Sprintf("%s N·m, ceiling %s N·m", figure(tidy(r.PeakTorqueNM)), figure(rig.Judge.CeilingNM))},
		{"brake temp", fmt.Sprintf("%.1f °C", r.BrakeTempC)},
	}
	for i := range facts {
		facts[i].value = v.plain(facts[i].value)
	}
	return facts
}

// tidy keeps three digits, and takes what is too small to speak of for nothing.
func tidy(x float64) float64 {
	if size(x) < 1e-3 {
		return 0
	}
	return roundTo(x)
}

func (v *timeline) classWord() string {
	word := string(v.result.Class)
	switch v.result.Class {
	case sim.Missed:
		return v.style.bad.Render(v.glyphs().bad + " " + word)
	case sim.FalseAlarm:
		return v.style.doubtful.Render(word)
	}
	return word
}

// capacityText holds what the brake can bear against what the test demands of it.
func (v *timeline) capacityText() string {
	r := v.result
	text := fmt.Sprintf("%s of %s N·m required", figure(tidy(r.BrakeCapacityNM)), figure(tidy(r.RequiredTorqueNM)))
	if r.RequiredTorqueNM > 0 {
		text += fmt.Sprintf(", %+.0f %%", 100*(r.BrakeCapacityNM/r.RequiredTorqueNM-1))
	}
	return text
}

// capacityBar puts the requirement in the middle of the bar, so that a brake which
// is not fit ends left of it.
func (v *timeline) capacityBar() string {
	const half = 10
	r := v.result
	if r.RequiredTorqueNM <= 0 {
		return ""
	}
	share := r.BrakeCapacityNM / r.RequiredTorqueNM
	left, right := v.bar(share, half), v.bar(share-1, half)
	style := v.style.good
	if share < 1 {
		style = v.style.bad
	}
	return style.Render(left) + "|" + style.Render(right)
}

// classMeaning says in one sentence what a class tells about the test, and where the
// sequence made something else of it.
func classMeaning(r *sim.Result) string {
	text := strings.TrimSpace(string(r.Class))
	for _, m := range classMeanings() {
		if m.class == r.Class {
			text = m.text
		}
	}
	switch proof := r.Class == sim.SoundPass || r.Class == sim.Missed; {
	case r.End == "pass" && !proof:
		return text + " The sequence passed it all the same: look at the obligations."
	case r.End == "fail" && r.Class == sim.SoundPass:
		return text + " The sequence failed for another reason, see the cause; the judge's proof stands."
	}
	return text
}

type classNote struct {
	class sim.Class
	text  string
}

func classMeanings() []classNote {
	return []classNote{
		{sim.SoundPass, "the judge gave its proof, the brake is fit and the load was held."},
		{sim.Missed, "the judge gave its proof to a brake that is not fit or did not hold the load. The dangerous kind."},
		{sim.Caught, "the brake is not fit, and it got no proof. This is what the test is for."},
		{sim.Refused, "the brake is fit, and something else kept it from a proof. Safe; find out what it was."},
		{sim.FalseAlarm, "the brake is fit and nothing else was wrong, and yet there is no proof. Too many of these and somebody switches the test off."},
	}
}
