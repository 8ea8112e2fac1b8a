package report

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
)

func (r *Run) facts() []Fact {
	var list []Fact
	add := func(name string, c Cell) {
		if c.Text != "" {
			list = append(list, Fact{name, c})
		}
	}
	s := &r.Ready.Scenario
	add("purpose", Cell{Text: r.asItStands(s.Teaches)})
	add("rig", Cell{Text: page.CleanLine(r.Ready.Rig.Rig), Link: r.Rig.id()})
	add("sequence", Cell{Text: page.CleanLine(r.Ready.Sequence.Name), Link: r.Sequence.id()})
	add("seed", Cell{Text: strconv.FormatUint(r.Ready.Seed, 10)})
	add("values set", Cell{Text: settings(s.Set, "; ")})
	add("operator", Cell{Text: scriptText(s.Script)})
	add("faults", Cell{Text: faultsText(s.Faults)})
	add("class", Cell{Text: string(r.Result.Class) + ": " + command.ClassMeaning(r.Result), Links: []Link{{"classes", "classes"}}})
	if v := r.Result.VerdictRight; v != nil && !*v {
		add("judge", Cell{Text: "the verdict " + r.Result.Verdict + " does not agree with the true capacity of the brake"})
	}
	if stop := r.Result.ControllerStopped; stop != nil {
		add("controller", Cell{Text: page.CleanLine(stop.String())})
	}
	if text := r.Result.NotAppliedText(); text != "" {
		add("limits", Cell{Text: page.CleanLine(text), Tone: "warn"})
	}
	for _, text := range r.Result.WithoutEffect() {
		add("remark", Cell{Text: page.CleanLine(text), Tone: "warn"})
	}
	add("remedy", Cell{Text: r.asItStands(s.Remedy)})
	add("document", Cell{Text: page.CleanLine(r.Reference) + ", SHA-256 " + r.SHA256})
	return list
}

// asItStands is a text of the scenario on its run. It is of its own sequence, and says so where another one ran.
func (r *Run) asItStands(text string) string {
	if text == "" || !r.Replaced {
		return page.CleanLine(text)
	}
	return "of the scenario with its own sequence: " + page.CleanLine(text)
}

// settings are the values that were set.
func settings(set map[string]string, between string) string {
	var list []string
	for _, key := range slices.Sorted(maps.Keys(set)) {
		list = append(list, page.CleanLine(key)+" = "+page.CleanLine(set[key]))
	}
	return strings.Join(list, between)
}

func scriptText(script []sim.Action) string {
	if len(script) == 0 {
		return "trigger at 0.5 s"
	}
	var list []string
	for _, a := range script {
		var set []string
		for _, button := range slices.Sorted(maps.Keys(a.Set)) {
			word := "off"
			if a.Set[button] {
				word = "on"
			}
			set = append(set, page.CleanLine(button)+" "+word)
		}
		text := "at " + page.Seconds(a.At.Seconds()) + " " + strings.Join(set, ", ")
		if a.For > 0 {
			text += " for " + page.Seconds(a.For.Seconds())
		}
		list = append(list, text)
	}
	return strings.Join(list, "; ")
}

func faultsText(faults []sim.Fault) string {
	if len(faults) == 0 {
		return "none"
	}
	var list []string
	for i := range faults {
		f := &faults[i]
		text := momentText(f) + ": "
		if f.Fault != "" {
			text += page.CleanLine(f.Fault) + ", "
		}
		list = append(list, text+settings(f.Set, ", "))
	}
	return strings.Join(list, "; ")
}

func momentText(f *sim.Fault) string {
	text := "from the start"
	switch {
	case f.At != nil:
		text = "at " + page.Seconds(f.At.Seconds())
	case f.When != nil && f.When.State != "":
		text = "in " + page.CleanLine(f.When.State)
	}
	if f.When != nil && f.When.After > 0 {
		text += " after " + page.Seconds(f.When.After.Seconds())
	}
	if f.For > 0 {
		text += " for " + page.Seconds(f.For.Seconds())
	}
	return text
}
