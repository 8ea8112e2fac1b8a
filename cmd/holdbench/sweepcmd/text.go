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

// sweepCaution ends every sweep; the help of the program has the whole of it.
const sweepCaution = `These chances are those of the model and of the spreads above. They prove no machine safe: the
machine's risk assessment, the makers' manuals, the standards that apply and qualified people decide on
the test, its torque, its interval and its validation.`

func (v *sweepPage) heading() {
	s := v.sum
	v.Line(v.Style.Strong.Render("sweep of " + page.CleanLine(s.Sweep)))
	v.Line(v.Style.Faint.Render(fmt.Sprintf("rig %s, sequence %s, seed %d", page.CleanLine(s.Rig), page.CleanLine(s.Sequence), s.Seed)))
	v.Prose(v.extent())
}

// extent says how many runs there are, and why not more.
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
		text += "; enough, as no interval reaches farther than " + percent(s.Until)
	case s.Until > 0 && s.Whole:
		text += "; not enough, as an interval reaches farther than " + percent(s.Until)
	case !s.Whole:
		text += "; there are more to do, and this is what there is"
	}
	if s.Done > 0 {
		text += fmt.Sprintf("; a run lasts %s on the average, %s at most", page.Seconds(s.MeanS), page.Seconds(s.LongestS))
	}
	return text
}

func (v *sweepPage) spreads() {
	v.Section("what differs from run to run")
	t := page.Table{}
	assumed := false
	for _, w := range v.sum.Spreads {
		note := ""
		if w.Assumed {
			note, assumed = "assumed", true
		}
		t.Add(page.CleanLine(w.Key), page.CleanLine(w.As), note)
	}
	t.Add("seed", "another one for each run", "noise of the sensors")
	v.Put(t.Text(v.Screen, ""))
	if assumed {
		v.Line()
		v.Prose("What is assumed is from memory and nobody's machine; --spread KEY=DISTRIBUTION says yours.")
	}
}

// percent is a share for people.
func percent(share float64) string { return fmt.Sprintf("%.3g %%", 100*share) }

func (v *sweepPage) rates() {
	s := v.sum
	v.Section("how often the test errs")
	method := "Wilson"
	if s.Exact {
		method = "Clopper-Pearson"
	}
	t := page.Table{Head: []string{"", "rate", percent(s.Confidence) + " interval", "runs", "of"}}
	add := func(name string, r sweep.Rate, of string) {
		rate := "none to tell"
		if r.Of > 0 {
			rate = percent(r.Rate)
		}
		t.Add(name, rate, page.Between(r.Low, r.High), fmt.Sprintf("%d of %d", r.Count, r.Of), of)
	}
	add("missed", *s.Missed, "brakes that are not fit, or do not hold the load: they got a proof")
	add("false alarms", *s.FalseAlarm, "fit brakes with nothing else wrong: they got none")
	if s.Stopped.Count > 0 {
		add("stopped", *s.Stopped, "the same brakes: they got a proof, and the sequence did not end in a pass")
	}
	v.Put(t.Text(v.Screen, ""))
	v.Line()
	v.Prose("Intervals after " + method + ". Both rates are those of the brakes that the spreads draw: of many that are nearly fit, many are missed. The curve does not depend on how many there are. Required is the test factor times the load of each run.")
	if s.Until > 0 {
		v.Prose("An interval that decides when to stop covers a little less than it says.")
	}
}

// curveHeight is how many lines the curve takes.
const curveHeight = 16

func (v *sweepPage) curve() {
	s := v.sum
	v.Section("operating curve: chance of a proof")
	c := sweepChart(s)
	c.Title, c.Y = "", "" // the section has said it
	for _, line := range c.Text(v.Width, curveHeight, v.ASCII) {
		v.Line(line)
	}
	v.Line()
	if s.Fit == nil {
		v.Prose("No curve is fitted: " + strings.TrimPrefix(s.NoFit, "no curve fits: ") + ".")
		return
	}
	t := page.Table{Head: []string{"proven", "capacity / required", "standard error", ""}}
	for _, p := range s.Fit.Quantiles {
		t.Add(page.PadLeft(percent(p.Probability), 6), page.Figure(p.Ratio), page.Figure(p.StandardError), placeWords(p))
	}
	v.Put(t.Text(v.Screen, ""))
	v.Line()
	v.Prose(fitWords(s.Fit))
}

