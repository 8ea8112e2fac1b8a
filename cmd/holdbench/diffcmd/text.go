package diffcmd

import (
	"fmt"
	"slices"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/compare"
)

// differencePage is the page of a comparison.
type differencePage struct {
	page.Sheet
	*difference
	all bool
}

func (v *differencePage) text() string {
	v.Prose(v.about("A", v.A))
	v.Prose(v.about("B", v.B))
	v.Prose(v.alignedText())
	v.Section("first difference")
	v.first()
	if len(v.Visible) > 0 {
		v.Section("signals of the sequence, each where it first differs")
		v.signals(v.Visible)
	}
	if len(v.Truth) > 0 {
		v.Section("truth, each where it first differs")
		v.signals(v.Truth)
	}
	v.Section("path")
	v.path()
	v.Section("outcome")
	v.outcome()
	if v.at != nil {
		v.Section(fmt.Sprintf("values at %s of A, %s of B", page.Seconds(*v.at), page.Seconds(*v.at+v.ShiftS())))
		v.values()
	}
	return v.String()
}

// about is what one of the runs is made of.
func (d *difference) about(name string, r *compare.Run) string {
	x := r.Result
	text := fmt.Sprintf("%s: %s, rig %s, %s, seed %d", name, page.CleanLine(x.Scenario), page.CleanLine(x.Rig), page.CleanLine(sequence.Titled(x.Sequence)), x.Seed)
	if name != "B" {
		return text
	}
	var has []string
	if d.nominal {
		has = append(has, "without its faults")
	}
	for _, s := range d.given.Settings {
		has = append(has, "set "+page.CleanLine(s))
	}
	for _, f := range d.given.Faults {
		has = append(has, "fault "+page.CleanLine(f))
	}
	if len(has) > 0 {
		text += "; " + strings.Join(has, ", ")
	}
	return text
}

// alignedText says which moments belong together.
func (d *difference) alignedText() string {
	text := "Aligned at the same time since the start."
	if d.By.By != compare.AtTime {
		text = fmt.Sprintf("Aligned at %s: %s of A, %s of B.", page.CleanLine(d.By.String()), page.Seconds(d.AlignA), page.Seconds(d.AlignB))
	}
	if every := max(d.A.EveryS, d.B.EveryS); every > max(d.A.Case.Rig.Clock.FunctionalScan, d.B.Case.Rig.Clock.FunctionalScan).Seconds() {
		text += fmt.Sprintf(" Compared every %s s, as the runs are long.", page.Figure(every))
	}
	return text
}

func (v *differencePage) first() {
	g := v.Signs()
	if v.Same() {
		v.Line(v.Style.Good.Render(g.Good), " nothing differs")
		return
	}
	first := v.First()
	if first == nil {
		v.Line(v.Style.Warning.Render(g.Unlike), " no signal differs; the path or the outcome does")
		return
	}
	v.told(first)
	switch {
	case first.Group != string(sim.TruthGroup):
	case len(v.Visible) > 0:
		v.Prose("A quantity of the plant, which no controller sees. The first signal of the sequence that differs:")
		v.told(&v.Visible[0])
	default:
		v.Prose("A quantity of the plant, which no controller sees; no signal of the sequence differs.")
	}
}

func (v *differencePage) told(d *compare.Divergence) {
	sign := v.Signs().Unlike + " "
	lines := page.Wrap(v.Plain(fmt.Sprintf("at %s of A in %s: %s", page.Seconds(d.AtAS), page.CleanLine(d.StateA), says(d))), v.Width-page.Cells(sign))
	v.Line(v.Style.Warning.Render(sign), strings.Join(lines, "\n"+strings.Repeat(" ", page.Cells(sign))))
}

// says is a difference in words.
func says(d *compare.Divergence) string {
	if d.Frozen != "" {
		return fmt.Sprintf("%s stands still in %s alone", page.CleanLine(compare.SignalName(d.Signal)), strings.ToUpper(d.Frozen))
	}
	a, b, apart, ok := compare.Figures(d.A, d.B, true)
	text := fmt.Sprintf("%s is %s in A and %s in B", page.CleanLine(compare.SignalName(d.Signal)), shown(a), shown(b))
	if ok {
		text += fmt.Sprintf(", difference %s, tolerance %s", apart, page.Figure(*d.Tolerance))
	}
	return text
}

func shown(value string) string {
	if value == "" {
		return "nothing"
	}
	return page.CleanLine(value)
}

func signed(x float64) string {
	if x > 0 {
		return "+" + page.Figure(x)
	}
	return page.Figure(x)
}

// mostSignals is how many signals the page has; --json has all.
const mostSignals = 12

func (v *differencePage) signals(list []compare.Divergence) {
	t := page.Table{Head: []string{"at, s of A", "state of A", "signal", "A", "B", "B - A"}}
	left := 0
	for i := range list {
		d := &list[i]
		if i >= mostSignals {
			left++
			continue
		}
		a, b, apart, _ := compare.Figures(d.A, d.B, true)
		if d.Frozen != "" {
			apart = "stands still in " + strings.ToUpper(d.Frozen)
		}
		t.Add(fmt.Sprintf("%.3f", d.AtAS), page.CleanLine(d.StateA), page.CleanLine(compare.SignalName(d.Signal)), cell(a), cell(b), apart)
	}
	v.table(&t, 1)
	if left > 0 {
		v.Prose(fmt.Sprintf("and %d more; --json has all.", left))
	}
}

