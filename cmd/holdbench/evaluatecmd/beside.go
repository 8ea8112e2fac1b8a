package evaluatecmd

import (
	"fmt"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/evaluate"
)

// besides is the simulated run beside the recording: differences of signals, and the same figures.
func (v *evaluationPage) besides() {
	b := v.beside
	if b == nil {
		v.Prose("None: " + v.alone + ".")
		return
	}
	v.Prose(fmt.Sprintf("scenario %s, sequence %s, seed %d: verdict %s, class %s", page.CleanLine(b.Scenario), page.CleanLine(b.Sequence), b.Seed, b.Verdict, b.Class))
	v.Prose(fmt.Sprintf("Aligned by %s: a time of the recording is %+.3g s later in the run. Compared from %s to %s of the recording, recorded less simulated:",
		b.AlignedBy, b.ShiftS, page.Seconds(b.FromS), page.Seconds(b.ToS)))
	t := page.Table{Head: []string{"", "mean", "rms", "largest", ""}}
	for _, s := range b.Signals {
		t.Add(s.Signal, difference(s.Mean), difference(s.RMS), difference(s.Largest), v.Plain(s.Unit+", at "+page.Seconds(s.LargestAtS)))
	}
	v.Put(t.Text(v.Screen, ""))
	v.Line()
	figures := page.Table{Head: []string{"", "measured", "simulated", ""}}
	for _, f := range evaluate.FigureList() {
		measured, simulated := f.Value(&v.result.Figures), f.Value(&b.Figures)
		if measured != nil || simulated != nil {
			figures.Add(f.Name, orDash(measured), orDash(simulated), v.Plain(f.Unit))
		}
	}
	v.Put(figures.Text(v.Screen, ""))
}

// difference is one for people, without what is only rounding.
func difference(x float64) string {
	if x > -1e-6 && x < 1e-6 {
		return "0"
	}
	return page.Figure(page.Round(x))
}

func orDash(x *float64) string {
	if x == nil {
		return "-"
	}
	return page.Figure(*x)
}
