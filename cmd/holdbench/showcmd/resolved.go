package showcmd

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sim"
)

// resolvedText is a scenario with all settings applied.
func resolvedText(s *page.Screen, ready *sim.Case) string {
	var b strings.Builder
	sc := &ready.Scenario
	b.WriteString(s.Style.Strong.Render(page.CleanLine(sc.Scenario)) + "\n")
	b.WriteString(page.Paragraph(page.Clean(sc.Title), "", s.Width))
	fmt.Fprintf(&b, "rig %s, %s, seed %d\n", page.CleanLine(ready.Rig.Rig), page.CleanLine(ready.Sequence.Title()), ready.Seed)
	part := func(name string, t *page.Table) {
		b.WriteString("\n" + s.Style.Strong.Render(name) + "\n")
		if len(t.Rows) == 0 {
			t.Add("none")
		}
		b.WriteString(t.Text(s, "  "))
	}
	part("changes of the rig", rigChanges(ready))
	part("judge", judgeTable(ready))
	part("parameters of the sequence", paramTable(ready))
	part("faults", faultTable(sc))
	part("expected", expectTable(&sc.Expect))
	return b.String()
}

// rigChanges are the values of the machine that the scenario has set.
func rigChanges(ready *sim.Case) *page.Table {
	t := &page.Table{}
	for _, f := range plant.Fields() {
		if _, ok := ready.Scenario.Set["rig."+f.Path]; ok {
			t.Add("rig."+f.Path, valueText(f, &ready.Rig), f.Note)
		}
	}
	return t
}

func judgeTable(ready *sim.Case) *page.Table {
	t := &page.Table{}
	for _, f := range plant.Fields() {
		if f.Section() == "judge" {
			t.Add(f.Path, valueText(f, &ready.Rig), f.Note+setMark(ready, f.Path, "rig."+f.Path))
		}
	}
	return t
}

func setMark(ready *sim.Case, keys ...string) string {
	for _, key := range keys {
		if _, ok := ready.Scenario.Set[key]; ok {
			return " (set by the scenario)"
		}
	}
	return ""
}

// valueText is a field with its unit; a duration carries its own.
func valueText(f *plant.Field, r *plant.Rig) string {
	if f.Unit == "" || f.Unit == "s" {
		return page.CleanLine(f.Text(r))
	}
	return page.CleanLine(f.Text(r)) + " " + f.Unit
}

func paramTable(ready *sim.Case) *page.Table {
	t := &page.Table{}
	for _, p := range ready.Sequence.Params {
		value := page.Figure(p.Number)
		if p.Kind == sequence.KindBoolean {
			value = strconv.FormatBool(p.Boolean)
		}
		if unit := unitText(p.Unit); unit != "" {
			value += " " + unit
		}
		from := ""
		if text := page.CleanLine(p.Written()); text != value && text != page.Figure(p.Number) {
			from = "= " + text
		}
		if p.Set {
			from += paramOrigin(ready, p.Name)
		}
		t.Add(p.Name, value, strings.TrimSpace(from))
	}
	return t
}

// paramOrigin is the origin of an overridden parameter.
func paramOrigin(ready *sim.Case, name string) string {
	if mark := setMark(ready, "sequence."+name); mark != "" {
		return mark
	}
	return " (by the rig)"
}

func faultTable(s *sim.Scenario) *page.Table {
	t := &page.Table{}
	for i := range s.Faults {
		f := &s.Faults[i]
		var what []string
		for _, key := range slices.Sorted(maps.Keys(f.Set)) {
			what = append(what, page.CleanLine(key)+" = "+page.CleanLine(f.Set[key]))
		}
		text := strings.Join(what, ", ")
		if f.Fault != "" {
			text = page.CleanLine(f.Fault) + ": " + text
		}
		t.Add(faultMoment(f), text)
	}
	return t
}

func faultMoment(f *sim.Fault) string {
	text := "at the start"
	switch {
	case f.At != nil:
		text = "at " + f.At.String()
	case f.When != nil && f.When.State != "":
		text = "in " + page.CleanLine(f.When.State)
	}
	if f.When != nil && f.When.After > 0 {
		text += " after " + f.When.After.String()
	}
	if f.For > 0 {
		text += " for " + f.For.String()
	}
	return text
}

func expectTable(e *sim.Expect) *page.Table {
	t := &page.Table{}
	add := func(name, value string) {
		if value != "" {
			t.Add(name, page.CleanLine(value))
		}
	}
	bounds := func(name string, b *sim.Bounds, unit string) {
		if b != nil {
			add(name, b.String()+" "+unit)
		}
	}
	add("end", e.End)
	add("verdict", e.Verdict)
	add("operation", e.Operation)
	add("cause", e.Cause.String())
	add("class", string(e.Class))
	if e.Within > 0 {
		add("within", e.Within.String())
	}
	add("path", strings.Join(e.Path, " → "))
	for _, state := range slices.Sorted(maps.Keys(e.Took)) {
		add("time in "+page.CleanLine(state), e.Took[state].String())
	}
	for _, state := range slices.Sorted(maps.Keys(e.Outputs)) {
		add("outputs in "+page.CleanLine(state), outputsText(e.Outputs[state]))
	}
	bounds("load drop", e.LoadDropMM, "mm")
	bounds("brake slip", e.SlipDeg, "deg")
	bounds("peak torque", e.PeakNM, "N·m")
	if len(e.Obligations) == 0 {
		add("obligations", "all kept")
	}
	for _, o := range e.Obligations {
		add("broken "+o.Broken, o.Why)
	}
	return t
}

// outputsText is outputs with their values on one line.
func outputsText(outputs map[string]string) string {
	var parts []string
	for _, name := range slices.Sorted(maps.Keys(outputs)) {
		parts = append(parts, page.CleanLine(name)+" "+cmp.Or(page.CleanLine(outputs[name]), "empty"))
	}
	return strings.Join(parts, ", ")
}
