package showcmd

import (
	"fmt"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/scenarios"
)

// accuracyText compares figures of the rig at its tick and at a fine one.
func accuracyText(s *page.Screen, rig *plant.Rig, _ *scenarios.Review) string {
	t := page.Table{Head: []string{"", "at " + rig.Clock.Tick.String(), "at " + plant.FineTick(rig).String(), "", "error", "manoeuvre"}}
	worst := 0.0
	for _, d := range plant.Accuracy(*rig) {
		worst = max(worst, d.Relative())
		t.Add(d.Name, fmt.Sprintf("%.6g", d.Working), fmt.Sprintf("%.6g", d.Fine), d.Unit, fmt.Sprintf("%.1e", d.Relative()), d.Manoeuvre)
	}
	var b strings.Builder
	b.WriteString(t.Text(s, ""))
	verdict := fmt.Sprintf("The largest relative error is %.1e, within 1e-3: the tick is short enough.", worst)
	if worst > 1e-3 {
		verdict = fmt.Sprintf("The largest relative error is %.1e, above 1e-3: choose a shorter clock.tick.", worst)
	}
	b.WriteString("\n" + page.Paragraph(verdict, "", s.Width) + "\n")
	return b.String()
}
