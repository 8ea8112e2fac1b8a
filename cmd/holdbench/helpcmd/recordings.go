package helpcmd

import (
	"slices"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/identify"
	"holdbench/plant/recording"
)

// recordingsTopic is what to record on a machine for identify and evaluate.
func recordingsTopic(v *page.Sheet) {
	v.Prose("CAUTION. Recording moves a load that can fall. Qualified people only, by the machine's own instructions; nobody under the load; prop it or stand it at its support wherever the manoeuvre allows it. Begin slowly, above the support, with room below for the longest stop. Press no harder than the machine's own brake test does. A stop by the brake wears and heats it: few, from slow speeds, with pauses, and not if its maker forbids them.")
	v.Line()
	v.Prose("In this order, each with what it tells:")
	var rows [][2]string
	for _, m := range identify.Manoeuvres() {
		rows = append(rows, [2]string{m.Name, m.Do + ". Tells " + strings.Join(m.Tells, ", ")})
	}
	table(v, rows)
	v.Line()
	v.Prose("One file or several (--from), 1 or 2 ms from line to line; 4 ms will do for a test that evaluate judges. Record from a second before to a second after. These columns:")
	rows = nil
	for _, s := range recording.Signals() {
		if slices.Contains([]string{"t_s", "position_mm", "current_rms_a", "current_amp_a", "torque_nm", "torque_motor_nm", "brake", "brake_closed"}, s.Name) {
			rows = append(rows, [2]string{s.Name, s.Note})
		}
	}
	table(v, rows)
	v.Line()
	v.Prose("One of current_rms_a, current_amp_a and torque_nm is enough; the manual of the recorder says whether its current is an rms value or an amplitude (√2 times that). torque_motor_nm besides determines the torque constant, within 0.5 % for the gain of its transducer. Other names are mapped, and so are units, a sign, an offset and a delay: --columns time=Clock,position=-Carriage,current_amp=#3, --units position=um, --late current_amp=4ms. holdbench list recorded has all signals, holdbench identify --help the rules.")
	v.Line()
	v.Prose("Look at the pieces first (--found): a wrong kind is corrected there. Weigh the load if you can (--mass-kg). holdbench new recordings NAME writes files to try it with; the README has the lesson.")
}
