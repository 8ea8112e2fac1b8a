package showcmd

import (
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// completeShown completes what show takes: documents, the word fault, and then its names.
func completeShown(c *cobra.Command, args []string, word string) ([]cobra.Completion, cobra.ShellCompDirective) {
	switch {
	case len(args) == 0:
		names, directive := command.CompleteNames(scenarios.Kinds()...)(c, args, word)
		return append(names, faultWord), directive
	case len(args) == 1 && args[0] == faultWord:
		return catalogue.Names(), cobra.ShellCompDirectiveNoFileComp
	}
	return nil, cobra.ShellCompDirectiveNoFileComp
}

// faultWord is what show takes before the name of a fault.
const faultWord = "fault"

// showFault prints the description of a fault on a rig.
func showFault(a *command.App, c *cobra.Command, name string, f *showFlags) error {
	for _, flag := range []string{"set", "sequence", "seed", "derived", "accuracy", "resolved"} {
		if c.Flags().Changed(flag) {
			return command.WrongUse(c, "--%s is not for faults; %s is one", flag, name)
		}
	}
	one, err := catalogue.Find(name)
	if err != nil {
		return command.WrongUse(c, "%v", err)
	}
	reference := f.overrides.Rig
	if reference == "" {
		reference = demoRig
	}
	rig, _, err := scenarios.LoadRig(reference)
	if err != nil {
		return err
	}
	logic, _, err := scenarios.LoadLogic(scenarios.SequenceFor(rig, ""), a.Reach)
	if err != nil {
		return err
	}
	text := faultText(a.Screen(false), &one, rig, logic.About(), reference)
	return a.Printed(func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	})
}

// demoRig is the rig on which a fault is shown by default.
const demoRig = "pane-hoist"

func faultText(s *page.Screen, f *catalogue.Entry, rig *plant.Rig, d *sequence.Description, reference string) string {
	var b strings.Builder
	b.WriteString(s.Style.Strong.Render(f.Name) + "\n" + page.Paragraph(f.What, "", s.Width) + "\n")
	about := &page.Table{}
	about.Add("group", f.Group)
	about.Add("when", faultWhen(f))
	about.Add("reversible", faultReversible(f))
	about.Add("detected by", f.DetectedBy)
	about.Add("remedy", f.Remedy+": "+remedyText(f.Remedy))
	b.WriteString(about.Text(s, ""))
	b.WriteString("\n" + s.Style.Strong.Render("on rig "+page.CleanLine(rig.Rig)) + "\n")
	if !f.Fits(rig) {
		b.WriteString(page.Paragraph("It does not apply: the rig lacks what it needs, or has the fault already.", "  ", s.Width))
		return b.String()
	}
	b.WriteString(faultSets(f, rig, d).Text(s, "  "))
	if list := scenariosWith(f, rig, d); len(list) > 0 {
		b.WriteString("\n" + s.Style.Strong.Render("built-in scenarios that set the same keys") + "\n")
		b.WriteString(page.Paragraph(strings.Join(list, ", "), "  ", s.Width))
	}
	b.WriteString("\n" + s.Style.Strong.Render("try it") + "\n" + tryFault(f, reference))
	return b.String()
}

func faultWhen(f *catalogue.Entry) string {
	if f.WholeRun() {
		return "from the start of a run"
	}
	return "at any moment of a run"
}

// faultReversible is how a fault ends.
func faultReversible(f *catalogue.Entry) string {
	switch {
	case f.Settings != nil:
		return "no, it is set before the run"
	case f.Permanent:
		return "no, it is permanent within a run"
	case f.Duration > 0:
		return "yes, it ends after " + f.Duration.String()
	}
	return "yes, it stays until it is removed"
}

func remedyText(name string) string {
	for _, r := range catalogue.Remedies() {
		if r.Name == name {
			return r.Text
		}
	}
	return ""
}

// faultSets is what a fault sets on a rig, from mild to severe.
func faultSets(f *catalogue.Entry, rig *plant.Rig, d *sequence.Description) *page.Table {
	t := &page.Table{}
	s := f.Scale
	if s != nil {
		t.Head = []string{"", "mild", "usual", "severe", ""}
		t.Add("NUMBER", page.Figure(s.Mild), page.Figure(s.Usual), page.Figure(s.Severe), s.Unit)
	}
	values := f.Values(rig, f.Usual())
	for _, target := range slices.Sorted(maps.Keys(values)) {
		switch {
		case s != nil && target == s.Target:
			t.Add(target, s.Text(rig, s.Mild), s.Text(rig, s.Usual), s.Text(rig, s.Severe), targetUnit(target))
		case s != nil:
			t.Add(target, "", values[target], "", targetUnit(target))
		default:
			t.Add(target, values[target]+" "+targetUnit(target))
		}
	}
	set, missing := f.SettingsOn(rig, d)
	for _, key := range slices.Sorted(maps.Keys(set)) {
		t.Add("set "+key, page.CleanLine(set[key]))
	}
	if len(missing) > 0 {
		t.Add("nothing", "sequence "+page.CleanLine(d.Name)+" gives no parameter the role "+strings.Join(missing, ", "))
	}
	return t
}

// targetUnit is the unit of what a fault can change; a duration carries its own.
func targetUnit(name string) string {
	for _, t := range sim.Targets() {
		if t.Name == name && t.Unit != "s" {
			return t.Unit
		}
	}
	return ""
}

// scenariosWith are the built-in scenarios whose faults or settings set what a fault sets.
func scenariosWith(f *catalogue.Entry, rig *plant.Rig, d *sequence.Description) []string {
	wanted := map[string]bool{}
	for target := range f.Values(rig, f.Usual()) {
		wanted[target], wanted["rig."+target] = true, true
	}
	settings, _ := f.SettingsOn(rig, d)
	for key := range settings {
		wanted[key] = true
	}
	var list []string
	for _, name := range scenarios.Names(scenarios.ScenarioKind) {
		if ready, _, err := scenarios.LoadCase(name, scenarios.Overrides{}); err == nil && setsOneOf(&ready.Scenario, wanted) {
			list = append(list, name)
		}
	}
	return list
}

func setsOneOf(s *sim.Scenario, wanted map[string]bool) bool {
	for key := range s.Set {
		if wanted[key] {
			return true
		}
	}
	for i := range s.Script {
		for button := range s.Script[i].Set {
			if wanted["operator."+button] {
				return true
			}
		}
	}
	for i := range s.Faults {
		for target := range s.Faults[i].Set {
			if wanted[target] {
				return true
			}
		}
	}
	return false
}

// tryFault is the command that runs a fault, to be copied.
func tryFault(f *catalogue.Entry, rig string) string {
	n := catalogue.Selection{Entry: *f, Severity: f.Usual()}
	if !f.WholeRun() {
		n.When.State = "press_down"
	}
	command := "  holdbench run healthy-down-and-up"
	if rig != demoRig {
		command += " --rig " + page.CleanLine(rig)
	}
	return command + " \\\n    --fault " + n.String() + "\n"
}
