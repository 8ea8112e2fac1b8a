package runcmd

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

const radPerDeg = math.Pi / 180

// timeline is the page of one run: heading, events, strips, outcome, obligations, expectations and
// lesson.
type timeline struct {
	page.Sheet
	notes  bool // the purpose of each state
	ready  *sim.Case
	result *sim.Result
	trace  *traceBuffer
	faults []catalogue.Selection // added by name
	given  command.Given         // on the command line
	other  bool                  // the command line puts another rig or sequence or other values in place of those of the scenario

	against *against // nil without a recording
	belief  string   // the last deviation that was printed
	wrong   deviations
}

func (v *timeline) text() string {
	v.result.CheckDrop()
	v.heading()
	v.events()
	v.strips()
	v.sides()
	v.compared()
	v.obligations()
	v.expectations()
	v.lesson()
	v.verdict()
	return v.String()
}

// heading names everything that reproduces the run.
func (v *timeline) heading() {
	r, s := v.result, &v.ready.Scenario
	v.Line(v.Style.Strong.Render(page.CleanLine(r.Scenario)))
	v.Put(page.Paragraph(v.Plain(page.Clean(s.Title)), "", v.Width))
	v.Line(v.Style.Faint.Render(fmt.Sprintf("rig %s, %s, seed %d", page.CleanLine(r.Rig), page.CleanLine(sequence.Titled(r.Sequence)), r.Seed)))
	for _, key := range slices.Sorted(maps.Keys(s.Set)) {
		v.Put(page.Paragraph("set "+page.CleanLine(key)+" = "+page.CleanLine(s.Set[key]), "", v.Width))
	}
	for _, n := range v.faults {
		v.Put(page.Paragraph("fault "+page.CleanLine(n.String())+": "+n.Entry.What, "", v.Width))
	}
}

// strips draws the run over time below its events.
func (v *timeline) strips() {
	if len(v.trace.samples) < 2 {
		return
	}
	v.Section("over time")
	const label, edges = 24, 13
	columns := v.Width - label - edges
	for _, s := range v.stripList() {
		folded := v.trace.fold(columns, s.value)
		if !slices.ContainsFunc(folded, func(c page.Column) bool { return c.Filled }) {
			v.Line(page.Pad(v.Plain(s.name), label), v.Style.Faint.Render(s.never))
			continue
		}
		drawn := v.Strip(folded, s.low, s.high, s.rows)
		for i, row := range drawn {
			name := ""
			if i == 0 {
				name = v.Plain(s.name)
			}
			v.Line(page.Pad(name, label), s.style.Render(row), " ", v.Style.Faint.Render(v.Plain(s.edge(i))))
		}
	}
	v.Line(page.Pad("", label), v.marks(columns))
	v.Line(page.Pad("", label), v.Style.Faint.Render(timeAxis(v.trace.end(), columns)))
}

// marks puts the signs of faults, verdicts and the end on the time axis; of two on one character
// the later one is shown.
func (v *timeline) marks(columns int) string {
	row := []rune(strings.Repeat(" ", columns))
	for _, e := range v.result.Events {
		switch e.Kind {
		case "fault", "judge", "truth", "end", "operator":
			at := int(e.TS / v.trace.end() * float64(columns))
			row[min(max(at, 0), columns-1)] = []rune(kindSign(v.Screen, e.Kind))[0]
		}
	}
	return string(row)
}

// timeAxis writes the beginning, the middle and the end of the time under a strip.
func timeAxis(end float64, columns int) string {
	left, right := "0", fmt.Sprintf("%.2f s", end)
	middle := fmt.Sprintf("%.2f", end/2)
	text := page.Pad(left, columns/2-len(middle)/2) + middle
	return page.Pad(text, columns-len(right)) + right
}

// obligations lists the broken ones and the kept ones.
func (v *timeline) obligations() {
	g := v.Signs()
	v.Section("obligations")
	var kept, open []string
	why := ""
	for _, o := range v.result.Obligations {
		switch {
		case o.NotJudged != "":
			open, why = append(open, o.Name), o.NotJudged
			continue
		case o.Kept:
			kept = append(kept, o.Name)
			continue
		}
		head := g.Bad + " broken " + o.Name
		if o.AtS != nil {
			head += " at " + page.Seconds(*o.AtS)
		}
		v.Line(v.Style.Bad.Render(head))
		v.Put(page.Paragraph(v.Plain(page.Clean(o.Detail)), "  ", v.Width))
	}
	if len(kept) > 0 {
		v.marked(v.Style.Good.Render(g.Good+" kept"), "kept", strings.Join(kept, ", "))
	}
	if len(open) > 0 {
		v.marked(v.Style.Warning.Render("? not judged"), "not judged", strings.Join(open, ", ")+": "+page.CleanLine(why))
	}
}

