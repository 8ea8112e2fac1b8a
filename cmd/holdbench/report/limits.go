package report

import (
	"slices"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
)

// limits are the expectations with what was simulated and room for what is measured, then what has no limit.
func (r *Run) limits() Table {
	t := Table{Class: "limits half", Columns: heads("quantity", "limit", "simulated", "met", "measured")}
	done := map[string]bool{}
	for _, e := range r.Result.Expectations {
		done[e.Name] = true
		met := Cell{Text: "yes"}
		if !e.Met {
			met = Cell{Text: "NO", Tone: "bad"}
		}
		t.addCells(Cell{Text: quantityName(e.Name)}, Cell{Text: wanted(&e)}, Cell{Text: simulated(&e)}, met, r.measured(e.Name))
	}
	for _, f := range r.figures() {
		if !done[f.name] {
			t.addCells(Cell{Text: quantityName(f.name)}, Cell{}, Cell{Text: f.value}, Cell{}, r.measured(f.name))
		}
	}
	r.addDrop(&t)
	r.addObligations(&t)
	r.addJudged(&t)
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

// longText is how long a result is at least that is not said twice.
const longText = 20

// simulated is the result of an expectation in words; a long one that is its limit is not said again.
func simulated(e *sim.Expectation) string {
	if e.Got == e.Want && len(e.Got) >= longText {
		return "the same"
	}
	return page.CleanLine(e.Got)
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