// placeWords says what a place on the curve is for.
func placeWords(p sweep.Quantile) string {
	switch p.Probability {
	case 0.01:
		return "of brakes with no more, hardly one gets a proof"
	case 0.99:
		return "of brakes with so much or more, hardly one is refused"
	}
	return "as many get one as do not"
}

// fitWords says whether the curve is one that can be believed.
func fitWords(f *sweep.Fit) string {
	if f.Groups <= 2 {
		return "Probit fit; there are too few runs where it rises to check its shape."
	}
	text := fmt.Sprintf("Probit fit: chi squared %s over %d groups; if the curve is right, one so large comes in %s of all cases.",
		page.Figure(f.ChiSquared), f.Groups, percent(f.PValue))
	if f.PValue < 0.01 {
		text += " So this one is not quite right: trust the counts, and take the places as near."
	}
	return text
}

func (v *sweepPage) effects() {
	list := slices.Clone(v.sum.Effects)
	if len(list) == 0 {
		return
	}
	v.Section("what moves the rates")
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
	v.Prose(fmt.Sprintf("Rates where a value lies in the lower half of its spread, and in the upper one; of a table, in its first entry and in the others; the interval is Newcombe's. A * marks one without zero. Of so many intervals, %s lie off zero by chance alone.",
		percent(1-v.sum.Confidence)))
}

// shiftWords are the cells of one effect.
func shiftWords(s *sweep.Shift) []string {
	if s.Lower.Of == 0 || s.Upper.Of == 0 {
		return []string{"", "", "", "none to tell"}
	}
	sure := "  "
	if s.Sure() {
		sure = "* "
	}
	share3 := func(x float64) string { return fmt.Sprintf("%.2g %%", 100*x) }
	return []string{
		share3(s.Lower.Rate), share3(s.Upper.Rate), sure + fmt.Sprintf("%+.2g %%", 100*s.Shift),
		fmt.Sprintf("%+.2g to %+.2g", 100*s.Low, 100*s.High),
	}
}

func (v *sweepPage) classes() {
	name := "what the runs came to"
	if v.sum.Rarity != nil {
		name += ", as drawn and not as often as they come"
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
		v.Prose(fmt.Sprintf("An obligation was broken in %s; the load sank up to %s mm.", page.Count(v.sum.Broken, "run", "runs"), page.Figure(v.sum.LoadDropMM)))
	}
}

// causeWords lists why runs of a class had no proof.
func causeWords(causes []sweep.Cause, class string) string {
	var parts []string
	for _, c := range causes {
		if c.Class == class {
			name := c.Cause
			if name == "" {
				name = "no cause"
			}
			parts = append(parts, fmt.Sprintf("%s %d", page.CleanLine(name), c.Runs))
		}
	}
	return strings.Join(parts, ", ")
}

// examples are commands of runs that went wrong.
func (v *sweepPage) examples() {
	titled := false
	for _, class := range []sim.Class{sim.Missed, sim.FalseAlarm} {
		at := slices.IndexFunc(v.sum.Examples, func(r sweep.Runs) bool { return r.Class == class })
		if at < 0 {
			continue
		}
		if !titled {
			v.Section("one to look at")
			titled = true
		}
		e := &v.sum.Examples[at].Runs[0]
		v.Line(fmt.Sprintf("run %d, %s:", e.Run, class))
		v.Put(page.BreakCommand(exampleParts(&v.sum.Head, e), "  ", v.Width))
	}
}

// exampleParts is the command that runs one run of a sweep again.
func exampleParts(h *sweep.Head, e *sweep.Example) []string {
	parts := append(slices.Clone(h.Command), command.ShellLine([]string{"--seed", strconv.FormatUint(e.Seed, 10)}))
	for i, key := range h.Columns {
		parts = append(parts, command.ShellLine([]string{"--set", key + "=" + e.Values[i]}))
	}
	return parts
}
