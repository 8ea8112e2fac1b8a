package report

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/command"
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
	Figure           Figure

	Rig      *Rig
	Sequence *Sequence
	Recorded *Recorded // nil without signals of the real axis
}

// The words for what came of a test case.
const (
	asExpected = "as expected"
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
	case r.Result.Met():
		return asExpected, "good"
	}
	return notAs, "bad"
}

// Draw draws the run from its trace.
func (r *Run) Draw(t *Trace) {
	p := &plot{label: r.sign() + " " + r.name() + " over time", axis: "time, s", to: t.end(), stretches: r.stretches(t.end())}
	p.panels = []panel{r.positionPanel(t), r.torquePanel(t), r.currentPanel(t)}
	r.Figure = Figure{Drawing: p.svg()}
	if r.Recorded != nil {
		r.Figure.Notes = r.Recorded.notes(t)
	}
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
	word, tone := r.outcome()
	c := &CasePage{
		ID: r.id(), Number: r.sign(), Name: r.name(), Tone: tone, Outcome: word,
		Title: page.CleanLine(r.Ready.Scenario.Title), Figure: r.Figure, Limits: r.limits(),
		Measured: heads("measured by", "date", "signature"), States: r.states(), Events: r.events(),
	}
	c.Facts = r.facts()
	return c
}

func (r *Run) facts() []Fact {
	var list []Fact
	add := func(name string, c Cell) {
		if c.Text != "" {
			list = append(list, Fact{name, c})
		}
	}
	s := &r.Ready.Scenario
	add("purpose", Cell{Text: page.CleanLine(s.Teaches)})
	add("rig", Cell{Text: page.CleanLine(r.Ready.Rig.Rig), Link: r.Rig.id()})
	add("sequence", Cell{Text: page.CleanLine(r.Ready.Sequence.Name), Link: r.Sequence.id()})
	add("seed", Cell{Text: strconv.FormatUint(r.Ready.Seed, 10)})
	add("values set", Cell{Text: settings(s.Set, "; ")})
	add("operator", Cell{Text: scriptText(s.Script)})
	add("faults", Cell{Text: faultsText(s.Faults)})
	add("class", Cell{Text: string(r.Result.Class) + ": " + command.ClassMeaning(r.Result), Links: []Link{{"classes", "classes"}}})
	if v := r.Result.VerdictRight; v != nil && !*v {
		add("judge", Cell{Text: "the verdict " + r.Result.Verdict + " does not agree with the true capacity of the brake"})
	}
	if stop := r.Result.ControllerStopped; stop != nil {
		add("controller", Cell{Text: page.CleanLine(stop.String())})
	}
	add("remedy", Cell{Text: page.CleanLine(s.Remedy)})
	add("document", Cell{Text: page.CleanLine(r.Reference) + ", SHA-256 " + r.SHA256})
	return list
}

// settings are the values that were set.
func settings(set map[string]string, between string) string {
	var list []string
	for _, key := range slices.Sorted(maps.Keys(set)) {
		list = append(list, page.CleanLine(key)+" = "+page.CleanLine(set[key]))
	}
	return strings.Join(list, between)
}

func scriptText(script []sim.Action) string {
	if len(script) == 0 {
		return "trigger at 0.5 s"
	}
	var list []string
	for _, a := range script {
		var set []string
		for _, button := range slices.Sorted(maps.Keys(a.Set)) {
			word := "off"
			if a.Set[button] {
				word = "on"
			}
			set = append(set, page.CleanLine(button)+" "+word)
		}
		text := "at " + page.Seconds(a.At.Seconds()) + " " + strings.Join(set, ", ")
		if a.For > 0 {
			text += " for " + page.Seconds(a.For.Seconds())
		}
		list = append(list, text)
	}
	return strings.Join(list, "; ")
}

func faultsText(faults []sim.Fault) string {
	if len(faults) == 0 {
		return "none"
	}
	var list []string
	for i := range faults {
		f := &faults[i]
		text := momentText(f) + ": "
		if f.Fault != "" {
			text += page.CleanLine(f.Fault) + ", "
		}
		list = append(list, text+settings(f.Set, ", "))
	}
	return strings.Join(list, "; ")
}

func momentText(f *sim.Fault) string {
	text := "from the start"
	switch {
	case f.At != nil:
		text = "at " + page.Seconds(f.At.Seconds())
	case f.When != nil && f.When.State != "":
		text = "in " + page.CleanLine(f.When.State)
	}
	if f.When != nil && f.When.After > 0 {
		text += " after " + page.Seconds(f.When.After.Seconds())
	}
	if f.For > 0 {
		text += " for " + page.Seconds(f.For.Seconds())
	}
	return text
}

