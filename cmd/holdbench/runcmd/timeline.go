package runcmd

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

const radPerDeg = math.Pi / 180

// timeline is one run for people: heading, events, strips, the two sides, what had
// to be kept, what was expected, and what there is to learn.
type timeline struct {
	page.Sheet
	notes  bool // below each state what it is for
	ready  *sim.Case
	result *sim.Result
	tape   *tape
	faults []catalogue.Selection // added by name
	belief string                // the last mistake that was printed
	wrong  mistakes
}

func (v *timeline) text() string {
	v.heading()
	v.events()
	v.strips()
	v.sides()
	v.obligations()
	v.expectations()
	v.lesson()
	v.verdict()
	return v.String()
}

// heading names everything that makes this run once more.
func (v *timeline) heading() {
	r, s := v.result, &v.ready.Scenario
	v.Line(v.Style.Strong.Render(page.CleanLine(r.Scenario)))
	v.Put(page.Paragraph(v.Plain(page.Clean(s.Title)), "", v.Width))
	v.Line(v.Style.Faint.Render(fmt.Sprintf("rig %s, sequence %s, seed %d", page.CleanLine(r.Rig), page.CleanLine(r.Sequence), r.Seed)))
	for _, key := range slices.Sorted(maps.Keys(s.Set)) {
		v.Put(page.Paragraph("set "+page.CleanLine(key)+" = "+page.CleanLine(s.Set[key]), "", v.Width))
	}
	for _, n := range v.faults {
		v.Put(page.Paragraph("fault "+page.CleanLine(n.String())+": "+n.Entry.What, "", v.Width))
	}
}

// strips draws the run over time below its events.
func (v *timeline) strips() {
	if len(v.tape.samples) < 2 {
		return
	}
	v.Section("over time")
	const label, edges = 24, 13
	columns := v.Width - label - edges
	for _, s := range v.stripList() {
		folded := v.tape.fold(columns, s.value)
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
	v.Line(page.Pad("", label), v.Style.Faint.Render(timeAxis(v.tape.end(), columns)))
}

// marks puts the signs of faults, verdicts and the end on the time axis; where two
// fall on one character the later one stands.
func (v *timeline) marks(columns int) string {
	row := []rune(strings.Repeat(" ", columns))
	for _, e := range v.result.Events {
		switch e.Kind {
		case "fault", "judge", "truth", "end", "operator":
			at := int(e.TS / v.tape.end() * float64(columns))
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

// obligations tells which had to be kept and were not.
func (v *timeline) obligations() {
	g := v.Signs()
	v.Section("obligations")
	var kept []string
	for _, o := range v.result.Obligations {
		if o.Kept {
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
}

// expectations tells what came other than the scenario expects.
func (v *timeline) expectations() {
	g := v.Signs()
	v.Section("expectations")
	if len(v.faults) > 0 {
		v.Put(page.Paragraph("Those of the scenario are not looked at, as faults were added: only that each of them came, and the obligations.", "", v.Width))
	}
	var met []string
	for _, e := range v.result.Expectations {
		if e.Met {
			met = append(met, e.Name)
			continue
		}
		v.marked(v.Style.Bad.Render(g.Bad+" not met"), "not met",
			fmt.Sprintf("%s: wanted %s, got %s", e.Name, page.OrNothing(page.CleanLine(e.Want)), page.OrNothing(page.CleanLine(e.Got))))
	}
	if len(met) > 0 {
		v.marked(v.Style.Good.Render(g.Good+" met"), "met", strings.Join(met, ", "))
	}
}

// marked prints text that hangs behind a sign and a word.
func (v *timeline) marked(head, word, text string) {
	margin := strings.Repeat(" ", len(word)+4)
	body := strings.TrimPrefix(page.Paragraph(v.Plain(text), margin, v.Width), margin)
	v.Put(head + "  " + body)
}

// lesson is what a trainer says about the scenario.
func (v *timeline) lesson() {
	s := &v.ready.Scenario
	if s.Teaches != "" {
		v.Section("lesson")
		v.Put(page.Paragraph(v.Plain(page.Clean(s.Teaches)), "", v.Width))
	}
	if s.Remedy != "" {
		v.Section("remedy")
		v.Put(page.Paragraph(v.Plain(page.Clean(s.Remedy)), "", v.Width))
	}
}

// verdict ends the page with the one thing that the exit code says too.
func (v *timeline) verdict() {
	g := v.Signs()
	v.Line()
	if v.result.Met() {
		v.Line(v.Style.Good.Render(g.Good + " as expected"))
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

// windowMM is the judge's window in travel of the load.
func (v *timeline) windowMM() float64 {
	return v.ready.Rig.Judge.WindowDeg * radPerDeg * plant.Derive(&v.ready.Rig).MMPerRad
}
