package evaluatecmd

import (
	"fmt"
	"slices"
	"strings"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/evaluate"
	"holdbench/sim/safety"
)

// evaluationPage is the page of an evaluation: verdict, margins, values at which it changes, figures,
// obligations, and what all that rests on.
type evaluationPage struct {
	page.Sheet
	*evaluated
}

const scope = "A second look by a model of a judge, at the signals of a recorder. The verdict of the certified safety function of the machine is the one that counts."

func (v *evaluationPage) text() string {
	e := v.result
	v.Line(v.Style.Strong.Render(page.CleanLine(e.Source)))
	v.Prose(v.about())
	v.Line()
	v.Prose(scope)
	v.Section("verdict")
	v.verdict()
	if len(e.Checks) > 0 {
		v.Section("checks")
		v.checks()
		v.Section("values at which the verdict changes")
		v.thresholds()
	}
	v.Section("figures")
	v.figures()
	v.Section("obligations")
	v.obligations()
	v.Section("beside a simulated run")
	v.besides()
	v.Section("read from")
	v.inputs()
	v.Line()
	v.Put(caution.Short)
	return v.String()
}

// about is what was judged, by what.
func (v *evaluationPage) about() string {
	e := v.result
	parts := []string{fmt.Sprintf("rig %s, judge of %s", page.CleanLine(e.Rig), v.ready.Rig.Judge.Kind)}
	if e.Date != "" {
		parts = append(parts, "test of "+page.CleanLine(e.Date))
	}
	parts = append(parts, fmt.Sprintf("recorded from %s to %s, position every %s ms", page.Seconds(e.FromS), page.Seconds(e.ToS), page.Figure(e.SampleMS)), "SHA-256 "+shortSum(e.SHA256))
	if len(v.settings) > 0 {
		parts = append(parts, "judged with "+strings.Join(v.settings, ", ")+" in place of the rig's own")
	}
	return strings.Join(parts, "; ")
}

func shortSum(sum string) string { return sum[:min(16, len(sum))] }

// verdictText is the verdict in a few words.
func (z *evaluated) verdictText() string {
	e := z.result
	switch {
	case e.Verdict == evaluate.None && e.Cause != "":
		return "no verdict: the recording has a gap in a check"
	case e.Verdict == evaluate.None:
		return "no verdict"
	case e.Cause != "":
		return e.Verdict + ": " + e.Cause
	}
	if len(e.Reservations) > 0 {
		return e.Verdict + ", and not to be relied on"
	}
	return e.Verdict
}

func (v *evaluationPage) verdict() {
	e, g := v.result, v.Signs()
	sign := v.Style.Bad.Render(g.Bad)
	if e.Reliable() {
		sign = v.Style.Good.Render(g.Good)
	}
	v.Line(sign, " ", v.verdictText(), v.phaseText(), againstText(e))
	for _, d := range e.Directions {
		what := d.Outcome
		if d.Cause != "" {
			what += ": " + d.Cause
		}
		if !d.Required {
			what += " (not required for a proof)"
		}
		if d.Detail != "" {
			v.marked("  "+v.name(d.Brake, d.Direction)+": ", what+", "+d.Detail)
			continue
		}
		v.Line("  ", v.name(d.Brake, d.Direction), ": ", what)
	}
	for _, text := range e.Reservations {
		v.marked("! not to be relied on  ", text)
	}
	for _, text := range e.Remarks {
		v.marked("! movement  ", text)
	}
	for _, text := range v.doubts {
		v.marked("! doubtful  ", text)
	}
	v.words()
	if e.PhaseMatters {
		v.Line()
		v.Prose(v.phases())
	}
}

// words explains the outcomes and causes that occur and do not explain themselves.
func (v *evaluationPage) words() {
	for _, of := range [][2]string{
		{evaluate.AskEnded, "the ask ended before the check had a verdict"},
		{evaluate.Refused, "a failure stood that was not acknowledged"},
		{evaluate.Unfinished, "the recording ended before the check did"},
		{safety.CauseNoDwell, "the requirement was met, but not for the whole dwell before the deadline"},
	} {
		if slices.ContainsFunc(v.result.Directions, func(d evaluate.Direction) bool { return d.Outcome == of[0] || d.Cause == of[0] }) {
			v.Prose(of[0] + ": " + of[1] + ".")
		}
	}
}