// limits are the expectations with what was simulated and room for what is measured, then what has no limit.
func (r *Run) limits() Table {
	t := Table{Class: "limits", Columns: heads("quantity", "limit", "simulated", "met", "measured")}
	done := map[string]bool{}
	for _, e := range r.Result.Expectations {
		done[e.Name] = true
		met := Cell{Text: "yes"}
		if !e.Met {
			met = Cell{Text: "NO", Tone: "bad"}
		}
		t.addCells(Cell{Text: quantityName(e.Name)}, Cell{Text: wanted(&e)}, Cell{Text: page.CleanLine(e.Got)}, met, Cell{})
	}
	for _, f := range r.figures() {
		if !done[f.name] {
			t.add(quantityName(f.name), "", f.value, "", "")
		}
	}
	r.addDrop(&t)
	r.addObligations(&t)
	return t
}

// addDrop compares the brakes as they are at the end with the drop limit of the rig at a power failure. No
// test proves that, so that it is no expectation.
func (r *Run) addDrop(t *Table) {
	d := r.Result.DropAtPowerFailure
	if d == nil {
		return
	}
	add := func(name string, mm *float64, meets bool) {
		got := "the load does not stop"
		if mm != nil {
			got = page.Figure(small(*mm)) + " mm"
		}
		met := Cell{Text: "yes"}
		if !meets {
			met = Cell{Text: "NO", Tone: "bad"}
		}
		t.addCells(Cell{Text: name}, Cell{Text: "drop limit of the rig " + page.Figure(d.LimitMM) + " mm; not proven by the test"}, Cell{Text: got}, met, Cell{})
	}
	for _, b := range r.brakeDrops() {
		add("load drop at a power failure at rest"+b.which, b.drop.AtRestMM, b.drop.MeetsAtRest)
		add("the same, lowered at "+page.Figure(d.SpeedMMS)+" mm/s"+b.which, b.drop.FromSpeedMM, b.drop.MeetsFromSpeed)
	}
}

// namedDrop is the load drop with one of the brakes.
type namedDrop struct {
	which string
	drop  *sim.BrakeDrop
}

// brakeDrops are the load drops at a power failure with the brakes as they are at the end.
func (r *Run) brakeDrops() []namedDrop {
	switch d := r.Result.DropAtPowerFailure; {
	case d == nil:
		return nil
	case d.AtEndBrake2 == nil:
		return []namedDrop{{"", &d.AtEnd}}
	default:
		return []namedDrop{{", brake 1 alone", &d.AtEnd}, {", brake 2 alone", d.AtEndBrake2}}
	}
}

// quantityName is the name of an expectation in words.
func quantityName(name string) string {
	switch name {
	case "load_drop_mm":
		return "load drop"
	case "slip_deg":
		return "slip of the brake"
	case "peak_torque_nm":
		return "largest motor torque"
	case "within":
		return "time to the end"
	case "path":
		return "states entered"
	case "took":
		return "time in a state"
	case "outputs":
		return "outputs in a state"
	}
	return page.CleanLine(name)
}

// wanted is the limit of an expectation in words.
func wanted(e *sim.Expectation) string {
	if e.Name == "within" {
		return "at most " + page.CleanLine(e.Want)
	}
	return page.CleanLine(e.Want)
}

type figure struct{ name, value string }

// figures are the results of every run, whether limits are set for them or not.
func (r *Run) figures() []figure {
	s := r.Result
	list := []figure{
		{"end", s.End + " in " + page.CleanLine(s.EndedIn)},
		{"cause", page.CleanLine(s.Cause)},
		{"verdict", s.Verdict},
		{"operation", s.Operation},
		{"within", page.Seconds(s.DurationS)},
		{"load_drop_mm", page.Figure(small(s.LoadDropMM)) + " mm"},
		{"slip_deg", page.Figure(small(s.SlipDeg)) + " deg"},
		{"peak_torque_nm", page.Figure(s.PeakTorqueNM) + " N·m"},
		{"required test torque", page.Figure(s.RequiredTorqueNM) + " N·m"},
		{"true capacity of the brake", page.Figure(s.BrakeCapacityNM) + " N·m"},
	}
	if s.Brake2CapacityNM != nil {
		list = append(list, figure{"true capacity of brake 2", page.Figure(*s.Brake2CapacityNM) + " N·m"})
	}
	return slices.DeleteFunc(list, func(f figure) bool { return f.value == "" })
}

// small is a length or an angle without what is only rounding of the solver.
func small(x float64) float64 {
	if x < 0.0005 {
		return 0
	}
	return page.Round(x)
}

// addObligations adds those that were broken, each with its place, and whether the scenario breaks it on purpose.
func (r *Run) addObligations(t *Table) {
	for _, o := range r.Result.Obligations {
		if o.Kept {
			continue
		}
		limit := "must hold"
		for _, b := range r.Ready.Scenario.Expect.Obligations {
			if b.Broken == o.Name {
				limit = "broken on purpose: " + page.CleanLine(b.Why)
			}
		}
		got := "broken"
		if o.AtS != nil {
			got += " at " + page.Seconds(*o.AtS)
		}
		t.addCells(Cell{Text: "obligation " + o.Name, Link: "obligations"}, Cell{Text: limit}, Cell{Text: got + ": " + page.CleanLine(o.Detail), Tone: "bad"}, Cell{}, Cell{})
	}
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
