package training

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// Hypothesis is what may be the cause of what is seen: one fault, or two at once, sorted by their names.
type Hypothesis []catalogue.Selection

// joint is between the names of two causes, and of two remedies.
const joint = " + "

// Name is the names of the faults.
func (h Hypothesis) Name() string {
	return h.joined(joint, func(f *catalogue.Entry) string { return f.Name })
}

// What says what the faults are on a machine.
func (h Hypothesis) What() string {
	return h.joined(" ", func(f *catalogue.Entry) string { return f.What })
}

// DetectedBy says which side could detect the faults, of two with the name of each.
func (h Hypothesis) DetectedBy() string {
	return h.joined(" ", func(f *catalogue.Entry) string {
		if len(h) < 2 {
			return f.DetectedBy
		}
		return f.Name + ": " + f.DetectedBy
	})
}

// Remedy is the names of the remedies, each once.
func (h Hypothesis) Remedy() string {
	return h.joined(joint, func(f *catalogue.Entry) string { return f.Remedy })
}

func (h Hypothesis) joined(by string, part func(*catalogue.Entry) string) string {
	var list []string
	for i := range h {
		if p := part(&h[i].Entry); !slices.Contains(list, p) {
			list = append(list, p)
		}
	}
	return strings.Join(list, by)
}

func (h Hypothesis) sorted() Hypothesis {
	slices.SortFunc(h, func(a, b catalogue.Selection) int { return cmp.Compare(a.Entry.Name, b.Entry.Name) })
	return h
}

// caseOf is the nominal case with the faults, which last to its end. It is false for two faults that set the same
// target, or of which no rig is made.
func (h Hypothesis) caseOf(nominal *sim.Case) (*sim.Case, bool) {
	n := *nominal
	n.Scenario.Faults = nil
	targets := map[string]bool{}
	for i := range h {
		when := h[i].When
		if h[i].Entry.FromStart {
			when = sim.Moment{}
		}
		set := h[i].Entry.Values(&nominal.Rig, h[i].Severity)
		for target := range maps.Keys(set) {
			if targets[target] {
				return nil, false
			}
			targets[target] = true
		}
		n.Scenario.Faults = append(n.Scenario.Faults, sim.Fault{When: &when, Set: set})
	}
	if len(h) < 2 {
		return &n, true // it fits the rig
	}
	_, warnings, err := nominal.With(n.Scenario)
	return &n, err == nil && len(warnings) == 0
}

// sameSymptom is whether a controller cannot distinguish two faults.
func sameSymptom(a, b *catalogue.Entry) bool { return a.Symptom != "" && a.Symptom == b.Symptom }

// rival is a hypothesis in place of the truth.
type rival struct {
	Hypothesis
	in       catalogue.Selection // the fault in place of one of the truth, or that one alone
	out      int                 // place of the fault of the truth that it has not
	distance float64             // from the run of the truth, 0 to 1, by what both show
	tie      uint32              // by chance, among those at the same distance
	shows    bool                // its fault shows something
}

// rivals lists the hypotheses that have another fault in place of one of the truth, or one of two alone.
func (d *drawing) rivals(truth Hypothesis) []rival {
	var list []rival
	for out := range truth {
		others := slices.Delete(slices.Clone(truth), out, out+1)
		if len(others) > 0 {
			list = append(list, rival{Hypothesis: others, in: others[0], out: out})
		}
		for _, f := range d.faults {
			if slices.ContainsFunc(truth, func(t catalogue.Selection) bool {
				return t.Entry.Name == f.Name || sameSymptom(&t.Entry, &f)
			}) {
				continue
			}
			in := catalogue.Selection{Entry: f, Severity: d.typical(&f), When: truth[out].When}
			list = append(list, rival{Hypothesis: append(slices.Clone(others), in).sorted(), in: in, out: out})
		}
	}
	return list
}

// typical is the severity of a wrong cause.
func (d *drawing) typical(f *catalogue.Entry) float64 {
	if d.level == Mild && f.Scale != nil {
		return f.Scale.Mild
	}
	return f.Usual()
}

// severities lists the rival over the scale of its fault, the rival itself first.
func (x *rival) severities() []Hypothesis {
	list := []Hypothesis{x.Hypothesis}
	s := x.in.Entry.Scale
	if s == nil {
		return list
	}
	for _, number := range []float64{s.Mild, s.Usual, s.Severe} {
		if number == x.in.Severity {
			continue
		}
		h := slices.Clone(x.Hypothesis)
		for i := range h {
			if h[i].Entry.Name == x.in.Entry.Name {
				h[i].Severity = number
			}
		}
		list = append(list, h)
	}
	return list
}
