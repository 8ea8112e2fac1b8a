package sweepcmd

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
	"holdbench/sim/sweep"
)

// sweepPage is a sweep for people.
type sweepPage struct {
	page.Sheet
	sum *sweep.Summary
}

func (v *sweepPage) text() string {
	v.heading()
	v.spreads()
	if v.sum.Done > 0 {
		switch {
		case v.sum.Rarity != nil:
			v.rarity()
		case len(v.sum.Map) > 0:
			v.maps()
		default:
			v.rates()
			v.curve()
			v.effects()
		}
		v.classes()
		v.examples()
	}
	v.Line()
	v.Prose(sweepCaution)
	return v.String()
}

// sweepCaution ends every sweep; the help of the program has the complete one.
const sweepCaution = `These probabilities are those of the model and of the spreads above. They prove no machine safe: the
machine's risk assessment, the makers' manuals, the standards that apply and qualified people decide on
the test, its torque, its interval and its validation.`

func (v *sweepPage) heading() {
	s := v.sum
	v.Line(v.Style.Strong.Render("sweep of " + page.CleanLine(s.Sweep)))
	v.Line(v.Style.Faint.Render(fmt.Sprintf("rig %s, %s, seed %d", page.CleanLine(s.Rig), page.CleanLine(command.Titled(s.Sequence)), s.Seed)))
	v.Prose(v.extent())
	if stops := s.ControllerStopped; stops != nil {
		v.Prose(page.CleanLine(stops.Text("of " + page.Count(s.Done, "run", "runs"))))
	}
}

// extent is the number of runs, and the reason why there are not more.
func (v *sweepPage) extent() string {
	s := v.sum
	text := page.Count(s.Done, "run", "runs")
	if n := len(s.Map); n > 0 {
		text += fmt.Sprintf(" in %d cells", n)
	}
	if s.Parts > 1 {
		text += fmt.Sprintf(", part %d of %d", s.Part, s.Parts)
	}
	switch {
	case s.Enough:
		text += "; stopped, as both intervals are within ± " + percent(s.Until)
	case s.Until > 0 && s.Whole:
		text += "; not enough: an interval exceeds ± " + percent(s.Until)
	case !s.Whole:
		text += "; incomplete"
	}
	if s.Done > 0 {
		text += fmt.Sprintf("; mean duration of a run %s, longest %s", page.Seconds(s.MeanS), page.Seconds(s.LongestS))
	}
	return text
}

func (v *sweepPage) spreads() {
	v.Section("spreads")
	t := page.Table{}
	assumed := false
	for _, w := range v.sum.Spreads {
		note := ""
		if w.Assumed {
			note, assumed = "assumed", true
		}
		t.Add(page.CleanLine(w.Key), page.CleanLine(w.As), note)
	}
	t.Add("seed", "a new one for each run", "noise of the sensors")
	v.Put(t.Text(v.Screen, ""))
	if assumed {
		v.Line()
		v.Prose("Assumed spreads are from memory and belong to no machine; give your own with --spread KEY=DISTRIBUTION.")
	}
}

// percent formats a share in per cent.
func percent(share float64) string { return fmt.Sprintf("%.3g %%", 100*share) }

func (v *sweepPage) rates() {
	s := v.sum
	v.Section("error rates of the test")
	method := "Wilson"
	if s.Exact {
		method = "Clopper-Pearson"
	}
	t := page.Table{Head: []string{"", "rate", percent(s.Confidence) + " interval", "runs", "of"}}
	add := func(name string, r sweep.Rate, of string) {
		rate := "no such run"
		if r.Of > 0 {
			rate = percent(r.Rate)
		}
		t.Add(name, rate, page.Between(r.Low, r.High), fmt.Sprintf("%d of %d", r.Count, r.Of), of)
	}
	add("missed", *s.Missed, "torque insufficient or load not held: released all the same")
	add("false alarms", *s.FalseAlarm, "torque sufficient, no other fault, load held: not released")
	if s.Stopped.Count > 0 {
		add("stopped", *s.Stopped, "those of the false alarms that came from the sequence, after a proof")
	}
	v.Put(t.Text(v.Screen, ""))
	v.Line()
	v.Prose("Intervals after " + method + ". Both rates depend on the spreads: if many brakes are drawn just below the required torque, many are missed. The curve does not depend on that. Required is the test factor times the load torque of each run.")
	if s.Until > 0 {
		v.Prose("As the intervals decide when the sweep stops, their true confidence level is slightly lower.")
	}
}

