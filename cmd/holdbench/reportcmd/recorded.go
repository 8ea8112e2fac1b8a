package reportcmd

import (
	"context"
	"fmt"
	"strings"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/cmd/holdbench/report"
	"holdbench/plant/recording"
	"holdbench/sim/evaluate"
)

// onlyOne ties a recording to its run: there must be one.
func (j *job) onlyOne(ctx context.Context) error {
	if j.flags.against == "" {
		return nil
	}
	if len(j.runs) != 1 {
		return fmt.Errorf("--against is for one scenario, and there are %d; must be the one that was recorded", len(j.runs))
	}
	measured, err := command.ReadRecording(ctx, j.flags.against, j.flags.reading)
	if err != nil {
		return err
	}
	if j.recorded, err = report.NewRecorded(measured); err != nil {
		return err
	}
	if ready := j.runs[0].Ready; ready != nil {
		if _, err := j.flags.recording.Doubts(ctx, j.app, measured, &ready.Rig); err != nil {
			return err
		}
	}
	j.runs[0].Recorded = j.recorded
	j.judge(ctx, measured)
	j.tellLeftOut()
	return nil
}

// tellLeftOut names the columns of the recording that are not used, in a line for all of them.
func (j *job) tellLeftOut() {
	tell := func(what string, names []string) {
		if len(names) > 0 {
			_, _ = fmt.Fprintf(j.app.Stderr, "%s: %s: %s\n", page.CleanLine(j.flags.against), what, firstNames(names))
		}
	}
	tell("columns that are no known signal, and are not compared", j.recorded.Unknown())
	if j.runs[0].Judged == nil {
		tell("signals that the figure does not show, and are not compared", j.recorded.NotDrawn())
	}
}

// mostNames is how many names a line has; a trace of a run has some eighty columns.
const mostNames = 6

// firstNames are the first of a list of names, and how many there are besides.
func firstNames(names []string) string {
	if more := len(names) - mostNames; more > 1 {
		return strings.Join(names[:mostNames], ", ") + fmt.Sprintf(" and %d more", more)
	}
	return strings.Join(names, ", ")
}

// judge judges the recorded test again; where its signals do not do for that the column measured stays empty, as
// it does for the trace of a run, which is no measurement.
func (j *job) judge(ctx context.Context, measured *recording.Recording) {
	r := j.runs[0]
	if r.Ready == nil || measured.Simulated {
		return
	}
	e, err := command.EvaluateRecording(ctx, &r.Ready.Rig, measured, evaluate.Options{})
	if err != nil {
		for line := range strings.Lines(err.Error()) {
			r.NotJudged = append(r.NotJudged, j.names.shown(strings.TrimSpace(line)))
			_, _ = fmt.Fprintf(j.app.Stderr, "%s: not judged again: %s\n", page.CleanLine(j.flags.against), strings.TrimSpace(line))
		}
		return
	}
	r.Judged = &report.Judged{Evaluation: e}
	if r.Judged.Beside, err = e.Run(ctx, r.Ready, measured); err != nil {
		r.Judged.Beside, r.Judged.Apart = nil, j.names.shown(err.Error())
	}
}
