package report

import (
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/evaluate"
)

// Judged is a recorded test that was judged again, and the simulation beside it.
type Judged struct {
	*evaluate.Evaluation
	Beside *evaluate.Beside // the run, aligned with the recording; nil if the two could not be aligned
	Apart  string           // why they could not be aligned
}

// verdict is the verdict on the recorded test in words.
func (j *Judged) verdict() string {
	if j.Cause != "" {
		return j.Verdict + " (" + j.Cause + ")"
	}
	if len(j.Reservations) > 0 {
		return j.Verdict + ", and not to be relied on"
	}
	return j.Verdict
}

// measured is what the recording shows of a quantity that the record has by this name; empty if it does not.
func (r *Run) measured(name string) Cell {
	if r.Judged == nil {
		return Cell{}
	}
	if name == "verdict" {
		return marked(r.Judged.verdict(), r.verdictDiffers() == "")
	}
	f, x := r.Judged.figure(name)
	switch b := r.bounds(name); {
	case x == nil:
		return Cell{}
	case b == nil:
		return Cell{Text: withUnit(*x, f.Unit)}
	default:
		return marked(withUnit(*x, f.Unit), b.Hold(*x))
	}
}

// marked is a measured value with whether it is as expected.
func marked(text string, met bool) Cell {
	if met {
		return Cell{Text: text + ": met"}
	}
	return Cell{Text: text + ": NOT met", Tone: "bad"}
}

// figure is one of the recorded test by its name; nil if there is no such figure, or the recording does not show it.
func (j *Judged) figure(name string) (evaluate.Figure, *float64) {
	for _, f := range evaluate.FigureList() {
		if f.Name == name {
			return f, f.Value(&j.Figures)
		}
	}
	return evaluate.Figure{}, nil
}

// addJudged adds the figures of the recorded test that no limit names, and the obligations that it was seen to
// break.
func (r *Run) addJudged(t *Table) {
	if r.Judged == nil {
		return
	}
	for _, f := range evaluate.FigureList() {
		x := f.Value(&r.Judged.Figures)
		if x == nil || f.Name == "load_drop_mm" || f.Name == "peak_torque_nm" {
			continue
		}
		simulated := ""
		if b := r.Judged.Beside; b != nil && f.Value(&b.Figures) != nil {
			simulated = withUnit(*f.Value(&b.Figures), f.Unit)
		}
		t.add(f.Title, "", simulated, "", withUnit(*x, f.Unit))
	}
	for _, o := range r.Judged.Obligations {
		if o.State == evaluate.Broken {
			t.addCells(Cell{Text: "obligation " + o.Name + " on the axis", Link: "obligations"}, Cell{Text: "must hold"}, Cell{}, Cell{}, Cell{Text: "broken at " + page.Seconds(*o.AtS) + ": " + o.Why, Tone: "bad"})
		}
	}
}

func withUnit(x float64, unit string) string { return page.Figure(page.Round(x)) + " " + unit }

// judgedNotes say what the column measured is.
func (r *Run) judgedNotes() []string {
	if r.Judged == nil {
		return nil
	}
	note := "Column measured: the recorded test judged again by the model of the judge, " + r.Judged.verdict()
	if r.Judged.PhaseMatters {
		note += " (the verdict depends on the phase of its scan, and this is the worst)"
	}
	list := []string{note + ". The verdict of the certified safety function is the one that counts."}
	for _, text := range r.Judged.Reservations {
		list = append(list, "Not to be relied on: "+text)
	}
	for _, text := range r.Judged.Assumptions {
		list = append(list, "Assumed there: "+text)
	}
	return list
}
