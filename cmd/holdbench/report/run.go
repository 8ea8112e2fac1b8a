package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
)

// Run is one test case: a scenario, and what came of it.
type Run struct {
	Number           int // from 1, in the order of the record
	Reference, Group string
	SHA256           string // of the document
	Ready            *sim.Case
	Result           *sim.Result
	Err              error // document or run cannot be used
	Unreviewed       bool  // its expectation was recorded from a run and is not reviewed
	Figure           Figure
	Replaced         bool // another sequence ran in place of its own

	Rig       *Rig
	Sequence  *Sequence
	Recorded  *Recorded // nil without signals of the real axis
	Judged    *Judged   // the same, judged again; nil if they do not do for that
	NotJudged []string  // why they do not
}

// The words for what came of a test case.
const (
	asExpected = "as expected"
	repeated   = "as recorded, not reviewed"
	notAs      = "not as expected"
	unusable   = "not usable"
)

func (r *Run) id() string { return "case-" + strconv.Itoa(r.Number) }

// sign is the number of a case as it is referred to.
func (r *Run) sign() string { return "T" + strconv.Itoa(r.Number) }

func (r *Run) link() Link { return Link{r.sign(), r.id()} }

// name is that of the scenario, or what it was asked for by.
func (r *Run) name() string {
	if r.Ready != nil {
		return page.CleanLine(r.Ready.Scenario.Scenario)
	}
	return page.CleanLine(r.Reference)
}

func (r *Run) outcome() (word, tone string) {
	switch {
	case r.Err != nil || r.Result == nil:
		return unusable, "bad"
	case r.Result.Met() && r.Unreviewed:
		return repeated, "warn"
	case r.Result.Met():
		return asExpected, "good"
	}
	return notAs, "bad"
}

// shownOutcome is the outcome with that of a recorded test that is not as expected.
func (r *Run) shownOutcome() (word, tone string) {
	word, tone = r.outcome()
	if r.Differs() {
		return word + "; recorded test " + notAs, "bad"
	}
	return word, tone
}

// Draw draws the run from its trace. The error is that of a recording of another time.
func (r *Run) Draw(t *Trace) error {
	if r.Recorded != nil {
		r.Recorded.align(r.Judged)
		if err := r.Recorded.apart(t); err != nil {
			return fmt.Errorf("%s: %w", r.Recorded.Source, err)
		}
	}
	p := &plot{label: r.sign() + " " + r.name() + " over time", axis: "time, s", to: t.end(), stretches: r.stretches(t.end())}
	p.panels = []panel{r.positionPanel(t), r.torquePanel(t), r.currentPanel(t)}
	r.Figure = Figure{Drawing: p.svg()}
	if r.Recorded != nil {
		r.Figure.Notes = append(r.Recorded.notes(t, r.Judged), r.judgedNotes()...)
	}
	return nil
}

func (r *Run) stretches(end float64) []stretch {
	var list []stretch
	for i, v := range r.Result.Visits {
		to := min((v.At + v.Stay).Seconds(), end)
		if i == len(r.Result.Visits)-1 { // the run goes on for a while behind its end
			to = end
		}
		list = append(list, stretch{v.At.Seconds(), to, i + 1, v.State})
	}
	return list
}

func (r *Run) positionPanel(t *Trace) panel {
	return panel{name: "position, mm", tall: 560, series: r.withRecorded("position", []series{
		{"load, true", "l0", t.curve(loadMM)},
		{"read by the sequence", "l1", t.curve(positionMM)},
	})}
}

func (r *Run) torquePanel(t *Trace) panel {
	list := []series{
		{"motor, true", "l0", t.curve(motorNM)},
		{"read by the sequence", "l1", t.curve(torqueNM)},
		{"brake", "l2", t.curve(brakeNM)},
		{"its capacity", "l3", t.curve(capacityNM)},
	}
	if r.Ready.Rig.Brake2.Exists() {
		list = append(list, series{"brake 2", "l4", t.curve(brake2NM)}, series{"its capacity", "l5", t.curve(capacity2NM)})
	}
	return panel{name: "torque, N·m", tall: 1000, series: r.withRecorded("torque", list), levels: []level{
		{"required " + page.Figure(r.Result.RequiredTorqueNM), r.Result.RequiredTorqueNM},
		{"ceiling " + page.Figure(r.Ready.Rig.Judge.CeilingNM), r.Ready.Rig.Judge.CeilingNM},
	}}
}

func (r *Run) currentPanel(t *Trace) panel {
	list := []series{
		{"torque-forming, amplitude", "l0", t.curve(currentA)},
		{"read by the judge", "l1", t.curve(judgeA)},
	}
	if asked := t.curve(requiredA); slices.ContainsFunc(asked, func(p point) bool { return !p.isGap() }) {
		list = append(list, series{"required", "l3", asked})
	}
	return panel{name: "current, A", series: r.withRecorded("current", list)}
}

func (r *Run) withRecorded(panel string, list []series) []series {
	if r.Recorded == nil {
		return list
	}
	return append(list, r.Recorded.series(panel)...)
}

// page is the test case on the page.
func (r *Run) page() *CasePage {
	word, tone := r.shownOutcome()
	c := &CasePage{
		ID: r.id(), Number: r.sign(), Name: r.name(), Tone: tone, Outcome: word,
		Title: page.CleanLine(r.Ready.Scenario.Title), Figure: r.Figure, Limits: r.limits(),
		Measured: heads("measured by", "date", "signature"), States: r.states(), Events: r.events(),
	}
	c.Facts = r.facts()
	return c
}

// states are those that were entered, each with its number in the figure and its time.
func (r *Run) states() string {
	list := make([]string, len(r.Result.Visits))
	for i, v := range r.Result.Visits {
		list[i] = fmt.Sprintf("%d %s %s", i+1, page.CleanLine(v.State), page.Seconds(v.At.Seconds()))
	}
	return strings.Join(list, " · ")
}

// mostEvents bounds what is listed of one run.
const mostEvents = 30

// events are what happened besides the states.
func (r *Run) events() string {
	var list []string
	for i := range r.Result.Events {
		e := &r.Result.Events[i]
		switch e.Kind {
		case sim.KindFault, sim.KindJudge, sim.KindSafety, sim.KindTruth, sim.KindObligation, sim.KindEnd:
			list = append(list, page.Seconds(e.TS)+" "+e.Kind+": "+page.CleanLine(e.What))
		}
	}
	if more := len(list) - mostEvents; more > 0 {
		list = append(list[:mostEvents], page.Count(more, "more event", "more events"))
	}
	return strings.Join(list, " · ")
}
