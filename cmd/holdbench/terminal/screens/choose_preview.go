package screens

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sim"
)

// wanted is a scenario with the parts that replace its own.
type wanted struct {
	reference, rig, sequence string
	seed                     uint64
}

// preview describes it.
type preview struct {
	text []passage
	bad  bool // it cannot run
}

// previewed is a preview that was read.
type previewed struct {
	of   *chooseScreen
	what wanted
	page *preview
}

// readPreview reads what is chosen unless it is known or something is being read.
func (c *chooseScreen) readPreview() tea.Cmd {
	w, err := c.wants()
	if w != c.read {
		c.read, c.offset = w, 0
	}
	if _, known := c.previews[w]; known || c.loading || err != nil {
		return nil
	}
	c.loading = true
	o := c.overrides(w)
	return func() tea.Msg { return previewed{c, w, newPreview(w.reference, o)} }
}

// onPreviewed keeps a preview, and reads what was chosen meanwhile.
func (c *chooseScreen) onPreviewed(msg previewed) tea.Cmd {
	c.loading = false
	c.previews[msg.what] = msg.page
	w, err := c.wants()
	if c.running && err == nil && c.previews[w] != nil {
		c.running = false
		return c.run()
	}
	return c.readPreview()
}

// newPreview reads a scenario with its parts.
func newPreview(reference string, o scenarios.Overrides) *preview {
	c, warnings, err := scenarios.LoadCase(reference, o)
	if err != nil {
		p := &preview{bad: true}
		p.text = append(p.text, passage{page.Bad, 0, "✗ " + reference + " cannot run:"}, passage{})
		for line := range strings.Lines(err.Error()) {
			p.text = append(p.text, passage{page.Plain, 0, strings.TrimRight(line, "\n")})
		}
		return p
	}
	p := &preview{text: casePassages(c, o.Rig != "" || o.Sequence != "")}
	for _, d := range warnings {
		p.text = append(p.text, passage{page.Caution, 0, "warning: " + d.Message})
	}
	return p
}

// casePassages describe a scenario and its parts; other is whether they are not its own.
func casePassages(c *sim.Case, other bool) []passage {
	s := &c.Scenario
	list := []passage{{page.Strong, 0, s.Title}, {page.Plain, 0, oneLine(s.Teaches)}}
	if other {
		list = slices.Insert(list, 1, passage{page.Faint, 0, "With its own rig and sequence:"})
	}
	if s.Remedy != "" {
		list = append(list, passage{page.Plain, 0, "Remedy: " + oneLine(s.Remedy)})
	}
	if n := len(s.Lesson); n > 0 {
		list = append(list, passage{page.Key, 0, fmt.Sprintf("With a lesson of %s.", page.Counted(n, "stop"))})
	}
	list = append(list, passage{}, passage{page.Heading, 0, "rig " + c.Rig.Rig}, passage{page.Plain, 2, rigLine(&c.Rig)})
	list = append(list, passage{page.Heading, 0, c.Sequence.Title()})
	if note := c.Sequence.Note; note != "" {
		list = append(list, passage{page.Plain, 2, oneLine(note)})
	}
	list = append(list, passage{page.Plain, 2, fmt.Sprintf("seed %d", c.Seed)})
	list = append(list, section("set", setLines(allShown(s.Set)))...)
	list = append(list, section("operator", scriptLines(s.Script))...)
	list = append(list, section("faults", faultLines(s.Faults))...)
	return append(list, section("expected", expectLines(&s.Expect))...)
}

// oneLine is a text of the document as one paragraph.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// rigLine has the main figures of a rig.
func rigLine(r *plant.Rig) string {
	d := plant.Derive(r)
	return fmt.Sprintf("%s: load %.4g kg, load torque %.3g N·m, required test torque %.3g N·m, brake %.3g N·m",
		r.Title, r.Load.MassKG+r.Load.PayloadKG, d.LoadTorqueNM, d.RequiredTestNM, d.BrakeCapacityNM)
}

// section is a heading with lines, nothing without lines.
func section(title string, lines []string) []passage {
	if len(lines) == 0 {
		return nil
	}
	list := []passage{{page.Heading, 0, title}}
	for _, l := range lines {
		list = append(list, passage{page.Plain, 2, l})
	}
	return list
}

func setLines(set map[string]string) []string {
	var lines []string
	for _, key := range slices.Sorted(maps.Keys(set)) {
		lines = append(lines, key+" = "+set[key])
	}
	return lines
}

func scriptLines(script []sim.Action) []string {
	var lines []string
	for _, a := range script {
		var parts []string
		for _, button := range slices.Sorted(maps.Keys(a.Set)) {
			word := " off"
			if a.Set[button] {
				word = " on"
			}
			parts = append(parts, button+word)
		}
		lines = append(lines, "at "+timeText(a.At)+lasting(a.For)+": "+strings.Join(parts, ", "))
	}
	return lines
}

func faultLines(faults []sim.Fault) []string {
	var lines []string
	for i := range faults {
		lines = append(lines, "▲ "+faultText(&faults[i]))
	}
	return lines
}

// faultText says when a fault comes and what it is.
func faultText(f *sim.Fault) string {
	moment := "from the start"
	switch {
	case f.At != nil:
		moment = "at " + timeText(*f.At)
	case f.When != nil && f.When.State != "":
		moment = "in " + f.When.State
		if f.When.After > 0 {
			moment = timeText(f.When.After) + " into " + f.When.State
		}
	}
	return moment + lasting(f.For) + ": " + strings.Join(setLines(f.Set), ", ")
}

func lasting(d time.Duration) string {
	if d == 0 {
		return ""
	}
	return " for " + timeText(d)
}

// timeText writes a time as documents do: 200ms, 1.5s.
func timeText(d time.Duration) string {
	if d == 0 || d >= time.Second {
		return strconv.FormatFloat(float64(d)/float64(time.Second), 'f', -1, 64) + "s" // d.Seconds() adds two parts, and rounds twice
	}
	return strings.ReplaceAll(d.String(), "µ", "u")
}

// expectLines are the expectations of a scenario, one a line.
func expectLines(e *sim.Expect) []string {
	var lines []string
	word := func(name, value string) {
		if value != "" {
			lines = append(lines, name+" "+value)
		}
	}
	bounds := func(name, unit string, b *sim.Bounds) {
		if b != nil {
			lines = append(lines, name+" "+b.String()+" "+unit)
		}
	}
	word("end", e.End)
	word("verdict", e.Verdict)
	word("operation", e.Operation)
	word("cause", e.Cause.String())
	word("class", string(e.Class))
	if e.Within > 0 {
		word("within", timeText(e.Within))
	}
	word("path", strings.Join(e.Path, " → "))
	for _, state := range slices.Sorted(maps.Keys(e.Took)) {
		word("time in "+state, e.Took[state].String())
	}
	for _, state := range slices.Sorted(maps.Keys(e.Outputs)) {
		var parts []string
		for _, name := range slices.Sorted(maps.Keys(e.Outputs[state])) {
			parts = append(parts, name+" "+e.Outputs[state][name])
		}
		word("outputs in "+state, strings.Join(parts, ", "))
	}
	bounds("load drop", "mm", e.LoadDropMM)
	bounds("slip", "deg", e.SlipDeg)
	bounds("peak torque", "N·m", e.PeakNM)
	if len(e.Obligations) == 0 {
		return append(lines, "every obligation kept")
	}
	for _, o := range e.Obligations {
		lines = append(lines, "✗ breaks "+o.Broken+": "+oneLine(o.Why))
	}
	return lines
}