// againstText says what a verdict compares with, where that was not recorded.
func againstText(e *evaluate.Evaluation) string {
	switch e.Requirement {
	case evaluate.RequirementSized:
		return "\n  against the sized requirement, as none is recorded"
	case evaluate.RequirementBare:
		return "\n  against the bare test torque only, as no requirement is recorded: no proof"
	}
	return ""
}

func (v *evaluationPage) phaseText() string {
	e := v.result
	if e.PhaseMatters {
		return fmt.Sprintf(", at the phase of %s ms", page.Figure(e.PhaseMS))
	}
	if len(e.Phases) == 1 {
		return ""
	}
	return fmt.Sprintf(", at each of %d phases of the safety scan", len(e.Phases))
}

// phases lists the verdicts by phase.
func (v *evaluationPage) phases() string {
	e := v.result
	var list []string
	for _, p := range e.Phases {
		what := p.Verdict
		if p.Cause != "" {
			what += " (" + p.Cause + ")"
		}
		list = append(list, fmt.Sprintf("%s ms %s", page.Figure(p.PhaseMS), what))
	}
	return "The verdict depends on when the safety side scans, which the recording does not show; the worst is reported. Phase from the beginning of the recording: " + strings.Join(list, ", ") + "."
}

func (v *evaluationPage) figures() {
	v.figuresOf(&v.result.Figures)
	if second := v.result.Figures2; second != nil {
		v.Line(v.Style.Strong.Render("brake 2"))
		v.figuresOf(second)
	}
}

func (v *evaluationPage) figuresOf(f *evaluate.Figures) {
	t := page.Table{}
	var missing []string
	for _, of := range evaluate.FigureList() {
		x := of.Value(f)
		if x == nil {
			missing = append(missing, of.Name)
			continue
		}
		note := of.Note
		if of.Name == "stopping_mm" && f.StoppingBy != "" {
			note += "; by the " + f.StoppingBy
		}
		t.Add(of.Name, v.Plain(number(*x, of.Unit)), v.Plain(note))
	}
	v.Put(t.Text(v.Screen, ""))
	if len(missing) > 0 && f == &v.result.Figures {
		v.Prose("Not shown by the recording: " + strings.Join(missing, ", ") + ".")
	}
}

func (v *evaluationPage) obligations() {
	g := v.Signs()
	t := page.Table{}
	for _, o := range v.result.Obligations {
		state := o.State
		switch o.State {
		case evaluate.Kept:
			state = g.Good + " kept"
		case evaluate.Broken:
			state = g.Bad + " broken"
		case evaluate.Unknown:
			state = "? unknown"
		}
		why := o.Why
		if o.AtS != nil {
			why = fmt.Sprintf("at %s: %s", page.Seconds(*o.AtS), o.Why)
		}
		t.Add(state, o.Name, v.Plain(why))
	}
	v.Put(t.Text(v.Screen, ""))
	v.Prose("Kept and broken are by the signals: a load that is no longer on the shaft, an encoder or a transducer that reads wrong is not seen. Unknown is never kept.")
}

func (v *evaluationPage) inputs() {
	t := page.Table{}
	for _, i := range v.result.Inputs {
		from := i.From
		if from == "" {
			from = "-"
		}
		t.Add(i.Input, from, v.Plain(i.How))
	}
	v.Put(t.Text(v.Screen, ""))
	for _, text := range v.result.Assumptions {
		v.marked("! assumed  ", text)
	}
	v.Prose(fmt.Sprintf("A sample of position or current stands for at most %s s.", page.Figure(v.result.MaxGapS)))
}

// marked puts a word ahead of a text that goes on below itself.
func (v *evaluationPage) marked(mark, text string) {
	for i, line := range page.Wrap(v.Plain(text), v.Width-page.Cells(mark)) {
		if i == 0 {
			v.Line(v.Style.Warning.Render(mark), line)
		} else {
			v.Line(strings.Repeat(" ", page.Cells(mark)), line)
		}
	}
}
