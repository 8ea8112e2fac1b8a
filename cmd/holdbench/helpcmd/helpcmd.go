// Package helpcmd has the topics of holdbench help: what documents look like, and what the terms
// of a result mean.
package helpcmd

import (
	"embed"
	"fmt"
	"strconv"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
)

//go:embed topics/*.txt
var texts embed.FS

// topic is one page of help.
type topic struct {
	name, about string
	write       func(v *page.Sheet)
}

func topics() []topic {
	return []topic{
		{"documents", "rigs, sequences and scenarios", written("documents")},
		{"rig", "reference of rigs: all keys with unit, range and default", rigTopic},
		{"sequence", "the sequence language, its keys, signals and roles", sequenceTopic},
		{"scenario", "reference of scenarios: keys, faults, obligations", scenarioTopic},
		{"program", "programs in Structured Text, and their binding", written("program")},
		{"st", "Structured Text on the bench: what stops it, what wraps around", written("st")},
		{"binding", "reference of bindings: all keys", bindingTopic},
		{"judge", "the judges that are built in, and what to compare with one's own", written("judge")},
		{"stop", "the stop of the safety side, and its reset", written("stop")},
		{"memory", "values that a sequence keeps, and roles of its parameters", written("memory")},
		{"expressions", "expressions of a sequence: operators, functions, units", expressionsTopic},
		{"recordings", "what to record on an axis, and which value it tells", recordingsTopic},
		{"controller", "controllers outside the program", controllerTopic},
		{"protocol", "the lines between them and the bench", linesTopic},
		{"classes", "classes of a run", classes},
		{"obligations", "requirements of every run", obligations},
		{"exit-codes", "exit codes of all commands", exitCodes},
	}
}

// Topics are commands that do nothing but print their help, as cobra lists them apart.
func Topics(a *command.App) []*cobra.Command {
	var list []*cobra.Command
	for _, t := range topics() {
		c := &cobra.Command{Use: t.name, Short: t.about}
		c.SetHelpFunc(func(c *cobra.Command, _ []string) {
			sheet := page.NewSheet(a.Screen(false))
			t.write(&sheet)
			c.Print(sheet.String()) // errors are found at the end, see command.App
		})
		list = append(list, c)
	}
	return list
}

// written is a topic that is a text.
func written(name string) func(v *page.Sheet) {
	return func(v *page.Sheet) {
		text, err := texts.ReadFile("topics/" + name + ".txt")
		if err != nil {
			panic(err) // it is part of the program
		}
		v.Put(v.Plain(string(text)))
	}
}

// table prints names with their meanings.
func table(v *page.Sheet, rows [][2]string) {
	t := page.Table{}
	for _, r := range rows {
		t.Add(r[0], r[1])
	}
	v.Line()
	v.Put(t.Text(v.Screen, "  "))
}

func classes(v *page.Sheet) {
	v.Prose("Every run is assessed as a whole against the truth, which are values of the plant that the sequence cannot read: whether the torque of the brake is sufficient, at the verdict and at the end of the run, and whether the load was held from the start of the run to its end. With that goes whether the sequence released operation on a proof of this run.")
	var rows [][2]string
	for _, c := range sim.Classes() {
		rows = append(rows, [2]string{string(c), command.ClassDefinition(c)})
	}
	table(v, rows)
	v.Line()
	v.Prose("The torque is sufficient if the static torque of the brake is at least the required test torque: the test factor of the rig (test.factor) times the maximum static load torque at the motor shaft. Of two brakes each must be sufficient alone. A proof counts only if the judge gave it in this run, and operation is released if it is allowed at the end or the sequence passed. Caught is the class of every run with insufficient torque in which operation is not released on such a proof, whatever the reason; a sequence that passes all the same, on an older proof or none, has missed it. So has one that passes without a proof after the load was not held. Without a release, a load that was not held is a fault like any other: where nothing else was wrong it is one of the controller or of the values of the rig. Where the controller itself let the load fall, the run says by which command.")
	v.Line()
	v.Prose("Beside the class stands whether the judge's verdict was right. A proof is right if the torque was sufficient at that moment, a failure if it was insufficient or another fault was active. The class can differ from it: the proof of a brake that the sequence then locks out is wrong by the judge and caught by the sequence.")
	v.Line()
	v.Prose("A test proves the required test torque and no more. run, and the objects of run and check with --json, also have the load drop that a power failure would cause with each brake alone as it is at the verdict and at the end: from rest, and while the load moves downwards with the speed of the drive, against the drop limit of the rig (test.drop_limit_mm). A brake with sufficient torque can miss that limit; size works out the torque that meets it.")
	v.Line()
	v.Prose("The class is no verdict on the sequence: obligations that were broken are listed beside it (holdbench help obligations). A scenario expects a class in expect.class; check counts runs by class, probe ranks missed first, and sweep estimates the rates of missed and false-alarm.")
}

func obligations(v *page.Sheet) {
	v.Prose("Obligations are requirements that hold in every run, whatever the fault. A broken one is an error of the sequence, of the rig's values or of the judge, or harm that only the machine can prevent, even if the class of the run is right.")
	var rows [][2]string
	for _, o := range sim.Obligations() {
		rows = append(rows, [2]string{o.Name, o.Rule})
	}
	table(v, rows)
	v.Line()
	v.Prose("They are judged from the start of the run, whatever state the controller is in and whether it tells one. What the drive moves on command (drive: move) is no load drop. fresh-proof, locked-out and restored are judged by the end of the sequence: if the controller told nothing but its first state, they stand as not judged. restored allows a pass to release operation that was inhibited at the start.")
	v.Line()
	v.Prose("A scenario states obligations: all, or lists those that it breaks on purpose, each with the reason: {broken: no-drop, why: the brake fails at once}. run prints the time and the figures of a broken one, and ends with exit code 1 if it was not expected.")
}

func exitCodes(v *page.Sheet) {
	v.Prose("The exit codes are the same for all commands.")
	var rows [][2]string
	for _, e := range command.ExitCodes() {
		rows = append(rows, [2]string{strconv.Itoa(e.Code), e.Meaning})
	}
	table(v, rows)
	v.Line()
	v.Prose(fmt.Sprintf("An interruption takes precedence over a document that cannot be used, and that over a result that is not as expected. What counts for %d depends on the command and is in its help: for run an expectation that is not met, for check --mutate too few noticed mutants, for probe a cell to review or, with --baseline, one that became worse, and an entry of --accept that no longer applies, for size bounds that cross. sweep, merge and life show figures and do not judge them.", command.ExitBroken))
}