func (v *sweepPage) effects() {
	list := slices.Clone(v.sum.Effects)
	if len(list) == 0 {
		return
	}
	v.Section("effect of the spreads")
	for _, rate := range []struct {
		name string
		of   func(*sweep.Effect) *sweep.Shift
	}{
		{"missed", func(e *sweep.Effect) *sweep.Shift { return &e.Missed }},
		{"false alarms", func(e *sweep.Effect) *sweep.Shift { return &e.FalseAlarm }},
	} {
		t := page.Table{Head: []string{rate.name, "lower", "upper", "difference", percent(v.sum.Confidence) + " interval"}}
		slices.SortStableFunc(list, func(a, b sweep.Effect) int {
			return cmp.Compare(math.Abs(rate.of(&b).Shift), math.Abs(rate.of(&a).Shift))
		})
		for i := range list {
			t.Add(append([]string{"  " + page.CleanLine(list[i].Key)}, shiftWords(rate.of(&list[i]))...)...)
		}
		v.Put(t.Text(v.Screen, ""))
	}
	v.Line()
	v.Prose(fmt.Sprintf("Rates with a value in the lower half of its spread, and in the upper half; of a table, with its first entry and with the others. Intervals after Newcombe; * marks those that exclude zero. %s of the intervals exclude zero by chance alone.",
		percent(1-v.sum.Confidence)))
}

// shiftWords are the cells of one effect.
func shiftWords(s *sweep.Shift) []string {
	if s.Lower.Of == 0 || s.Upper.Of == 0 {
		return []string{"", "", "", "no such run"}
	}
	sure := "  "
	if s.Sure() {
		sure = "* "
	}
	return []string{
		twoFigures(s.Lower.Rate, false) + " %", twoFigures(s.Upper.Rate, false) + " %", sure + twoFigures(s.Shift, true) + " %",
		twoFigures(s.Low, true) + " to " + twoFigures(s.High, true),
	}
}

// twoFigures is a share in per cent with two figures, but 100 with three.
func twoFigures(share float64, sign bool) string {
	verb := "%.2g"
	if math.Abs(100*share) >= 99.5 {
		verb = "%.0f"
	}
	if sign {
		verb = "%+" + verb[1:]
	}
	return fmt.Sprintf(verb, 100*share)
}

func (v *sweepPage) classes() {
	name := "classes of the runs"
	if v.sum.Rarity != nil {
		name += ", as drawn, not weighted"
	}
	v.Section(name)
	t := page.Table{}
	for _, c := range v.sum.Classes {
		if c.Runs > 0 {
			t.Add(page.PadLeft(strconv.Itoa(c.Runs), 7), string(c.Class), causeWords(v.sum.Causes, string(c.Class)))
		}
	}
	v.Put(t.Text(v.Screen, ""))
	if v.sum.Broken > 0 {
		v.Prose(fmt.Sprintf("An obligation was broken in %s; largest load drop %s mm.", page.Count(v.sum.Broken, "run", "runs"), page.Figure(v.sum.LoadDropMM)))
	}
}

// causeWords lists why runs of a class had no proof.
func causeWords(causes []sweep.Cause, class string) string {
	var parts []string
	for _, c := range causes {
		if c.Class == class {
			parts = append(parts, fmt.Sprintf("%s %d", causeName(c.Cause), c.Runs))
		}
	}
	return strings.Join(parts, ", ")
}

// causeName is a cause for people.
func causeName(cause string) string {
	if cause == "" {
		return "no cause"
	}
	return page.CleanLine(cause)
}

// examples are commands that repeat runs with an error.
func (v *sweepPage) examples() {
	titled := false
	for _, class := range []sim.Class{sim.Missed, sim.FalseAlarm} {
		at := slices.IndexFunc(v.sum.Examples, func(r sweep.Runs) bool { return r.Class == class })
		if at < 0 {
			continue
		}
		if !titled {
			v.Section("examples")
			titled = true
		}
		e := &v.sum.Examples[at].Runs[0]
		v.Line(fmt.Sprintf("run %d, %s:", e.Run, class))
		v.Put(page.BreakCommand(exampleParts(&v.sum.Head, e), "  ", v.Width))
	}
}

// exampleParts is the command that repeats one run of a sweep.
func exampleParts(h *sweep.Head, e *sweep.Example) []string {
	parts := append(slices.Clone(h.Command), command.ShellLine([]string{"--seed", strconv.FormatUint(e.Seed, 10)}))
	for i, key := range h.Columns {
		parts = append(parts, command.ShellLine([]string{"--set", key + "=" + e.Values[i]}))
	}
	return parts
}
