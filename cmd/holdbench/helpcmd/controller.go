package helpcmd

import (
	"fmt"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/remote"
)

// controllerTopic is how a controller outside the program takes part.
func controllerTopic(v *page.Sheet) {
	written("controller")(v)
	v.Prose(fmt.Sprintf("Bounds. A line from the controller has at most %d KiB, a text %d bytes, a number is from -%.0f to %.0f, and an answer comes within the time of --answer-within, that to hello within --start-within, as an interpreter starts meanwhile. A name or a word that does not exist is refused, and so is more than one line at once.", remote.MaxLine>>10, remote.MaxText, remote.MaxNumber, remote.MaxNumber))
	v.Line()
	v.Prose("A controller that ends, answers wrongly or too late has no power from then on, on the bench: drive off, brake closed, operation inhibited. On a machine drive and brake do what their wiring makes of it, and outputs may keep their last values. The run tells why; check, probe, sweep and life count such runs. The next run has a new process, or waits for the next connection.")
	v.Line()
	v.Prose("Faults of its scans need no change of it, in lockstep: --fault scan-overrun, after which the watchdog stops it, scans-late=3 and scan-left-out. Time goes on meanwhile: take it from the line (t_s), do not count scans.")
	v.Line()
	v.Prose("Without a state in its answers nothing is known of its progress: faults that wait for a state do not come, and a run ends at its time limit unless an answer has an end. A probe then lets each fault begin at eighths of the run.")
	v.Line()
	v.Put(v.Plain(caution.Attached))
}

// linesTopic has the tables from which lines are made and read.
func linesTopic(v *page.Sheet) {
	section := func(title string, rows [][2]string) {
		v.Prose(title)
		table(v, rows)
	}
	var rows [][2]string
	for _, t := range remote.LineTypes() {
		rows = append(rows, [2]string{t.Name, t.About})
	}
	section("Lines to the controller, by their type. n counts the lines of a connection. Ignore keys that you do not know. The signals are those of holdbench list signals.", rows)
	v.Line()
	section("Keys of the answer to hello, all optional.", keyRows(remote.GreetingKeys()))
	v.Line()
	section("Keys of the answers to reset, scan and power_up, all optional.", keyRows(remote.AnswerKeys()))
}

func keyRows(keys []remote.AnswerKey) [][2]string {
	var rows [][2]string
	for _, k := range keys {
		rows = append(rows, [2]string{k.Name, k.Kind + ": " + k.About})
	}
	return rows
}
