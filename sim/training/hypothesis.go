package training

import (
	"cmp"
	"fmt"
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

// key is the names of the faults with their moments.
func (h Hypothesis) key() string {
	var key strings.Builder
	for i := range h {
		fmt.Fprintf(&key, "%s %v ", h[i].Entry.Name, h[i].When)
	}
	return key.String()
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
// target, or of which no case is made.
func (h Hypothesis) caseOf(nominal *sim.Case) (*sim.Case, bool) {
	s := nominal.Scenario
	s.Faults = nil
	targets := map[string]bool{}
	for i := range h {
		set := h[i].Entry.Values(&nominal.Rig, h[i].Severity)
		for target := range maps.Keys(set) {
			if targets[target] {
				return nil, false
			}
			targets[target] = true
		}
		when := h[i].When
		if h[i].Entry.WholeRun() {
			when = sim.Moment{}
		}
		if len(set) > 0 {
			s.Faults = append(s.Faults, sim.Fault{When: &when, Set: set})
		}
	}
	if data := h.data(nominal); len(data) > 0 {
		return withData(nominal, s, data)
	}
	n := *nominal
	n.Scenario = s
	if len(h) < 2 {
		return &n, true // it fits the rig
	}
	_, warnings, err := nominal.With(s)
	return &n, err == nil && len(warnings) == 0
}

// data are the values that were entered wrongly before the run, by the keys of a scenario's set.
func (h Hypothesis) data(nominal *sim.Case) map[string]string {
	var all map[string]string
	for i := range h {
		if settings, _ := h[i].Entry.SettingsOn(&nominal.Rig, nominal.Sequence); len(settings) > 0 {
			all = joinedSets(all, settings)
		}
	}
	return all
}

// withData is a case whose rig has other data, and not its scenario, in which whoever is to find them would read them.
// It is false where the scenario sets one of them itself.
func withData(nominal *sim.Case, s sim.Scenario, data map[string]string) (*sim.Case, bool) {
	given := s.Set
	s.Set = joinedSets(given, data)
	made, _, err := nominal.With(s)
	if err != nil || len(s.Set) < len(given)+len(data) {
		return nil, false
	}
	rig := made.Rig
	rig.Sequence, s.Set = joinedSets(rig.Sequence, nil), given
	for key, text := range data {
		if name, ok := strings.CutPrefix(key, "sequence."); ok {
			rig.Sequence[name] = text
		}
	}
	c, _, err := sim.NewCaseOf(s, rig, nominal.Logic)
	if err != nil {
		return nil, false
	}
	c.Seed, c.Sources = nominal.Seed, nominal.Sources
	return c, true
}

func joinedSets(a, b map[string]string) map[string]string {
	all := make(map[string]string, len(a)+len(b))
	maps.Copy(all, a)
	maps.Copy(all, b)
	return all
}

// sameSymptom is whether a controller cannot distinguish two faults.
func sameSymptom(a, b *catalogue.Entry) bool { return a.Symptom != "" && a.Symptom == b.Symptom }

// alike is whether two faults cannot stand beside each other in one answer, as a controller cannot distinguish them or
// they have the same remedy, or are one.
func alike(a, b *catalogue.Entry) bool {
	return a.Name == b.Name || sameSymptom(a, b) || a.Remedy == b.Remedy
}

// rival is a hypothesis in place of the truth.
type rival struct {
	Hypothesis
	in       catalogue.Selection // the fault in place of one of the truth
	out      int                 // place of the fault of the truth that it has not
	distance float64             // from the run of the truth, 0 to 1, by what both show
	tie      uint32              // by chance, among those at the same distance
}

// ofOtherGroup is 1 if the fault is of another group than that of the truth which it replaces.
func (x *rival) ofOtherGroup(r *Riddle) int {
	if x.in.Entry.Group == r.Truth[x.out].Entry.Group {
		return 0
	}
	return 1
}

// rivals lists the hypotheses that have another fault in place of one of the truth, at its moment: one that can only be
// there from the start would be refuted by when it shows, and not by what.
func (d *drawing) rivals(truth Hypothesis) []rival {
	var list []rival
	for out := range truth {
		others := slices.Delete(slices.Clone(truth), out, out+1)
		for i := range d.faults {
			f := &d.faults[i]
			if slices.ContainsFunc(truth, func(t catalogue.Selection) bool {
				return t.Entry.Name == f.Name || sameSymptom(&t.Entry, f) || len(truth) > 1 && alike(&t.Entry, f)
			}) || atStart(f) && truth[out].When != (sim.Moment{}) {
				continue
			}
			in := catalogue.Selection{Entry: *f, Severity: d.typical(f), When: truth[out].When}
			list = append(list, rival{Hypothesis: append(slices.Clone(others), in).sorted(), in: in, out: out})
		}
	}
	return list
}

// typical is the severity of a wrong cause.
func (d *drawing) typical(f *catalogue.Entry) float64 {
	if d.fromTheMildEnd() && f.Scale != nil {
		return f.Scale.Mild
	}
	return f.Usual()
}

// trials lists a rival with the severities at which it is tried, the typical one first, then that at which it rather
// shows as the level wants it; of the level [Data] all three marks of its scale.
func (d *drawing) trials(x rival) []rival {
	list := []rival{x}
	add := func(number float64) {
		in := x.in
		in.Severity = number
		list = append(list, x.with(in))
	}
	switch s := x.in.Entry.Scale; {
	case s == nil:
	case d.fromTheMildEnd():
		add(rounded(s.Between(mildShare)))
	case d.level == Data:
		add(s.Mild)
		fallthrough
	default:
		add(s.Severe)
	}
	return list
}

// with is the rival with another severity of its fault.
func (x rival) with(in catalogue.Selection) rival {
	x.Hypothesis = slices.Clone(x.Hypothesis)
	for i := range x.Hypothesis {
		if x.Hypothesis[i].Entry.Name == in.Entry.Name {
			x.Hypothesis[i] = in
		}
	}
	x.in = in
	return x
}

// varied lists the places of the faults of a hypothesis that have a scale and are not of the truth.
func (h Hypothesis) varied(truth Hypothesis) []int {
	var list []int
	for i := range h {
		known := slices.ContainsFunc(truth, func(t catalogue.Selection) bool { return t.Entry.Name == h[i].Entry.Name })
		if h[i].Entry.Scale != nil && !known {
			list = append(list, i)
		}
	}
	return list
}

// at is the hypothesis with another severity of one of its faults.
func (h Hypothesis) at(place int, number float64) Hypothesis {
	other := slices.Clone(h)
	other[place].Severity = number
	return other
}