// cell is a value that fits a column.
func cell(value string) string {
	const most = 12
	value = shown(value)
	if page.Cells(value) > most {
		runes := []rune(value)
		return string(runes[:min(len(runes), most-1)]) + "…"
	}
	return value
}

// table prints a table of short cells; a column is left out where it is too wide.
func (v *differencePage) table(t *page.Table, spare int) {
	for i, row := range t.Rows {
		for k := range row {
			t.Rows[i][k] = v.Plain(row[k])
		}
	}
	total := -2
	for _, w := range t.Widths() {
		total += w + 2
	}
	if total > v.Width && spare > 0 {
		t.Head = slices.Delete(t.Head, spare, spare+1)
		for i, row := range t.Rows {
			t.Rows[i] = slices.Delete(row, spare, spare+1)
		}
	}
	widths := t.Widths()
	for i, row := range append([][]string{t.Head}, t.Rows...) {
		var b strings.Builder
		for k, text := range row {
			b.WriteString(page.Pad(text, widths[k]+2))
		}
		line := strings.TrimRight(v.Plain(b.String()), " ")
		if i == 0 {
			line = v.Style.Faint.Render(line)
		}
		v.Line(line)
	}
}

// mostStays is how many states of the path are shown from each end.
const mostStays = 20

func (v *differencePage) path() {
	p := &v.Path
	if len(p.Common) > 0 {
		v.stays("both", p.Common)
	}
	if p.Same() {
		v.Prose("Both enter the same states in the same order.")
		return
	}
	v.Prose("They part here.")
	v.Prose("A: " + arrows(p.OnlyA))
	v.Prose("B: " + arrows(p.OnlyB))
	if len(p.Joined) == 0 {
		v.Prose("They do not join again.")
		return
	}
	v.Prose("They join again at " + page.CleanLine(p.Joined[0].State) + ".")
	v.stays("both again", p.Joined)
}

func arrows(states []string) string {
	if len(states) == 0 {
		return "no state of its own"
	}
	if left := len(states) - 2*mostStays; left > 0 {
		states = append(append(append([]string{}, states[:mostStays]...), fmt.Sprintf("(%d more)", left)), states[len(states)-mostStays:]...)
	}
	return page.CleanLine(strings.Join(states, " → "))
}

func (v *differencePage) stays(head string, list []compare.Stay) {
	t := page.Table{Head: []string{head, "entered A", "entered B", "stay A", "stay B", "B - A"}}
	for i, s := range list {
		if left := len(list) - 2*mostStays; left > 0 && i >= mostStays && i < mostStays+left {
			if i == mostStays {
				t.Add(fmt.Sprintf("(%d more)", left), "", "", "", "", "")
			}
			continue
		}
		t.Add(page.CleanLine(s.State), page.Seconds(s.EnteredA), page.Seconds(s.EnteredB), page.Seconds(s.StayA), page.Seconds(s.StayB), apartText(s.StayB-s.StayA))
	}
	v.table(&t, 0)
}

// apartText is by how much a stay is longer, with nothing where it is the same.
func apartText(seconds float64) string {
	if text := fmt.Sprintf("%+.3f s", seconds); text != "+0.000 s" && text != "-0.000 s" {
		return text
	}
	return "0"
}

func (v *differencePage) outcome() {
	t := page.Table{Head: []string{"", "", "A", "B", "B - A"}}
	for _, o := range v.Outcome {
		apart := ""
		if o.Difference != nil {
			apart = signed(tidy(*o.Difference))
		}
		t.Add(v.mark(o.Differs), o.Name, outcomeCell(o.A), outcomeCell(o.B), apart)
	}
	v.table(&t, 0)
}

// outcomeCell is a word of the outcome, none for an empty one.
func outcomeCell(text string) string {
	if text == "" {
		return "none"
	}
	return page.CleanLine(text)
}

// mark is the sign of what differs.
func (v *differencePage) mark(differs bool) string {
	if differs {
		return v.Signs().Unlike
	}
	return ""
}

// tidy rounds what is left of a difference of equal figures.
func tidy(x float64) float64 {
	const least = 1e-9
	if x > -least && x < least {
		return 0
	}
	return x
}

func (v *differencePage) values() {
	head := []string{"", "signal", "A", "B", "B - A", "tolerance"}
	visible, truth := page.Table{Head: head}, page.Table{Head: head}
	within := 0
	for _, p := range v.Values(*v.at) {
		t := &visible
		if p.Truth {
			t = &truth
		}
		if p.Differs || v.all {
			t.Add(v.valueRow(&p)...)
		} else {
			within++
		}
	}
	if len(visible.Rows) > 0 {
		v.table(&visible, 0)
	}
	if len(truth.Rows) > 0 {
		v.Line("truth")
		v.table(&truth, 0)
	}
	if within > 0 {
		v.Prose(page.Count(within, "value differs by no more than its tolerance", "values differ by no more than their tolerance") + "; --all prints them.")
	}
}

func (v *differencePage) valueRow(p *compare.Pair) []string {
	tolerance := ""
	a, b, apart, _ := compare.Figures(p.A, p.B, p.Differs)
	if p.Tolerance != nil {
		tolerance = page.Figure(*p.Tolerance)
	}
	return []string{v.mark(p.Differs), page.CleanLine(compare.SignalName(p.Signal)), cell(a), cell(b), apart, tolerance}
}
