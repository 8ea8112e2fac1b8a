package report

import (
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/evaluate"
)

// Judged is a recorded test that was judged again, and the simulation beside it.
type Judged struct {
	*evaluate.Evaluation
	Simulated *evaluate.Figures // of the run, found in the same way; nil if the two could not be aligned
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
		return Cell{Text: r.Judged.verdict()}
	}
	for _, f := range evaluate.FigureList() {
		if x := f.Value(&r.Judged.Figures); f.Name == name && x != nil {
			return Cell{Text: withUnit(*x, f.Unit)}
		}
	}
	return Cell{}
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
		if s := r.Judged.Simulated; s != nil && f.Value(s) != nil {
			simulated = withUnit(*f.Value(s), f.Unit)
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
