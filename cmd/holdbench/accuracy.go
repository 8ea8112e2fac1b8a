package main

import (
	"fmt"
	"strings"

	"holdbench/plant"
)

// accuracyText runs the rig at its tick and at a fine one and lays the figures side by
// side.
func accuracyText(s *screen, rig *plant.Rig) string {
	t := table{head: []string{"", "at " + rig.Clock.Tick.String(), "at " + plant.FineTick(rig).String(), "", "apart", "when"}}
	worst := 0.0
	for _, d := range plant.Accuracy(*rig) {
		worst = max(worst, d.Relative())
		t.add(d.Name, fmt.Sprintf("%.6g", d.Working), fmt.Sprintf("%.6g", d.Fine), d.Unit, fmt.Sprintf("%.1e", d.Relative()), d.Manoeuvre)
	}
	var b strings.Builder
	b.WriteString(t.text(s, ""))
	verdict := fmt.Sprintf("The largest difference is %.1e of its figure. The tick is good for a thousandth.", worst)
	if worst > 1e-3 {
		verdict = fmt.Sprintf("The largest difference is %.1e of its figure, more than a thousandth: choose a shorter clock.tick.", worst)
	}
	b.WriteString("\n" + paragraph(verdict, "", s.width) + "\n")
	return b.String()
}
