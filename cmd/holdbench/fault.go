package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// faultUsage explains how a named fault is written.
const faultUsage = "add a `FAULT` by name, as lining-worn"

// namedFaults reads the faults of a command line.
func namedFaults(c *cobra.Command, texts []string) ([]catalogue.Selection, error) {
	var list []catalogue.Selection
	for _, text := range texts {
		n, err := catalogue.Parse(text)
		if err != nil {
			return nil, usage(c, "--fault %v", err)
		}
		list = append(list, n)
	}
	return list, nil
}

// withFaults puts named faults into a case. What its scenario expects is not asked any more,
// but for the obligations; nor does its lesson fit.
func withFaults(ready *sim.Case, faults []catalogue.Selection) (*sim.Case, error) {
	if len(faults) == 0 {
		return ready, nil
	}
	s := ready.Scenario
	s.Expect, s.Lesson, s.Teaches, s.Remedy = sim.Expect{}, nil, "", ""
	made := ready
	for i := range faults {
		n := &faults[i]
		if needs := n.Entry.Needs; needs != nil && !needs(&ready.Rig) {
			return nil, fmt.Errorf("--fault %v: %s makes no sense on rig %s; see holdbench show fault %[2]s", n, n.Entry.Name, ready.Rig.Rig)
		}
		n.AddTo(&s, &ready.Rig)
		var problems []sim.Problem
		if made, problems = ready.With(s); made == nil {
			wrong := slices.IndexFunc(problems, func(p sim.Problem) bool { return !p.Warning })
			return nil, fmt.Errorf("--fault %v: %s", n, problems[wrong].Message)
		}
	}
	return made, nil
}

// completeFaults completes names of faults, and states behind an @.
func completeFaults(c *cobra.Command, args []string, word string) ([]cobra.Completion, cobra.ShellCompDirective) {
	const more = cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
	before, _, at := strings.Cut(word, "@")
	if !at {
		return catalogue.Names(), more
	}
	var list []cobra.Completion
	if d := documentInQuestion(c, args); d != nil {
		for _, s := range d.States {
			list = append(list, before+"@"+s.Name)
		}
	}
	return list, more
}

// completeShown completes what show takes: documents, the word fault, and then its names.
func completeShown(c *cobra.Command, args []string, word string) ([]cobra.Completion, cobra.ShellCompDirective) {
	switch {
	case len(args) == 0:
		names, directive := completeNames(scenarios.Kinds()...)(c, args, word)
		return append(names, faultWord), directive
	case len(args) == 1 && args[0] == faultWord:
		return catalogue.Names(), cobra.ShellCompDirectiveNoFileComp
	}
	return nil, cobra.ShellCompDirectiveNoFileComp
}

// faultWord is what show takes before the name of a fault.
const faultWord = "fault"

// showFault prints all that there is to say about a fault on a rig.
func (a *app) showFault(c *cobra.Command, name string, f *showFlags) error {
	for _, flag := range []string{"set", "sequence", "seed", "derived", "accuracy", "resolved"} {
		if c.Flags().Changed(flag) {
			return usage(c, "--%s is not for faults; %s is one", flag, name)
		}
	}
	one, err := catalogue.Find(name)
	if err != nil {
		return usage(c, "%v", err)
	}
	reference := f.overrides.rig
	if reference == "" {
		reference = demoRig
	}
	rig, _, err := scenarios.LoadRig(reference)
	if err != nil {
		return err
	}
	text := faultText(a.screen(false), &one, rig, reference)
	return a.printed(func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	})
}

// demoRig is the rig on which a fault is shown unless another one is asked for.
const demoRig = "pane-hoist"

func faultText(s *screen, f *catalogue.Entry, rig *plant.Rig, reference string) string {
	var b strings.Builder
	b.WriteString(s.style.strong.Render(f.Name) + "\n" + paragraph(f.What, "", s.width) + "\n")
	about := &table{}
	about.add("group", f.Group)
	about.add("when", faultWhen(f))
	about.add("undone", faultUndone(f))
	about.add("noticed", f.DetectedBy)
	about.add("remedy", f.Remedy+": "+remedyText(f.Remedy))
	b.WriteString(about.text(s, ""))
	b.WriteString("\n" + s.style.strong.Render("on rig "+cleanLine(rig.Rig)) + "\n")
	if !f.Fits(rig) {
		b.WriteString(paragraph("It makes no sense there: the rig has not what it needs, or has the fault already.", "  ", s.width))
		return b.String()
	}
	b.WriteString(faultSets(f, rig).text(s, "  "))
	if list := scenariosWith(f, rig); len(list) > 0 {
		b.WriteString("\n" + s.style.strong.Render("built-in scenarios that set the same") + "\n")
		b.WriteString(paragraph(strings.Join(list, ", "), "  ", s.width))
	}
	b.WriteString("\n" + s.style.strong.Render("try it") + "\n" + tryFault(f, reference))
	return b.String()
}

func faultWhen(f *catalogue.Entry) string {
	if f.WholeRun() {
		return "from the start of a run"
	}
	return "at any moment of a run"
}

// faultUndone says what becomes of a fault that has come.
func faultUndone(f *catalogue.Entry) string {
	switch {
	case f.Settings != nil:
		return "no, it is typed in before the run"
	case f.Permanent:
		return "no, nothing takes it back within a run"
	case f.Duration > 0:
		return "yes, by itself after " + f.Duration.String()
	}
	return "yes; it stays unless it is taken back"
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
func faultSets(f *catalogue.Entry, rig *plant.Rig) *table {
	t := &table{}
	s := f.Scale
	if s != nil {
		t.head = []string{"", "mild", "usual", "severe", ""}
		t.add("NUMBER", figure(s.Mild), figure(s.Usual), figure(s.Severe), s.Unit)
	}
	values := f.Values(rig, f.Usual())
	for _, target := range sortedKeys(values) {
		switch {
		case s != nil && target == s.Target:
			t.add(target, s.Text(rig, s.Mild), s.Text(rig, s.Usual), s.Text(rig, s.Severe), targetUnit(target))
		case s != nil:
			t.add(target, "", values[target], "", targetUnit(target))
		default:
			t.add(target, values[target]+" "+targetUnit(target))
		}
	}
	if f.Settings != nil {
		set := f.Settings(rig)
		for _, key := range sortedKeys(set) {
			t.add("set "+key, cleanLine(set[key]))
		}
	}
	return t
}

// targetUnit is the unit of what a fault can change; a duration carries its own.
func targetUnit(name string) string {
	for _, t := range sim.FaultTargets() {
		if t.Name == name && t.Unit != "s" {
			return t.Unit
		}
	}
	return ""
}

// scenariosWith are the built-in scenarios whose faults or settings set what a fault sets.
func scenariosWith(f *catalogue.Entry, rig *plant.Rig) []string {
	wanted := map[string]bool{}
	for target := range f.Values(rig, f.Usual()) {
		wanted[target], wanted["rig."+target] = true, true
	}
	if f.Settings != nil {
		for key := range f.Settings(rig) {
			wanted[key] = true
		}
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

// tryFault is the command that shows a fault at work, to be copied as it is.
func tryFault(f *catalogue.Entry, rig string) string {
	n := catalogue.Selection{Entry: *f, Severity: f.Usual()}
	if !f.WholeRun() {
		n.When.State = "press_down"
	}
	command := "  holdbench run healthy-down-and-up"
	if rig != demoRig {
		command += " --rig " + cleanLine(rig)
	}
	return command + " \\\n    --fault " + n.String() + "\n"
}