// expectations lists the deviations from what the scenario expects.
func (v *timeline) expectations() {
	g := v.Signs()
	v.Section("expectations")
	if len(v.faults) > 0 {
		v.Put(page.Paragraph("As faults were added, the scenario's own expectations do not apply: checked are the obligations, and that each fault occurred.", "", v.Width))
	}
	var met []string
	for _, e := range v.result.Expectations {
		if e.Met {
			met = append(met, e.Name)
			continue
		}
		v.marked(v.Style.Bad.Render(g.Bad+" not met"), "not met",
			fmt.Sprintf("%s: expected %s, got %s", e.Name, page.OrNothing(page.CleanLine(e.Want)), page.OrNothing(page.CleanLine(e.Got))))
	}
	if len(met) > 0 {
		v.marked(v.Style.Good.Render(g.Good+" met"), "met", strings.Join(counted(met), ", "))
	}
	if text := v.result.NotAppliedText(); text != "" {
		v.Put(page.Paragraph(page.CleanLine(text), "", v.Width))
	}
	for i, text := range v.result.WithoutEffect() {
		if i == 0 {
			v.Line()
		}
		for _, line := range page.Wrap(v.Plain(page.CleanLine(text)), v.Width) {
			v.Line(v.Style.Warning.Render(line))
		}
	}
}

// counted are names in their order, each once, with how often it stands there behind it.
func counted(names []string) []string {
	times := map[string]int{}
	var once []string
	for _, n := range names {
		if times[n]++; times[n] == 1 {
			once = append(once, n)
		}
	}
	for i, n := range once {
		if times[n] > 1 {
			once[i] = fmt.Sprintf("%s (%d)", n, times[n])
		}
	}
	return once
}

// marked prints text that hangs behind a sign and a word.
func (v *timeline) marked(head, word, text string) {
	margin := strings.Repeat(" ", len(word)+4)
	body := strings.TrimPrefix(page.Paragraph(v.Plain(text), margin, v.Width), margin)
	v.Put(head + "  " + body)
}

// lesson is the explanation of a trainer, and the remedy: both of the run that the scenario describes.
func (v *timeline) lesson() {
	s := &v.ready.Scenario
	of := ""
	if v.other {
		of = " of the scenario with its own rig, sequence and values"
	}
	if s.Teaches != "" {
		v.Section("lesson" + of)
		v.Put(page.Paragraph(v.Plain(page.Clean(s.Teaches)), "", v.Width))
	}
	if s.Remedy != "" {
		v.Section("remedy" + of)
		v.Put(page.Paragraph(v.Plain(page.Clean(s.Remedy)), "", v.Width))
	}
}

// verdict ends the page with the meaning of the exit code.
func (v *timeline) verdict() {
	g := v.Signs()
	v.Line()
	if v.result.Met() {
		v.asExpected()
		return
	}
	n := 0
	for _, e := range v.result.Expectations {
		if !e.Met {
			n++
		}
	}
	v.Line(v.Style.Bad.Render(fmt.Sprintf("%s NOT as expected: %d of %s", g.Bad, n, page.Count(len(v.result.Expectations), "expectation", "expectations"))))
}

// asExpected ends the page of a run that came out as its scenario expects. A run that harms gets no
// sign that calms.
func (v *timeline) asExpected() {
	harm := command.Harm(v.result)
	if v.result.Class == sim.Missed {
		harm = append([]string{"missed"}, harm...)
	}
	if len(harm) == 0 {
		v.Line(v.Style.Good.Render(v.Signs().Good + " as expected"))
		return
	}
	for _, line := range page.Wrap(v.Plain("as expected of this scenario, which shows harm: "+strings.Join(harm, "; ")), v.Width) {
		v.Line(v.Style.Warning.Render(line))
	}
}

// windowMM is the judge's window in travel of the load.
func (v *timeline) windowMM() float64 {
	return v.ready.Rig.Judge.WindowDeg * radPerDeg * plant.Derive(&v.ready.Rig).MMPerRad
}
